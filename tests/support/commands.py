"""The command glost, run in this process."""

import sys
from unittest.mock import patch

from glost_cli.main import main


def glost_ends(*words: str) -> int:
    """Run a command and return the code it ends with; what it prints is left where it goes."""
    with patch.object(sys, "argv", ["glost", *words]):
        try:
            main()
        except SystemExit as end:
            return int(end.code or 0)
    return 0
