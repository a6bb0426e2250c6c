"""The views of the desk: each module holds those of one thing that one does there."""
