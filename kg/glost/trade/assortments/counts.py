"""The potter's dozen, and how much smaller one count is than another."""

import re
from fractions import Fraction

_COUNT = re.compile(r"([0-9]{1,3})\s*s?")


def read_count(text: str) -> int | None:
    """Read a potter's count, ``36s``: how many pieces went to the dozen. None if it is no count."""
    found = _COUNT.fullmatch(text.strip().casefold())
    return int(found[1]) or None if found else None


def dozens(pieces: int, count: int) -> Fraction:
    """Reckon how many potter's dozens pieces of one count come to: pieces / count.

    Parameters
    ----------
    pieces
        How many pieces, 0 or more.
    count
        The potter's count: of 36s, 36 go to the dozen.

    Raises
    ------
    ValueError
        If there are fewer than no pieces, or the count is not above nought.

    References
    ----------
    R. Copeland, Manufacturing Processes of Tableware, appendix (as summarised elsewhere).
    """
    if pieces < 0 or count <= 0:
        raise ValueError("dozens need 0 pieces or more and a count above 0")
    return Fraction(pieces, count)


def reduction(before: int, after: int) -> Fraction | None:
    """Reckon by how many per cent a number shrank; below nought if it grew; None from nothing."""
    return Fraction(100 * (before - after), before) if before else None
