"""Notes made of claims: the source, where in it, and the rows it was recorded in."""

from collections import defaultdict
from collections.abc import Iterable

from rdflib import Graph, URIRef

from glost.answer.sheets.model import Note
from glost.names import GLOST
from glost.record.claims import Claim
from glost.words.labels import label

_PLACES = 3
"""More places than this in one source are told as the first and the last."""
_IDS = 3
"""More claims than this are told by their rows alone."""


def notes_of(claims: Iterable[Claim], graph: Graph) -> tuple[Note, ...]:
    """Make the notes for some claims: one for each passage, or one for many in one source."""
    by_source: dict[URIRef, dict[str, list[Claim]]] = defaultdict(lambda: defaultdict(list))
    for claim in sorted(set(claims), key=_place):
        by_source[claim.passage.source][claim.passage.locator].append(claim)
    found = []
    for source, places in by_source.items():
        name = source_name(source, graph)
        if len(places) > _PLACES:
            every = [claim for some in places.values() for claim in some]
            first, *_, last = (place for place in places if place)
            found.append(Note(f"{name}, {first} to {last}", "source", tuple(every)))
            continue
        for place, some in places.items():
            text = f"{name}, {place}" if place else name
            found.append(Note(text, "source", tuple(some)))
    return tuple(found)


def source_name(source: URIRef, graph: Graph) -> str:
    """Return the title of a source, with what it repeats or is quoted in: one witness, not two."""
    told = label(source, graph)
    for property_, words in ((GLOST.repeats, "repeats"), (GLOST.quotedIn, "as quoted in")):
        others = sorted(label(other, graph) for other in graph.objects(source, property_))
        told += f" ({words} {', '.join(others)})" if others else ""
    return told


def rows_of(note: Note, graph: Graph) -> str:
    """Return where the claims of a note are recorded, and how sure they are."""
    rows: dict[str, list[int]] = defaultdict(list)
    for claim in sorted(note.claims, key=_place):
        rows[claim.origin.file].append(claim.origin.row)
    parts = [f"{file} {_spans(numbers)}".strip() for file, numbers in rows.items()]
    if 0 < len(note.claims) <= _IDS:
        parts += ["claim " + ", ".join(sorted({claim.id for claim in note.claims}))]
    sure = {label(c.certainty, graph) for c in note.claims if c.certainty is not None}
    return "; ".join([*parts, *sorted(sure)])


def _spans(numbers: Iterable[int]) -> str:
    """Write row numbers with runs drawn together: rows 2, 5–9."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    words = ", ".join(str(a) if a == b else f"{a}–{b}" for a, b in runs if a)
    if not words:
        return ""
    return f"{'row' if words.isdigit() else 'rows'} {words}"


def _place(claim: Claim) -> tuple[str, int, str]:
    return claim.origin.file, claim.origin.row, str(claim.iri)
