"""Numbers of notes: each note of a report has one, whatever calls it, in the order of calls."""

from collections.abc import Iterable, Iterator

from glost.report.tree import CitedPassage, Note


class Numbers:
    """The numbers of some notes.

    Parameters
    ----------
    notes
        The notes, each once, in order; see `glost.report.tree.Report.notes`.
    """

    def __init__(self, notes: Iterable[Note]) -> None:
        self.notes = tuple(notes)
        self._of = {note.key: number for number, note in enumerate(self.notes, 1)}
        self._sources = {
            note.source.text: number
            for number, note in enumerate(self.notes, 1)
            if isinstance(note, CitedPassage)
        }

    def __call__(self, note: Note) -> int:
        """Return the number of a note; of a place drawn together with others that of them all."""
        number = self._of.get(note.key)
        if number is None and isinstance(note, CitedPassage):
            return self._sources[note.source.text]
        return self._of[note.key] if number is None else number


_SHOWN = 3
"""More claims than this are told by their rows alone."""


def rows_of(note: Note) -> str:
    """Return where the claims of a note are recorded, and how sure they are, in few words."""
    if not isinstance(note, CitedPassage):
        return ""
    rows: dict[str, list[int]] = {}
    for claim in note.claims:
        file, _, row = claim.read_from.partition(" row ")
        rows.setdefault(file, []).extend([int(row)] if row.isdecimal() else [])
    parts = [f"{file} {_spans(numbers)}".strip() for file, numbers in sorted(rows.items())]
    if len(note.claims) <= _SHOWN:
        parts += ["claim " + ", ".join(sorted(claim.id for claim in note.claims))]
    parts += sorted({claim.certainty for claim in note.claims if claim.certainty})
    parts += ["withdrawn"] if all(claim.withdrawn for claim in note.claims) else []
    return "; ".join(parts)


def _spans(numbers: Iterable[int]) -> str:
    """Write row numbers with runs drawn together: rows 2, 5–9."""
    words = ", ".join(str(a) if a == b else f"{a}–{b}" for a, b in runs(numbers, 2))
    return f"{'row' if words.isdigit() else 'rows'} {words}" if words else ""


def runs(numbers: Iterable[int], least: int = 3) -> Iterator[tuple[int, int]]:
    """Draw numbers that follow one another together, if so many do; yield first and last."""
    found: list[list[int]] = []
    for number in sorted(set(numbers)):
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    for run in found:
        if len(run) >= least:
            yield run[0], run[-1]
        else:
            yield from ((number, number) for number in run)
