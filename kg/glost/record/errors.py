"""What is wrong with a collection's files, all of it at once."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from difflib import get_close_matches

from glost.limits import NEAR_AMONG, NEAR_LENGTH, SHOWN
from glost.record.characters import visible


@dataclass(frozen=True, slots=True)
class RecordError:
    """One thing wrong with the input.

    Attributes
    ----------
    file
        Path relative to the collection's folder.
    message
        What is wrong, what was found and what is expected.
    remedy
        What to do about it, with the nearest valid value where there is one.
    row
        Row as a spreadsheet counts, the header being row 1; 0 if it concerns the whole file.
    column
        Column name; empty if it concerns the whole row.
    found
        The offending value as it stands in the file.
    iri
        The claim, graph or thing concerned, for TriG; empty otherwise.
    """

    file: str
    message: str
    remedy: str = ""
    row: int = 0
    column: str = ""
    found: str = ""
    iri: str = ""

    def of(self, keeper: str) -> "RecordError":
        """Return the same, as it is told where collections are read together."""
        return replace(self, file=f"{keeper}: {self.file}")

    def __str__(self) -> str:
        """Return the error as one line: place, what is wrong, remedy."""
        place = self.file
        if self.row:
            place += f", row {self.row}"
        if self.column:
            place += f", column {self.column}"
        if self.iri:
            place += f", <{_short(self.iri)}>"
        remedy = f"; {_short(self.remedy)}" if self.remedy else ""
        return visible(f"{place}: {_short(self.message)}{remedy}", lines=False)


def _short(text: str) -> str:
    """Cut what a message says, since it may quote what has no end."""
    return text if len(text) <= _LONGEST else text[:_LONGEST] + "…"


_LONGEST = 600
"""Characters of a message or a remedy; the longest remedy lists the columns of a table."""


class RecordErrors(Exception):  # noqa: N818 - it is many errors, and says so
    """Raised when a collection cannot be read; carries every error found.

    Attributes
    ----------
    errors
        The errors, sorted by file, row and column.
    """

    def __init__(self, errors: Iterable[RecordError]) -> None:
        self.errors: tuple[RecordError, ...] = tuple(
            sorted(set(errors), key=lambda e: (e.file, e.row, e.column, e.iri, e.message))
        )
        super().__init__("\n".join(str(error) for error in self.errors))


def quoted(text: str) -> str:
    """Quote what stands in a file as a message shows it: a line of it, nothing a terminal obeys."""
    line = text if len(text) <= SHOWN else text[:SHOWN] + "…"
    return f'"{visible(line, lines=False)}"'


def nearest(word: str, words: Iterable[str]) -> str:
    """Find the valid word most like a misspelt one, without regard to case.

    Returns
    -------
    str
        The nearest of `words`, or an empty string if none is near. A word too long to be misspelt
        has none, and among very many only one that differs by case is found; see `glost.limits`.
    """
    if not word or len(word) > NEAR_LENGTH:
        return ""
    by_fold: dict[str, str] = {}
    for candidate in sorted(words):
        by_fold.setdefault(candidate.casefold(), candidate)
    folded = word.casefold()
    if folded in by_fold or len(by_fold) > NEAR_AMONG:
        return by_fold.get(folded, "")
    near = get_close_matches(folded, by_fold, n=1, cutoff=0.6)
    return by_fold[near[0]] if near else ""


def suggestion(word: str, words: Iterable[str], otherwise: str) -> str:
    """Word a remedy: the nearest valid word, else `otherwise`."""
    near = nearest(word, words)
    return f'did you mean "{near}"?' if near else otherwise
