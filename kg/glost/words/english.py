"""Counts and lists in plain English."""

from collections.abc import Iterable


def count(number: int, one: str, many: str = "") -> str:
    """Say how many there are of something: ``1 claim``, ``1,204 claims``, ``2 copies``.

    Parameters
    ----------
    number
        How many.
    one
        What one is called.
    many
        What several are called; `one` with an s if not given.
    """
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def joined(names: Iterable[str], most: int | None = None, last: str = "and") -> str:
    """Name several things: ``Alder, Birch and Fell``, or ``Alder, Birch and 3 more``.

    Parameters
    ----------
    names
        What they are called.
    most
        So many at most are named, the others count; None for all.
    last
        What joins the last to the others.
    """
    every = list(names)
    if most is not None and len(every) > most:
        every = [*every[:most], f"{len(every) - most:,} more"]
    return f" {last} ".join(filter(None, (", ".join(every[:-1]), every[-1]))) if every else ""
