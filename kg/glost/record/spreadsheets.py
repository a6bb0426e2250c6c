"""Cells that a spreadsheet program would run, written so that none does, and read as they were.

A program takes a cell that begins with ``=``, ``+``, ``-`` or ``@`` for a formula, even in a file
of plain text, and a formula can fetch a page or start a program. Such a cell is written with an
apostrophe before it, which makes it text everywhere; the reader takes one apostrophe away again. A
cell that already begins with apostrophes before such a sign gets one more: nothing is lost.
"""

import re

_SIGNS = "=+\\-@\t\r\n\uff1d\uff0b\uff0d\uff20"
"""What begins a formula; tab and line ends, which programs skip; and the wide forms of the four."""

_RUN = re.compile(f"'*[{_SIGNS}]")
_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")
GUARDED = f"^'('*[{_SIGNS}])"
"""A cell as `guarded` writes it, for the regular expressions of polars; the group is the rest."""


def guarded(cell: str) -> str:
    """Return a cell as it is written for a spreadsheet program.

    Parameters
    ----------
    cell
        The cell. A plain number below nought is left as it is: it does nothing.
    """
    return f"'{cell}" if _RUN.match(cell) and not _NUMBER.fullmatch(cell) else cell
