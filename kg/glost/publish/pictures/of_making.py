"""Plants and kilns made into pictures."""

from collections.abc import Sequence

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.answer.desk import Desk
from glost.names import GLOST
from glost.publish.pictures.counts import Firing, Plan, Step, Strip, Zone
from glost.publish.pictures.lives import Lives, basis
from glost.publish.pictures.model import Bar
from glost.record.claims import Claim
from glost.record.errors import RecordError, RecordErrors
from glost.record.wording import label
from glost.trade.kilns.amounts import convert
from glost.trade.kilns.assumptions import usual
from glost.trade.kilns.figures import Figures
from glost.trade.kilns.plants import FIRINGS, UNIT, PlantReport, plant_report
from glost.trade.kilns.reckoned import Input
from glost.trade.kilns.timeline import Stay
from glost.trade.kilns.tunnel import Tunnel
from glost.trade.kilns.zoning import Zone as Stretch
from glost.trade.kilns.zoning import zonings

_HISTORY = "Reckoned for history, not for running a kiln."


def must_be(desk: Desk, thing: URIRef, kind: URIRef) -> None:
    """Refuse a thing of the wrong kind.

    Raises
    ------
    RecordErrors
        If it is of another kind; says which things are of this one.
    """
    facts = desk.belief.graph
    if (thing, RDF.type, kind) in facts:
        return
    base = desk.record.base
    name = str(kind).rsplit("#", 1)[-1].lower()
    known = sorted(str(each).removeprefix(base) for each in facts.subjects(RDF.type, kind))
    remedy = f"there are {', '.join(known[:12])}" if known else f"there is no {name} here"
    if len(known) > 12:
        remedy += f" and {len(known) - 12} more"
    message = f'"{str(thing).removeprefix(base)}" is not a {name}'
    raise RecordErrors([RecordError(str(desk.record.collection.path), message, remedy)])


def firing(desk: Desk, plant: URIRef) -> Firing:
    """Make a plant's firing history; RecordErrors if the thing is no plant."""
    must_be(desk, plant, GLOST.Plant)
    lives = Lives(desk)
    report = plant_report(desk.belief, desk.graph, plant, desk.chronology)
    order = {each: place for place, each in enumerate(FIRINGS)}
    stays = sorted(report.stays, key=lambda stay: [order.get(f, 9) for f in stay.firings] or [10])
    return Firing(
        f"Kilns of {label(plant, desk.words)}",
        tuple(_kiln(desk, lives, report, stay) for stay in stays),
        _steps(desk, report),
        UNIT,
        report.assumptions,
        f"{_HISTORY} {lives.note}",
        report.number,
    )


def _kiln(desk: Desk, lives: Lives, report: PlantReport, stay: Stay) -> Bar:
    names = report.names
    numbers = sorted(str(n) for n in desk.belief.graph.objects(stay.kiln, GLOST.kilnNumber))
    plain = str(stay.kiln).rsplit("/", 1)[-1]
    kinds = ", ".join(names[kind] for kind in stay.kinds)
    return Bar(
        f"No. {numbers[0]} ({plain})" if numbers else plain,
        lives.life(stay.kiln),
        " and ".join(names[each] for each in stay.firings) or "firing not said",
        f"{kinds}; {stay.count.words}" if stay.count.stated else kinds,
        (),
        str(stay.kiln),
        basis(stay.claims, desk.words) + lives.basis(stay.kiln),
    )


def _steps(desk: Desk, report: PlantReport) -> tuple[Step, ...]:
    return tuple(
        Step(
            report.names[period.firing],
            period.first,
            period.last,
            period.at_least,
            period.at_most,
            float(period.capacity.low) if period.capacity else None,
            float(period.capacity.high) if period.capacity else None,
            len(period.left_out),
            basis(period.claims, desk.words),
        )
        for period in report.periods
    )


def plan(desk: Desk, kiln: URIRef) -> Plan:
    """Make a kiln's zones, source by source, each with the overall length it gives.

    Raises
    ------
    RecordErrors
        If the thing is no kiln, or no source gives a length of it that can be reckoned with.
    """
    must_be(desk, kiln, GLOST.Kiln)
    figures = Figures(desk.belief, usual())
    tunnel = Tunnel(figures, kiln)
    zones = zonings(figures, tunnel)
    overall = figures.all(kiln, GLOST.overallLength)
    sources = {*zones, *(c.passage.source for figure in overall for c in figure.claims)}
    strips = []
    for source in sorted(sources):
        own = [f for f in overall if any(c.passage.source == source for c in f.claims)]
        claims = [c for f in own for c in f.claims if c.passage.source == source]
        length = figures.join("overall length", tunnel.unit, own) if own else None
        strips.append(_strip(desk, source, length, claims, zones.get(source, ()), tunnel.unit))
    if not strips:
        where, name = str(desk.record.collection.path), label(kiln, desk.words)
        message = f"no source gives lengths of {name} that can be drawn"
        remedy = "give its length in tables/kilns.csv or its zones in tables/kiln_zones.csv"
        raise RecordErrors([RecordError(where, message, remedy)])
    strips.sort(key=lambda strip: (-len(strip.zones), strip.source))
    return Plan(f"Zones of {label(kiln, desk.words)}, to scale", tuple(strips), _HISTORY)


def _strip(
    desk: Desk,
    source: URIRef,
    length: Input | None,
    claims: Sequence[Claim],
    zones: Sequence[Stretch],
    unit: str,
) -> Strip:
    drawn = tuple(
        Zone(
            label(zone.kind, desk.words) if zone.kind else "zone",
            _metres(zone.length, unit),
            " or ".join(zone.length.given),
            _remark(zone),
            basis(zone.length.claims, desk.words),
        )
        for zone in zones
    )
    return Strip(
        label(source, desk.words),
        _metres(length, unit) if length else None,
        " or ".join(length.given) if length else "",
        drawn,
        basis(claims, desk.words),
    )


def _metres(length: Input, unit: str) -> float:
    """Return a length for drawing; where it spans a range, its middle."""
    return float(convert((length.low + length.high) / 2, unit, "meter"))


def _remark(zone: Stretch) -> str:
    said = list(zone.temperature.given) if zone.temperature else []
    said += [f"cone {cone}" for cone, _ in zone.cones]
    return ", ".join(said)
