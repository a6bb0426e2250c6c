"""Treatments that crossed between shapes, for the reports of treatments, shapes and pieces."""

from collections.abc import Iterator

from rdflib import URIRef

from glost.report.things.basis import Basis, Whole
from glost.report.things.said import Said
from glost.report.tree import Group, Ref, Rule, Section, Sentence, Statement
from glost.trade.crossings import STRENGTHS, Crossing, Explanation, Sighting, support, told
from glost.words.labels import label


def crossed(basis: Basis, said: Said, thing: URIRef) -> Iterator[Section]:
    """Tell the crossings of a treatment, or from and to a shape, with what may explain them."""
    found = basis.crossings.get(str(thing), ()) if isinstance(basis, Whole) else ()
    statements = tuple(_told(basis, said, each) for each in found)
    if statements:
        yield Section(
            "crossed", "Treatments seen on another shape than their home", (Group(statements),)
        )


def _told(basis: Basis, said: Said, crossing: Crossing) -> Statement:
    by = " by its number" if crossing.by_number else ""
    seen: list[str | Ref] = []
    for at, sighting in enumerate(crossing.sightings):
        seen += ["; " if at else " (", *_seen(basis, said, sighting)]
    sentence = (
        said.ref(crossing.treatment), ", at home on ", said.ref(crossing.home),
        f"{by}, was seen on ", said.ref(crossing.seen_on), *seen, ").",
    )  # fmt: skip
    parts = tuple(_explained(said, each) for each in crossing.explanations)
    return Statement(sentence, said.grounds(support(crossing)), parts=parts)


def _seen(basis: Basis, said: Said, sighting: Sighting) -> Sentence:
    form = f"{label(sighting.form, basis.words)}, " if sighting.form is not None else ""
    return form, said.ref(sighting.where), told(sighting)


def _explained(said: Said, explanation: Explanation) -> Statement:
    why = Rule(explanation.why.rstrip("."))
    strength = f", {STRENGTHS[explanation.strength]}" if explanation.strength else ""
    of: Sentence = (" (", said.ref(explanation.reissue), ")") if explanation.reissue else ()
    sentence = (f"Explanation{strength}: {explanation.words}", *of, ".")
    return Statement(sentence, (*said.grounds(explanation.claims), why))
