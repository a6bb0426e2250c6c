"""A plant's kilns through time, and what they came to."""

from collections.abc import Iterator

from glost.report.results import common
from glost.report.results.kiln import figure
from glost.report.things.said import Said
from glost.report.tree import (
    Cell,
    Column,
    Group,
    Ref,
    Report,
    Row,
    Rule,
    Section,
    Sentence,
    Statement,
    Table,
)
from glost.trade.kilns.plants import Period, PlantResult
from glost.trade.kilns.timeline import Days
from glost.words.spans import between, ends

_NONE = Rule("The record names no kiln of it")
_ORDER = Rule("Kilns of one plant set in order by their dates and by what is said to replace what")
_COUNTED = Rule("Counted and reckoned from the kilns in use in each year")
_KILNS = (
    *(Column("kiln", "kiln", "thing"), Column("number", "number")),
    *(Column("kind", "kind"), Column("firing", "firing")),
    *(Column("began", "began"), Column("ended", "ended")),
    *(Column("begin_low", "", "date", True), Column("begin_high", "", "date", True)),
    *(Column("end_low", "", "date", True), Column("end_high", "", "date", True)),
    Column("by", "by"),
)
_CHANGES = (Column("what", "what"), Column("when", "when"), Column("by", "by"))
_PERIODS = (
    *(Column("firing", "firing"), Column("years", "years")),
    *(Column("first_year", "", "date", True), Column("last_year", "", "date", True)),
    *(Column("kilns_certainly", "", "thing", True), Column("kilns_possibly", "", "thing", True)),
    *(Column("number", "kilns in use"), Column("capacity", "capacity")),
    *(Column("capacity_low", "", "number", True), Column("capacity_high", "", "number", True)),
    *(Column("exact", "", aside=True), Column("unit", "", aside=True)),
    *(Column("formula", "", aside=True), Column("inputs", "", aside=True)),
    *(Column("assumed", "", aside=True), Column("left_out", "left out of it: output not known")),
)


def told(found: PlantResult, said: Said) -> Report:
    """Tell a plant's kilns through time.

    Parameters
    ----------
    found
        The kilns of a plant, and what they came to.
    said
        Words statements.

    Returns
    -------
    Report
        Sections ``kilns``, ``change`` from periodic to tunnel kilns, ``capacity`` firing by firing,
        with its ends as numbers in columns for programs; and where figures disagree.
    """
    cautions = common.cautions(found.cautions)
    findings = common.findings(found.findings)
    if not found.stays:
        lead = (Statement(("No kiln is recorded in it.",), (_NONE,)),)
        return Report(str(found.plant), found.name, lead, findings, cautions=cautions)
    kilns = Table(_KILNS, tuple(_stays(found, said)))
    periods = Table(_PERIODS, tuple(_period(found, said, each) for each in found.periods))
    sections = (
        Section("kilns", "Its kilns", (kilns,)),
        Section("change", "From periodic to tunnel kilns", tuple(_change(found, said))),
        Section(
            "capacity",
            "What it could fire, as we reckon",
            (periods, *common.assumed(found.assumptions)),
        ),
        *findings,
    )
    return Report(str(found.plant), found.name, sections=sections, cautions=cautions)


def _stays(found: PlantResult, said: Said) -> Iterator[Row]:
    for stay in found.stays:
        cells: tuple[Cell, ...] = (
            Ref(str(stay.kiln), found.names[stay.kiln]),
            stay.count.words,
            ", ".join(found.names[kind] for kind in stay.kinds),
            ", ".join(found.names[firing] for firing in stay.firings),
            _between(stay.begin),
            _between(stay.end),
            *ends(stay.begin),
            *ends(stay.end),
            said.by(stay.claims),
        )
        yield Row(cells, said.passages(stay.claims), "in dispute" if stay.disputed else "")


def _change(found: PlantResult, said: Said) -> Iterator[Table | Group]:
    change = found.change
    rows = [Row(("first tunnel kiln", _between(change.first_tunnel), None), (_ORDER,))]
    rows += [Row(("last periodic kiln drawn", _between(change.last_periodic), None), (_ORDER,))]
    for each in change.conversions:
        what = f"{found.names[each.tunnel]} for {found.names[each.periodic]} ({each.basis})"
        cells = (what, _between(each.days), said.by(each.claims))
        rows.append(Row(cells, said.passages(each.claims) or (_ORDER,)))
    yield Table(_CHANGES, tuple(rows))
    text = f"Both kinds in use at one time, of the kilns on record: {change.side_by_side}"
    text += f" (what would decide it: {'; '.join(change.deciding)})" if change.deciding else ""
    text += f"; in dispute: {'; '.join(change.disputed)}" if change.disputed else ""
    yield Group((Statement((f"{text}.",), (_ORDER,)),))


def _period(found: PlantResult, said: Said, each: Period) -> Row:
    capacity = each.capacity
    years = f"{each.first} to {each.last}" if each.last > each.first else str(each.first)
    cells: tuple[Cell, ...] = (
        found.names[each.firing],
        years,
        str(each.first),
        str(each.last),
        _refs(found, each.certain),
        _refs(found, each.possible),
        each.number,
        capacity.value() if capacity else "not known",
        *(figure(capacity) if capacity else (None,) * 7),
        _refs(found, each.left_out),
    )
    return Row(cells, said.passages(each.claims) or (_COUNTED,))


def _refs(found: PlantResult, kilns: tuple[object, ...]) -> Sentence:
    names = [Ref(str(kiln), found.names[kiln]) for kiln in kilns]  # type: ignore[index]
    return tuple(part for at, name in enumerate(names) for part in ([", "] * bool(at) + [name]))


def _between(days: Days) -> str:
    return "not known" if days == (None, None) else between(days)
