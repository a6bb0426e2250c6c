"""What holds for every test."""

import os

# pytest-xdist tells its workers that lines are 80 wide; without it nobody does. What is printed is
# to be the same both ways.
os.environ.pop("COLUMNS", None)
