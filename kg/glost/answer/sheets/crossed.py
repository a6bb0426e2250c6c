"""Treatments that crossed between shapes, for the sheets of the treatments and the shapes."""

from collections.abc import Iterable, Iterator

from rdflib import Graph, URIRef

from glost.answer.sheets.model import Group, Note, Statement
from glost.answer.sheets.notes import notes_of
from glost.trade.crossings import STRENGTHS, Crossing, Explanation, Sighting, support, told
from glost.words.labels import label


def crossing_groups(found: Iterable[Crossing], graph: Graph, thing: URIRef) -> Iterator[Group]:
    """Yield the crossings of a treatment, or from and to a shape, with what may explain them."""
    told = tuple(
        _told(each, graph) for each in found if thing in (each.treatment, each.home, each.seen_on)
    )
    if told:
        yield Group("Treatments seen on another shape than their home", told)


def _told(crossing: Crossing, graph: Graph) -> Statement:
    by = " by its number" if crossing.by_number else ""
    seen = "; ".join(_seen(sighting, graph) for sighting in crossing.sightings)
    text = (
        f"{label(crossing.treatment, graph)}, at home on {label(crossing.home, graph)}{by}, "
        f"was seen on {label(crossing.seen_on, graph)} ({seen})."
    )
    parts = [_explained(each, graph) for each in crossing.explanations]
    return Statement(text, notes_of(support(crossing), graph), parts)


def _seen(sighting: Sighting, graph: Graph) -> str:
    form = f"{label(sighting.form, graph)}, " if sighting.form is not None else ""
    return f"{form}{label(sighting.where, graph)}{told(sighting)}"


def _explained(explanation: Explanation, graph: Graph) -> Statement:
    of = f" ({label(explanation.reissue, graph)})" if explanation.reissue else ""
    why = Note(explanation.why.rstrip("."), "reckoned")
    return Statement(
        f"Explanation, {STRENGTHS[explanation.strength]}: {explanation.words}{of}."
        if explanation.strength
        else f"Explanation: {explanation.words}.",
        [*notes_of(explanation.claims, graph), why],
    )
