"""All that is known and reckoned of one kiln."""

from collections.abc import Iterator
from dataclasses import dataclass

from rdflib import Graph, URIRef
from rdflib.term import Node

from glost.findings import Finding
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim
from glost.trade.cautions import Caution, cautions_for
from glost.trade.kilns.assumptions import Assumptions, usual
from glost.trade.kilns.cones import Chart
from glost.trade.kilns.figures import PERIODIC, READERS, TUNNEL, Figures
from glost.trade.kilns.findings import kiln_findings
from glost.trade.kilns.periodic import Periodic
from glost.trade.kilns.reckoned import Input, Reckoned, reckon
from glost.trade.kilns.replacing import replacing
from glost.trade.kilns.tunnel import Tunnel
from glost.trade.kilns.zoning import by_cones, of_zone, rates, zonings
from glost.words.labels import Words, label

_SAID = (GLOST.inPlant, GLOST.kilnNumber, GLOST.kilnCount, GLOST.kilnKind, GLOST.firing)


@dataclass(frozen=True, slots=True)
class SaidOfKiln:
    """Something a source says, as it says it.

    Attributes
    ----------
    of
        What it is said of: empty for the kiln itself, else the zone.
    what, written
        What is said, and in which words.
    claims
        The claims that say it.
    """

    of: str
    what: str
    written: str
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class ReckonedLine:
    """A reckoned figure, and what it is the figure of.

    Attributes
    ----------
    of
        Empty for the kiln itself, else the zone or zones and the source that gives them.
    reckoned
        The figure with its working.
    """

    of: str
    reckoned: Reckoned


@dataclass(frozen=True, slots=True)
class KilnResult:
    """What sources say of a kiln, what is reckoned from it, and what disagrees.

    Attributes
    ----------
    kiln, name
        The kiln, and what it is called.
    said
        What sources say.
    reckoned
        What no source says and is reckoned.
    findings
        Where its figures disagree.
    cautions
        What must be said with it.
    """

    kiln: URIRef
    name: str
    said: tuple[SaidOfKiln, ...]
    reckoned: tuple[ReckonedLine, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Everything assumed in any figure, in words, each once."""
        return tuple(dict.fromkeys(a for line in self.reckoned for a in line.reckoned.assumptions))


def kiln_result(
    belief: Belief,
    graph: Graph | Words,
    kiln: URIRef,
    assumed: Assumptions | None = None,
    chart: Chart | None = None,
) -> KilnResult:
    """Gather and reckon all that can be said of a kiln.

    Parameters
    ----------
    belief
        What is believed.
    graph
        The same with the vocabulary, for wording.
    kiln
        The kiln.
    assumed
        What is assumed for want of a source; the usual if None.
    chart
        By which to turn cones into temperatures; None keeps them as cones.

    Raises
    ------
    glost.trade.kilns.cones.ConeError
        If the chart does not hold a cone of the kiln.
    """
    figures = Figures(belief, usual() if assumed is None else assumed)
    return KilnResult(
        kiln,
        label(kiln, graph),
        (*_said(belief, graph, kiln), *_zones_said(figures, graph, kiln)),
        tuple(_reckoned(figures, graph, kiln, chart)),
        tuple(kiln_findings(belief, graph, figures.assumed, kiln)),
        cautions_for(("Kiln",)),
    )


def _said(belief: Belief, graph: Graph | Words, kiln: URIRef) -> Iterator[SaidOfKiln]:
    for property_ in _SAID:
        yield from _values(belief, graph, kiln, property_, "", label(property_, graph))
    for point, what in (("begin", "began"), ("end", "ended")):
        yield from _values(belief, graph, URIRef(f"{kiln}#{point}"), GLOST.date, "", what)
    for property_, (what, _) in READERS.items():
        yield from _values(belief, graph, kiln, property_, "", what)
    yield from _values(belief, graph, kiln, GLOST.replaces, "", label(GLOST.replaces, graph))


def _zones_said(figures: Figures, graph: Graph | Words, kiln: URIRef) -> Iterator[SaidOfKiln]:
    for zone in figures.zones(kiln):
        of = _zone_name(figures.belief, graph, zone)
        for property_, (what, _) in READERS.items():
            yield from _values(figures.belief, graph, zone, property_, of, what)
        yield from _values(figures.belief, graph, zone, GLOST.cone, of, "cone")


def _values(
    belief: Belief, graph: Graph | Words, thing: Node, property_: URIRef, of: str, what: str
) -> Iterator[SaidOfKiln]:
    for value, claims in belief.said(thing, property_):
        yield SaidOfKiln(of, what, label(value, graph), claims)


def _zone_name(belief: Belief, graph: Graph | Words, zone: URIRef) -> str:
    kinds = sorted(label(kind, graph) for kind in belief.graph.objects(zone, GLOST.zoneKind))
    return " or ".join(kinds) or label(zone, graph)


def _reckoned(
    figures: Figures, graph: Graph | Words, kiln: URIRef, chart: Chart | None
) -> Iterator[ReckonedLine]:
    kinds = figures.kinds(kiln)
    if PERIODIC in kinds:
        yield from (ReckonedLine("", each) for each in Periodic(figures, kiln).reckonings())
    if TUNNEL in kinds or not kinds:
        tunnel = Tunnel(figures, kiln)
        yield from (ReckonedLine("", each) for each in tunnel.reckonings())
        yield from (ReckonedLine("", each) for each in replacing(figures, tunnel))
        yield from _of_zones(figures, graph, tunnel, chart)


def _cone(end: Input) -> Reckoned:
    return reckon(
        "temperature of its cone", "degC", "the cone's end point by the chart", lambda t: t, end
    )


def _of_zones(
    figures: Figures, graph: Graph | Words, tunnel: Tunnel, chart: Chart | None
) -> Iterator[ReckonedLine]:
    found = zonings(figures, tunnel, chart)
    for source, zones in found.items():
        by = f" by {label(source, graph)}" if len(found) > 1 else ""
        for zone in zones:
            name = _zone_name(figures.belief, graph, zone.zone)
            yield from (ReckonedLine(name + by, each) for each in of_zone(zone, tunnel))
            if chart is not None and zone.cones:
                yield ReckonedLine(name + by, _cone(by_cones(chart, zone.cones)))
        for stretch, rate in rates(zones, tunnel):
            names = [_zone_name(figures.belief, graph, zone.zone) for zone in stretch]
            yield ReckonedLine(", ".join(names) + by, rate)
