"""Treatments that crossed between shapes, for the reports of treatments, shapes and pieces."""

from collections.abc import Iterator

from rdflib import URIRef

from glost.report.things.basis import ThingBasis, Whole
from glost.report.things.said import Said
from glost.report.tree import Group, Ref, Rule, Section, Sentence, Statement
from glost.trade.crossings import STRENGTHS, Crossing, Explanation, Sighting, support, told
from glost.words.labels import Words, label, words_of

_SEARCHED = Rule("Looked for in all that is on record")


def crossed(basis: ThingBasis, said: Said, thing: URIRef) -> Iterator[Section]:
    """Tell the crossings of a treatment, or from and to a shape, with what may explain them."""
    found = basis.crossings_of(str(thing)) if isinstance(basis, Whole) else ()
    statements = tuple(crossing(basis.words, said, each) for each in found)
    if statements:
        yield Section(
            "crossed", "Treatments seen on another shape than their home", (Group(statements),)
        )


def crossing(words: Words, said: Said, crossing: Crossing) -> Statement:
    """Tell a crossing: where it was seen, and what may explain it, the strongest first."""
    by = " by its number" if crossing.by_number else ""
    sentence = (
        said.ref(crossing.treatment), ", at home on ", said.ref(crossing.home),
        f"{by}, was seen on ", said.ref(crossing.seen_on), ".",
    )  # fmt: skip
    seen = (_seen(words, said, each) for each in crossing.sightings)
    parts = (*seen, *(_explained(said, each) for each in crossing.explanations))
    return Statement(sentence, said.grounds(support(crossing)), parts=parts)


def _seen(words: Words, said: Said, sighting: Sighting) -> Statement:
    where = Ref(str(sighting.where), words_of(words).findable(sighting.where))
    form = f", {label(sighting.form, words)}" if sighting.form is not None else ""
    explained = "; ".join(dict.fromkeys(each.words for each in sighting.explanations))
    sentence = ("Seen in ", where, f"{form}: {explained}{told(sighting)}.")
    return Statement(sentence, said.grounds(sighting.claims))


def _explained(said: Said, explanation: Explanation) -> Statement:
    strength = f", {STRENGTHS[explanation.strength]}" if explanation.strength else ""
    of: Sentence = (" (", said.ref(explanation.reissue), ")") if explanation.reissue else ()
    sentence = (f"Explanation{strength}: {explanation.words}", *of, f": {explanation.why}")
    return Statement(sentence, said.grounds(explanation.claims) or (_SEARCHED,))
