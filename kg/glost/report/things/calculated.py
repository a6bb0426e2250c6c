"""What is calculated of a thing beside its dates, with the working behind each figure."""

from collections.abc import Iterable, Iterator

from rdflib import URIRef

from glost.names import GLOST
from glost.record.claims import Triple
from glost.report.things.basis import ThingBasis, Whole
from glost.report.things.said import Said, capital
from glost.report.tree import Ground, Group, Rule, Section, Statement
from glost.trade.assortments.holding import Held
from glost.trade.codes import PieceCode
from glost.trade.kilns.kiln import kiln_result
from glost.trade.kilns.measures import numbers
from glost.trade.kilns.reckoned import Reckoned
from glost.words.codes import reading_in_words

_HELD = Rule(
    "Held against lists and pieces: a list shows that an article was not there only if it is "
    "stated to be complete without dispute, a piece only that one was"
)
_CORRECTED = Rule("A correction withdrew a claim that it used")
_DECODED = Rule("Read by the code's scheme")


def calculated(
    basis: ThingBasis, said: Said, thing: URIRef, kinds: tuple[str, ...]
) -> Iterator[Section]:
    """Tell the codes read on a piece, a kiln's figures, and whether statements are borne out."""
    if not isinstance(basis, Whole):
        return
    groups = (
        ("Codes read", tuple(_codes(basis, said, thing))),
        ("Figures", tuple(_figures(basis, said, thing)) if "Kiln" in kinds else ()),
        (
            "Stated of its lists",
            tuple(_held(said, each) for each in basis.held.get(str(thing), ())),
        ),
        ("Worked out", tuple(_reckoned(basis, said, thing))),
    )
    told = tuple(Group(some, (heading,)) for heading, some in groups if some)
    if told:
        yield Section("calculated", "Worked out", told)


def _codes(basis: Whole, said: Said, piece: URIRef) -> Iterator[Statement]:
    for found in basis.codes.get(str(piece), ()):
        yield from _code(basis, said, found)


def _code(basis: Whole, said: Said, found: PieceCode) -> Iterator[Statement]:
    graph = basis.snapshot.graph
    for reading in found.decoded.counting:
        told = reading_in_words(reading, graph)
        grounds = said.grounds([*found.claims, *reading.claims])
        sentence = (
            f"Date code {found.decoded.text}, by ", said.ref(reading.scheme.iri), f": {told}."
        )  # fmt: skip
        yield Statement(sentence, grounds or (_DECODED,))
    if not found.decoded.readings:
        text = f"Date code {found.decoded.text}: no scheme of its mark reads it."
        yield Statement((text,), said.grounds(found.claims) or (_DECODED,))


def _figures(basis: Whole, said: Said, kiln: URIRef) -> Iterator[Statement]:
    for line in kiln_result(basis.belief, basis.snapshot.graph, kiln).reckoned:
        name = f"{line.of}: {line.reckoned.name}" if line.of else line.reckoned.name
        yield _figure(said, capital(name), line.reckoned)


def _figure(said: Said, name: str, figure: Reckoned) -> Statement:
    rule = Rule(f"Calculated as {figure.formula}")
    inputs = "; ".join(dict.fromkeys(each.words() for each in figure.inputs))
    text = f"{figure.value()}, from {inputs}."
    return Statement((text,), (*said.grounds(figure.claims), rule), _name=(name,))


def _held(said: Said, held: Held) -> Statement:
    parts = [f"{capital(held.says)}. Borne out: {held.verdict}"]
    parts += [held.because] if held.because else []
    parts += [f"to be decided by {held.deciding}"] if held.deciding else []
    claims = [*held.stated.claims, *held.claims]
    return Statement((f"{'; '.join(parts).rstrip('.')}.",), (*said.grounds(claims), _HELD))


TOLD = {
    GLOST.lengthInMetres: "Length in metres",
    GLOST.innerDiameterInMetres: "Inner diameter in metres",
    GLOST.innerHeightInMetres: "Inner height in metres",
    GLOST.innerWidthInMetres: "Inner width in metres",
    GLOST.carPitchInMetres: "Car spacing in metres",
    GLOST.temperatureInCelsius: "Highest temperature in degrees Celsius",
    GLOST.unexplainedLength: "Length unaccounted for, in metres",
    GLOST.homeByNumber: "Home by its number",
    GLOST.followsAssortment: "Follows",
    GLOST.overtakenBy: "Overtaken by",
}
"""The properties that are told as worked out, and under which name."""


def _reckoned(basis: Whole, said: Said, thing: URIRef) -> Iterator[Statement]:
    for triple in basis.worked_out(str(thing)):
        name = TOLD.get(URIRef(str(triple[1])))
        if name is not None and triple[0] == thing:
            yield Statement((said.value(triple[2]),), _leaves(basis, said, triple), _name=(name,))


def _leaves(basis: Whole, said: Said, triple: Triple) -> tuple[Ground, ...]:
    if triple[1] == GLOST.overtakenBy:
        correction = basis.claim(str(triple[2]))
        return (_CORRECTED,) if correction is None else said.grounds([correction])
    claims = [claim for fact in _facts(basis, triple) for claim in basis.belief.rests_on(fact)]
    return said.grounds(claims) or (Rule("Worked out from the record"),)


def _facts(basis: Whole, triple: Triple) -> Iterable[Triple]:
    """Return what a figure was worked out from: of a kiln, what is said of its zones too."""
    subject, predicate, _ = triple
    graph = basis.belief.graph
    parts, wordings = [subject], [said for said, number in numbers().items() if number == predicate]
    if predicate == GLOST.unexplainedLength:
        parts += graph.subjects(GLOST.zoneOf, subject)
        wordings = [GLOST.overallLength, GLOST.zoneLength]
    if not wordings:
        return basis.snapshot.contents.why(triple)
    return [
        (part, property_, value)
        for part in parts
        for property_ in wordings
        for value in sorted(graph.objects(part, property_), key=str)
    ]
