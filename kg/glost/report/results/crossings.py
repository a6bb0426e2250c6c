"""Treatments seen on another shape than their home, and a decal followed across shapes."""

from collections.abc import Iterable, Iterator, Sequence

from rdflib import URIRef

from glost.record.claims import Claim
from glost.report.things.crossed import crossing
from glost.report.things.said import Said
from glost.report.tree import (
    Cell,
    Column,
    Ground,
    Group,
    Report,
    Row,
    Rule,
    Section,
    Statement,
    Table,
)
from glost.trade.crossings import (
    STRENGTHS,
    Crossing,
    CrossingCell,
    CrossingMatrix,
    DecalEvidence,
    DecalLife,
    DecalUse,
    support,
)
from glost.words.english import count
from glost.words.labels import Words, words_of
from glost.words.spans import ends

_NAMES = (
    "treatment", "home", "seen on", "form", "seen in", "explanation", "strength", "why",
    "sharing then", "late reissue", "deciding", "disputed",
)  # fmt: skip
_COUNTED = Rule("Counted from the treatments on record and what shows them")
_LIFE = (
    *(Column("number", "number"), Column("home", "home"), Column("shown by", "shown by", "thing")),
    *(Column("how", "how"), Column("not before", "not before", "date")),
    Column("not after", "not after", "date"),
)


def told(found: Sequence[Crossing], said: Said, words: Words) -> Report:
    """Tell crossings: each with what may explain it, and in a table for programs."""
    columns = tuple(Column(name, "", aside=True) for name in _NAMES)
    table = Table(columns, tuple(row for each in found for row in _rows(each, said, words)))
    statements = tuple(crossing(words, said, each) for each in found)
    many = Statement((f"{count(len(found), 'crossing')}.",), (_COUNTED,))
    parts = (Group(statements), table, Group((many,)))
    return Report("", "Crossings", sections=(Section("crossings", "Seen elsewhere", parts),))


def _rows(each: Crossing, said: Said, words: Words) -> Iterator[Row]:
    """Give a row for each explanation of each sighting."""
    home = (said.ref(each.home), " (by its number)" if each.by_number else "")
    for sighting in each.sightings:
        timing = sighting.timing
        for explanation in sighting.explanations:
            told = explanation.words
            if explanation.reissue is not None:
                told += f": {said.ref(explanation.reissue).text}"
            cells: tuple[Cell, ...] = (
                said.ref(each.treatment), home, said.ref(each.seen_on),
                said.ref(sighting.form) if sighting.form is not None else "",
                words_of(words).findable(sighting.where), told,
                STRENGTHS[explanation.strength], explanation.why, timing.sharing or "",
                timing.late, "; ".join(timing.deciding), "; ".join(timing.disputed),
            )  # fmt: skip
            claims = (*each.claims, *sighting.claims, *explanation.claims)
            yield Row(cells, _cited(said, claims))


def matrix(found: CrossingMatrix, said: Said) -> Report:
    """Count crossings by home and other shape; in a table for programs a row for each pair."""
    cells = {(cell.home, cell.seen_on): cell for cell in found.cells}
    away = [s for s in found.shapes if any(cell.seen_on == s for cell in found.cells)]
    homes = [s for s in found.shapes if any(cell.home == s for cell in found.cells)]
    heads = (Column(said.ref(s).text, said.ref(s).text, "number") for s in away)
    rows = tuple(
        Row(
            (said.ref(home), *(_many(cells.get((home, shape))) for shape in away)),
            _support([cells[home, s] for s in away if (home, s) in cells], said),
        )
        for home in homes
    )
    names = ("home", "seen on", "treatments", "sightings", "weakest explanation")
    pairs = tuple(
        Row(
            (said.ref(cell.home), said.ref(cell.seen_on), len(cell.crossings), cell.sightings,
             STRENGTHS[cell.strength]),
            _support([cell], said),
        )
        for cell in found.cells
    )  # fmt: skip
    parts = (
        Table(tuple(Column(name, "", aside=True) for name in names), pairs),
        Table((Column("home", "home \\ seen on", "thing"), *heads), rows),
    )
    lead = "Treatments that crossed from the shape of the row to that of the column."
    return Report("", "Crossings", sections=(Section("crossings", "By shapes", parts, lead),))


def _support(cells: Iterable[CrossingCell], said: Said) -> tuple[Ground, ...]:
    return _cited(said, (c for cell in cells for each in cell.crossings for c in support(each)))


def _many(cell: CrossingCell | None) -> int | None:
    return None if cell is None else len(cell.crossings)


def life(found: DecalLife, said: Said) -> Report:
    """Tell the numbers a decal bore, on which shapes, and when it is known in use."""
    rows = tuple(row for use in found.uses for row in _uses(use, said))
    last = []
    if found.earliest is not None:
        last.append(_shown("In use by", ends(found.earliest.days)[1], found.earliest, said))
    if found.latest is not None:
        last.append(_shown("Still in use on or after", ends(found.latest.days)[0], found.latest,
                           said))  # fmt: skip
    parts = (Table(_LIFE, rows), *((Group(tuple(last)),) if last else ()))
    name = said.ref(found.decal).text
    return Report(str(found.decal), name, sections=(Section("crossings", "Its uses", parts),))


def _uses(use: DecalUse, said: Said) -> Iterator[Row]:
    number = ", ".join(use.numbers)
    if use.treatment is None:
        number = f"no number, on {', '.join(said.ref(s).text for s in use.seen_on)}"
    home = ", ".join(said.ref(shape).text for shape in use.homes)
    for each in use.evidence:
        cells = (number, home, said.ref(each.where), each.how, *ends(each.days))
        yield Row(cells, _cited(said, (*use.claims, *each.claims)))
    if not use.evidence:
        yield Row((number, home, None, None, None, None), _cited(said, use.claims))


def _cited(said: Said, claims: Iterable[Claim]) -> tuple[Ground, ...]:
    return said.passages(claims) or (_COUNTED,)


def _shown(lead: str, day: str | None, evidence: DecalEvidence, said: Said) -> Statement:
    where = said.ref(URIRef(evidence.where))
    sentence = (f"{lead} {day}: ", where, f" ({evidence.how})")
    return Statement(sentence, _cited(said, evidence.claims))
