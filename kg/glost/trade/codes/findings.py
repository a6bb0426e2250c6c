"""What numbers and date codes bring to light: misfits, doubtful readings, dates out of life."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rdflib import Graph, URIRef
from rdflib.term import Node

from glost.findings import Finding, Severity
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Triple
from glost.record.dates import DEFAULT_MARGIN, Margin
from glost.trade.codes.decoding import Decoded, Span, decode
from glost.trade.codes.lives import SaidOfLife, life, outside_life
from glost.trade.codes.parts import WORN, CodeError
from glost.trade.codes.pieces import codes_read_on
from glost.trade.codes.scheme import NUMBER, CodeScheme
from glost.trade.codes.schemes import problems, schemes
from glost.words.codes import reading_in_words
from glost.words.labels import Words, label
from glost.words.sentences import sides
from glost.words.spans import period

_OF_TREATMENT = {
    "shape": GLOST.homeShape,
    "firm": GLOST.madeFor,
    "decal": GLOST.usesDecal,
    "glaze": GLOST.usesGlaze,
}
_OF_PIECE = {"shape": GLOST.ofShape, "glaze": GLOST.bearsGlaze, "form": GLOST.form}


def code_findings(
    belief: Belief, graph: Graph | Words, margin: Margin = DEFAULT_MARGIN
) -> Iterator[Finding]:
    """Find what is wrong with numbers and date codes.

    Parameters
    ----------
    belief
        What is believed.
    graph
        The same with the vocabulary, for wording.
    margin
        How far dates marked approximate are widened.

    Yields
    ------
    Finding
        ``scheme-not-understood``; ``number-fits-no-scheme`` of its pottery, or of the mark;
        ``number-read-differently`` by schemes in force; ``code-out-of-force``;
        ``decoded-otherwise`` than what is claimed of the thing; ``decoded-outside-life``.
    """
    known = known_schemes(belief, graph, margin)
    yield from known.problems
    for property_ in _OF:
        for thing in sorted(set(belief.graph.subjects(property_)), key=repr):
            yield from codes_of(thing, property_, belief, known, graph, margin)


@dataclass(frozen=True, slots=True)
class KnownSchemes:
    """The schemes of a record, and what is wrong with themselves."""

    schemes: tuple[CodeScheme, ...]
    problems: tuple[Finding, ...]


def known_schemes(
    belief: Belief, graph: Graph | Words, margin: Margin = DEFAULT_MARGIN
) -> KnownSchemes:
    """Read the schemes, and find what about them is not understood; see `code_findings`."""
    known = schemes(belief, margin)
    return KnownSchemes(known, tuple(_not_understood(belief, known, graph)))


def codes_of(
    thing: Node, property_: URIRef, belief: Belief, known: KnownSchemes, graph: Graph | Words,
    margin: Margin = DEFAULT_MARGIN,
) -> Iterator[Finding]:  # fmt: skip
    """Find what is wrong with the numbers or date codes of one thing; see `code_findings`.

    Parameters
    ----------
    thing
        The treatment or piece.
    property_
        One of `CODES`.
    belief, graph, margin
        As for `code_findings`.
    known
        The schemes.
    """
    if isinstance(thing, URIRef):
        yield from _OF[property_](thing, belief, known.schemes, graph, margin)


def _of_treatment(
    treatment: URIRef,
    belief: Belief,
    known: tuple[CodeScheme, ...],
    graph: Graph | Words,
    margin: Margin,
) -> Iterator[Finding]:
    for said in _numbers(belief, known, treatment, margin):
        yield from _fit(said, known, graph)
        yield from _otherwise(said, _OF_TREATMENT, belief, graph)


def _of_number_read(
    piece: URIRef, belief: Belief, known: tuple[CodeScheme, ...], graph: Graph | Words, _: Margin
) -> Iterator[Finding]:
    for said in _read_on_piece(belief, known, piece):
        yield from _fit(said, known, graph)
        yield from _of_another_shape(said, belief, graph)


def _of_date_code(
    piece: URIRef,
    belief: Belief,
    known: tuple[CodeScheme, ...],
    graph: Graph | Words,
    margin: Margin,
) -> Iterator[Finding]:
    for code in codes_read_on(piece, belief, known):
        statement = next(
            t for claim in code.claims for t in claim.statements if t[1] == GLOST.dateCodeRead
        )
        said = SaidOfLife(code.piece, statement, code.decoded, code.claims)
        yield from _fit(said, (), graph)
        yield from _out_of_force(said, graph)
        yield from _otherwise(said, _OF_PIECE, belief, graph)
        yield from _other_plant(said, belief, graph)
        yield from outside_life(code, said, belief, graph, margin)


_OF = {
    GLOST.treatmentNumber: _of_treatment,
    GLOST.numberRead: _of_number_read,
    GLOST.dateCodeRead: _of_date_code,
}

CODES = frozenset(_OF)
"""The properties whose values are numbers or date codes."""


def _not_understood(
    belief: Belief, known: Iterable[CodeScheme], graph: Graph | Words
) -> Iterator[Finding]:
    for problem in problems(belief):
        yield Finding(
            "scheme-not-understood", Severity.WARNING, (str(problem.about),),
            f"{label(problem.about, graph)}: {problem.message}.",
            sides(belief.rests_on(problem.statement), graph, [problem.statement]),
            f"{problem.remedy[:1].upper()}{problem.remedy[1:]}.",
        )  # fmt: skip
    for scheme in known:
        names = {part.name for part in scheme.parts}
        for meaning in (m for part in scheme.parts for m in part.meanings):
            tested = {test.part for condition in meaning.only_in for test in condition.tests}
            if unknown := sorted(tested - names):
                yield Finding(
                    "scheme-not-understood", Severity.WARNING, (str(meaning.iri),),
                    f"An exception of {label(scheme.iri, graph)} speaks of {unknown[0]}, which "
                    f"the pattern {scheme.pattern} does not have; it never holds.",
                    sides(meaning.claims, graph, []),
                    "Correct the name of the part, or the pattern.",
                )  # fmt: skip


def _numbers(
    belief: Belief, known: tuple[CodeScheme, ...], treatment: URIRef, margin: Margin
) -> Iterator[SaidOfLife]:
    if its := _of(known, belief.values(treatment, GLOST.issuedBy)):
        for number in belief.values(treatment, GLOST.treatmentNumber):
            statement = (treatment, GLOST.treatmentNumber, number)
            yield _said(belief, statement, its, life(belief, treatment, margin))


def _read_on_piece(
    belief: Belief, known: tuple[CodeScheme, ...], piece: URIRef
) -> Iterator[SaidOfLife]:
    if its := _of(known, belief.values(piece, GLOST.madeBy)):
        for number in belief.values(piece, GLOST.numberRead):
            yield _said(belief, (piece, GLOST.numberRead, number), its, (None, None))


def _of(known: Iterable[CodeScheme], potteries: Iterable[Node]) -> tuple[CodeScheme, ...]:
    return tuple(s for s in known if NUMBER in s.codes and not {*potteries}.isdisjoint(s.potteries))


def _said(belief: Belief, statement: Triple, its: tuple[CodeScheme, ...], when: Span) -> SaidOfLife:
    try:
        decoded = decode(str(statement[2]), its, when)
    except CodeError:
        decoded = Decoded(str(statement[2]), ())
    return SaidOfLife(URIRef(str(statement[0])), statement, decoded, belief.rests_on(statement))


def _fit(
    said: SaidOfLife, known: tuple[CodeScheme, ...], graph: Graph | Words
) -> Iterator[Finding]:
    text, name = said.decoded.text, label(said.thing, graph)
    if not said.decoded.readings:
        if text.count(WORN) == len(text):
            return
        others = decode(text, _all(known)).readings if len(known) > 1 and WORN not in text else ()
        whose = sorted({label(p, graph) for r in others for p in r.scheme.potteries})
        hint = f" It fits a scheme of {' and of '.join(whose)}." if whose else ""
        yield Finding(
            "number-fits-no-scheme", Severity.WARNING, (str(said.thing),),
            f'"{text}", given for {name}, fits no scheme by which it should be read.{hint}',
            sides(said.claims, graph, [said.statement]),
            "Look at the number again; if it is right, the scheme lacks a value or a pattern.",
        )  # fmt: skip
    elif said.decoded.differs and WORN not in text:
        readings = said.decoded.counting
        ways = sorted({reading_in_words(reading, graph) for reading in readings})
        by = {reading.scheme for reading in readings}
        how = "by schemes in force at the same time" if len(by) > 1 else "by one scheme"
        claims = [c for r in readings for c in r.claims]
        yield Finding(
            "number-read-differently", Severity.WARNING, (str(said.thing),),
            f'"{text}", given for {name}, is read in {len(ways)} ways {how}: '
            f"{'; or '.join(ways)}.",
            sides([*said.claims, *claims], graph, [said.statement]),
            "Something else must decide: the piece, its mark, or when each scheme was in use.",
        )  # fmt: skip


def _all(known: tuple[CodeScheme, ...]) -> list[CodeScheme]:
    return [scheme for scheme in known if NUMBER in scheme.codes]


def _out_of_force(said: SaidOfLife, graph: Graph | Words) -> Iterator[Finding]:
    decoded = said.decoded
    if not decoded.readings or decoded.possible:
        return
    span = period(decoded.span)
    claims = [*said.claims, *(c for r in decoded.readings for c in (*r.claims, *r.scheme.life))]
    yield Finding(
        "code-out-of-force", Severity.WARNING, (str(said.thing),),
        f'The code "{decoded.text}" of {label(said.thing, graph)} tells {span}, when its scheme '
        "is said not to have been in use.",
        sides(claims, graph, [said.statement]),
        "Either the code is misread, or the scheme was used longer than is said.",
    )  # fmt: skip


def _otherwise(
    said: SaidOfLife, properties: dict[str, URIRef], belief: Belief, graph: Graph | Words
) -> Iterator[Finding]:
    for tells, property_ in properties.items():
        claimed = [(said.thing, property_, value) for value in belief.values(said.thing, property_)]
        yield from _differs(said, tells, claimed, belief, graph)


def _other_plant(said: SaidOfLife, belief: Belief, graph: Graph | Words) -> Iterator[Finding]:
    marks = belief.values(said.thing, GLOST.bearsMark)
    claimed = [
        (mark, GLOST.denotesPlant, plant)
        for mark in marks
        for plant in belief.values(mark, GLOST.denotesPlant)
    ]
    yield from _differs(said, "plant", claimed, belief, graph)


def _differs(
    said: SaidOfLife, tells: str, claimed: Sequence[Triple], belief: Belief, graph: Graph | Words
) -> Iterator[Finding]:
    readings = said.decoded.counting
    things = {reading.things.get(tells) for reading in readings}
    if not claimed or not things or None in things or things & {c[2] for c in claimed}:
        return
    decoded = " or ".join(sorted(label(t, graph) for t in things if t is not None))
    names = " and ".join(sorted({label(c[2], graph) for c in claimed}))
    claims = [
        *said.claims,
        *(c for r in readings for c in r.claims),
        *belief.supporting(claimed),
    ]
    yield Finding(
        "decoded-otherwise", Severity.WARNING, (str(said.thing),),
        f'"{said.decoded.text}" of {label(said.thing, graph)} tells the {tells} {decoded}, but '
        f"{names} is claimed.",
        sides(claims, graph, [said.statement, *claimed]),
        "Look at the number and at the claim again: one is misread, or it is an exception.",
    )  # fmt: skip


def _of_another_shape(said: SaidOfLife, belief: Belief, graph: Graph | Words) -> Iterator[Finding]:
    """Find pieces of which the number says another home than the treatment they bear.

    Where no treatment is named, a number of another shape is found if the two are not known to
    share flatware: what bears a named treatment is looked at as a crossing.
    """
    treatments = belief.values(said.thing, GLOST.bearsTreatment)
    homes = [(t, GLOST.homeShape, h) for t in treatments for h in belief.values(t, GLOST.homeShape)]
    if treatments:
        yield from _differs(said, "shape", sorted(homes, key=repr), belief, graph)
        return
    yield from _otherwise(said, {"shape": GLOST.ofShape}, belief, graph)
