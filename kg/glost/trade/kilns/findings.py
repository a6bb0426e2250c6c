"""Where figures of a kiln disagree with one another, are unusual, or cannot be read."""

from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import cache

from rdflib import Graph, URIRef

from glost.findings import Finding, Severity
from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief
from glost.record.claims import Triple
from glost.record.quantities import LengthError, convert
from glost.trade.kilns.amounts import AmountError, rows
from glost.trade.kilns.assumptions import Assumptions, usual
from glost.trade.kilns.figures import READERS, Figures
from glost.trade.kilns.periodic import Periodic, cylinder
from glost.trade.kilns.reckoned import Reckoned, number, ranged
from glost.trade.kilns.tunnel import Tunnel
from glost.trade.kilns.zones import zone_findings
from glost.words.labels import Words, label
from glost.words.sentences import sides

_TOLERANCE = Fraction(1, 20)
"""How far a stated output may lie from the one reckoned: a twentieth."""


def kiln_findings(
    belief: Belief,
    graph: Graph | Words,
    assumed: Assumptions | None = None,
    only: URIRef | None = None,
) -> Iterator[Finding]:
    """Find what disagrees among the figures of kilns.

    Zones against the whole; cars against the whole, beyond the length of one car either way;
    a setting that its chamber cannot hold; a stated output more than a twentieth off the one
    reckoned; figures that are unusual; and texts that cannot be read as figures.

    Parameters
    ----------
    belief
        What is believed.
    graph
        The same with the vocabulary, for wording.
    assumed
        What is assumed for want of a source; the usual if None.
    only
        The one kiln to look at; None for all.
    """
    figures = Figures(belief, usual() if assumed is None else assumed)
    yield from zone_findings(belief, graph, only)
    if only is None:
        found = {thing for property_ in READERS for thing in belief.graph.subjects(property_)}
        things = sorted(thing for thing in found if isinstance(thing, URIRef))
    else:
        things = [only, *figures.zones(only)]
    for thing in things:
        if (thing, GLOST.zoneOf, None) not in belief.graph:
            yield from _of_kiln(figures, thing, graph)
        yield from _unusual(figures, thing, graph)
        yield from _unread(figures, thing, graph)


def _of_kiln(figures: Figures, kiln: URIRef, graph: Graph | Words) -> Iterator[Finding]:
    tunnel, periodic = Tunnel(figures, kiln), Periodic(figures, kiln)
    yield from _cars(tunnel, graph)
    yield from _room(periodic, graph)
    for output in (tunnel.output(), periodic.output()):
        yield from _output(figures, kiln, output, graph)


def _finding(
    figures: Figures, graph: Graph | Words, thing: URIRef, kind: str, severity: Severity,
    message: str, properties: Iterable[URIRef], remedy: str,
) -> Finding:  # fmt: skip
    """Tell a finding with every claim that gives any of the properties."""
    found = [f for property_ in properties for f in figures.all(thing, property_)]
    about = [str(kiln) for kiln in figures.belief.values(thing, GLOST.zoneOf)]
    claims = [claim for figure in found for claim in figure.claims]
    told = sides(claims, graph, [figure.statement for figure in found])
    return Finding(kind, severity, (str(thing), *about), message, told, remedy)


def _cars(tunnel: Tunnel, graph: Graph | Words) -> Iterator[Finding]:
    cars, pitch, length = tunnel.cars, tunnel.pitch, tunnel.length
    if not (cars and pitch and length and cars.given and pitch.given):
        return
    over = cars.low * pitch.low - length.high
    short = length.low - cars.high * pitch.high
    most = f"{ranged(cars.low, cars.high, 'cars')} of {' or '.join(pitch.given)} come to "
    most += ranged(cars.low * pitch.low, cars.high * pitch.high, tunnel.unit)
    whole = f"{' or '.join(length.given)}"
    name = label(tunnel.kiln, graph)
    properties = (GLOST.carCount, GLOST.carPitch, GLOST.overallLength)
    if over > pitch.high:
        yield _finding(
            tunnel.figures, graph, tunnel.kiln, "cars-exceed-kiln", Severity.CONTRADICTION,
            f"The cars of {name} would not go into it: {most}, more than its overall length "
            f"of {whole}.", properties, "Read the figures again: one of them is misread.",
        )  # fmt: skip
    if short > pitch.high:
        yield _finding(
            tunnel.figures, graph, tunnel.kiln, "length-without-cars", Severity.NOTE,
            f"The cars of {name} leave {ranged(short, short, tunnel.unit)} of it empty: {most}, "
            f"its overall length is {whole}.", properties,
            "Vestibules may hold no car; else a figure is misread.",
        )  # fmt: skip


def _room(periodic: Periodic, graph: Graph | Words) -> Iterator[Finding]:
    chamber, setting = periodic.chamber(), periodic.saggars()
    if chamber is None or setting is None:
        return
    room = cylinder(chamber[0].high, chamber[1].high)
    if setting.low > room:
        yield _finding(
            periodic.figures, graph, periodic.kiln, "setting-exceeds-chamber",
            Severity.CONTRADICTION,
            f"The setting of {label(periodic.kiln, graph)} takes {number(setting.low)} cubic ft "
            f"and its chamber has {number(room)} at the most.",
            (GLOST.setting, GLOST.innerDiameter, GLOST.innerHeight),
            "Read the figures again: one of them is misread, or the saggars served several kilns.",
        )  # fmt: skip


def _output(
    figures: Figures, kiln: URIRef, output: Reckoned | None, graph: Graph | Words
) -> Iterator[Finding]:
    for stated in figures.all(kiln, GLOST.statedOutput):
        amount = stated.amount
        if output is None or output.unit != f"{amount.unit} a day":
            continue
        low, high = output.low * (1 - _TOLERANCE), output.high * (1 + _TOLERANCE)
        above = amount.low > high and amount.bound != "most"
        below = amount.high < low and amount.bound != "least"
        if above or below:
            yield _finding(
                figures, graph, kiln, "output-disagrees", Severity.WARNING,
                f"The output of {label(kiln, graph)} is stated as {amount.written}, and its "
                f"figures come to {output.value()} ({output.formula}).",
                (GLOST.statedOutput, GLOST.pushInterval, GLOST.warePerCar, GLOST.cycle,
                 GLOST.setting),
                "One of the figures is misread, or the statement is of another time.",
            )  # fmt: skip


def _unusual(figures: Figures, thing: URIRef, graph: Graph | Words) -> Iterator[Finding]:
    for row in plausible():
        kind = URIRef(f"{SCHEMES}kiln-kind/{row['of']}")
        if row["of"] and kind not in figures.kinds(thing):
            continue
        property_, unit = GLOST[row["property"]], row["unit"]
        least, most = Fraction(row["low"]), Fraction(row["high"])
        for figure in figures.all(thing, property_):
            amount = figure.amount
            low, high = (convert(end, amount.unit, unit) for end in (amount.low, amount.high))
            if low < least or high > most:
                yield _finding(
                    figures, graph, thing, "figure-unusual", Severity.NOTE,
                    f"The {READERS[property_][0]} of {label(thing, graph)} is unusual: "
                    f"{amount.written}, where {ranged(least, most, unit)} are common "
                    f"({row['ground']}).",
                    (property_,), "Look at the source again; it may be so.",
                )  # fmt: skip


@cache
def plausible() -> tuple[dict[str, str], ...]:
    """Read the bounds within which figures are common. Read-only."""
    return tuple(rows("plausible.csv"))


def _unread(figures: Figures, thing: URIRef, graph: Graph | Words) -> Iterator[Finding]:
    """Find texts kept as written that cannot be reckoned with; lengths are found elsewhere."""
    belief = figures.belief
    for property_, (_, reader) in READERS.items():
        for value in belief.values(thing, property_):
            statement: Triple = (thing, property_, value)
            try:
                reader(str(value))
            except LengthError:
                continue
            except AmountError as bad:
                yield Finding(
                    "amount-not-understood", Severity.WARNING, (str(thing),),
                    f"The {label(property_, graph)} of {label(thing, graph)} is kept as written "
                    f'but not reckoned with: "{value}" ({bad.reason}).',
                    sides(belief.rests_on(statement), graph, [statement]),
                    f"If the source allows, {bad.remedy}.",
                )  # fmt: skip
