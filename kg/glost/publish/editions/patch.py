"""What makes one edition's statements into the next's, as an RDF Patch.

The format is *RDF Patch* (Apache Jena's, https://afs.github.io/rdf-patch/): ``A`` adds a statement
and ``D`` deletes one. Blank nodes are written by their canonical labels, so that a patch is right
to the letter for the lines of the edition it names, and for no other data.
"""

from collections.abc import Iterable, Iterator, Sequence


class PatchError(ValueError):
    """A patch that does not fit what it is put to; the message says where."""


def patch(before: Sequence[str], after: Sequence[str], *, of: str, gives: str) -> str:
    """Write the patch from one list of lines of N-Quads to another.

    Parameters
    ----------
    before, after
        Lines, sorted, each once.
    of, gives
        SHA-256 of the lines before and after, as hexadecimal digits; the head of the patch
        names them.
    """
    old, new = set(before), set(after)
    head = f"H id <urn:sha256:{gives}> .\nH prev <urn:sha256:{of}> .\nTX .\n"
    gone = (f"D {line}" for line in before if line not in new)
    come = (f"A {line}" for line in after if line not in old)
    return "".join([head, *gone, *come, "TC .\n"])


def patched(before: Iterable[str], text: str) -> list[str]:
    """Put a patch to lines of N-Quads.

    Parameters
    ----------
    before
        Lines, each once.
    text
        The patch.

    Returns
    -------
    list of str
        The lines it gives, sorted.

    Raises
    ------
    PatchError
        If it deletes what is not there, adds what is, or holds a row that is no row of a patch.
    """
    lines = set(before)
    for number, row in enumerate(_rows(text), 1):
        kind, _, statement = row.partition(" ")
        if kind in ("H", "TX", "TC"):
            continue
        if kind not in ("A", "D"):
            raise PatchError(f"row {number} begins with neither A nor D: {row.strip()[:60]}")
        if (statement in lines) is (kind == "A"):
            there = "there already" if kind == "A" else "not there"
            raise PatchError(f"row {number}: its statement is {there}: {statement.strip()[:60]}")
        (lines.add if kind == "A" else lines.remove)(statement)
    return sorted(lines)


def _rows(text: str) -> Iterator[str]:
    return (f"{row}\n" for row in text.removesuffix("\n").split("\n"))
