"""Run the command line as ``python -m glost_cli``."""

from glost_cli.main import main

main()
