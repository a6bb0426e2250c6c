"""A kiln's zones against its overall length, and what is reckoned from both.

Each source that gives lengths of zones is taken by itself, so that two blueprints are never added
up. Its zones are set against the overall length it gives; if it gives none, against every overall
length that other sources give.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import XSD
from rdflib.term import Node

from glost.findings import Finding, Severity
from glost.names import GLOST, bind
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.quantities import Length, LengthError, decimal, read_length, words
from glost.trade.kilns.measures import measured
from glost.words.labels import Words, label
from glost.words.sentences import sides


@dataclass(frozen=True, slots=True)
class Sum:
    """Zones of one source set against one overall length.

    Attributes
    ----------
    kiln
        The kiln.
    overall, zones
        The overall length, and the sum of the zones; zones in exact metres.
    statements, claims
        The statements compared, and the claims that make them.
    """

    kiln: Node
    overall: Length
    zones: Fraction
    statements: tuple[Triple, ...]
    claims: tuple[Claim, ...]

    @property
    def left(self) -> Fraction:
        """Metres of the overall length that no zone accounts for; negative if zones exceed it."""
        return self.overall.metres - self.zones


def sums(belief: Belief, only: URIRef | None = None) -> Iterator[Sum]:
    """Set the zones of every kiln, or of one only, against its overall length, by source."""
    kilns: dict[Node, list[Node]] = {}
    for zone, _, kiln in belief.graph.triples((None, GLOST.zoneOf, only)):
        kilns.setdefault(kiln, []).append(zone)
    for kiln, zones in sorted(kilns.items(), key=repr):
        overall = _by_source(belief, [kiln], GLOST.overallLength)
        for source, found in sorted(
            _by_source(belief, sorted(zones, key=repr), GLOST.zoneLength).items()
        ):
            compared = overall.get(source) or [one for each in overall.values() for one in each]
            once: dict[Node, tuple[Triple, Claim, Length]] = {}
            for triple, claim, length in found:
                once.setdefault(triple[0], (triple, claim, length))
            for length in sorted({item[2] for item in compared}, key=lambda one: one.metres):
                same = [item for item in compared if item[2].metres == length.metres]
                items = [*same, *once.values()]
                yield Sum(
                    kiln,
                    length,
                    sum((item[2].metres for item in once.values()), Fraction(0)),
                    tuple(dict.fromkeys(item[0] for item in items)),
                    tuple(item[1] for item in items),
                )


def _by_source(
    belief: Belief, subjects: list[Node], property_: URIRef
) -> dict[URIRef, list[tuple[Triple, Claim, Length]]]:
    found: dict[URIRef, list[tuple[Triple, Claim, Length]]] = {}
    for subject in subjects:
        for value, claims in belief.said(subject, property_):
            try:
                length = read_length(str(value))
            except LengthError:
                continue
            for claim in claims:
                item = ((subject, property_, value), claim, length)
                found.setdefault(claim.passage.source, []).append(item)
    return found


def zone_findings(
    belief: Belief, graph: Graph | Words, only: URIRef | None = None
) -> Iterator[Finding]:
    """Find kilns whose zones exceed the whole (a contradiction) or fall short of it (a note).

    Parameters
    ----------
    belief
        What is believed.
    graph
        The same with the vocabulary, for wording.
    only
        The one kiln to look at; None for all.
    """
    for each in sums(belief, only):
        name = label(each.kiln, graph)
        unit = each.overall.unit
        accounted, whole = words(each.zones, unit), words(each.overall.metres, unit)
        if each.left == 0 or (each.left < 0 and each.overall.approximate):
            continue
        if each.left < 0:
            message = f"The zones of {name} come to {accounted}, {words(-each.left, unit)} more "
            message += f"than its overall length of {whole}."
            kind, severity = "zones-exceed-kiln", Severity.CONTRADICTION
            remedy = (
                "Read the figures again: one of these lengths is misread, or the zones overlap."
            )
        else:
            message = f"The zones of {name} account for {accounted} of {whole}; "
            message += f"{words(each.left, unit)} are left unexplained."
            kind, severity = "kiln-length-unexplained", Severity.NOTE
            remedy = (
                "Vestibules, rapid cooling and the ends are often left out; nothing need be done."
            )
        yield Finding(
            kind, severity, (str(each.kiln),), message,
            sides(each.claims, graph, each.statements), remedy,
        )  # fmt: skip


def reckon(belief: Belief) -> Graph:
    """Reckon measures of kilns and zones as numbers, and the length no zone accounts for.

    Returns
    -------
    Graph
        ``glost:lengthInMetres``, ``glost:temperatureInCelsius`` and so on of every kiln and zone
        on whose measure sources agree (`glost.trade.kilns.measures`), and
        ``glost:unexplainedLength`` of every kiln where zones fall short of the whole.
    """
    graph = bind(Graph("SimpleMemory"))
    for triple in measured(belief):
        graph.add(triple)
    left: dict[Node, set[Fraction]] = {}
    for each in sums(belief):
        left.setdefault(each.kiln, set()).add(each.left)
    for kiln, lengths in sorted(left.items(), key=repr):
        if len(lengths) == 1 and min(lengths) > 0:
            graph.add((kiln, GLOST.unexplainedLength, _metres(lengths.pop())))
    return graph


def _metres(length: Fraction) -> Literal:
    return Literal(decimal(length), datatype=XSD.decimal, normalize=False)
