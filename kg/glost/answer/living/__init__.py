"""The parts of a workspace, each kept up to date by what a change touches and no more."""
