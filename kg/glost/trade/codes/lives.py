"""Codes against the life of what bears them."""

from collections.abc import Iterator
from dataclasses import dataclass

from rdflib import Graph, URIRef

from glost.findings import Finding, Severity
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.dates import DEFAULT_MARGIN, Margin, hull
from glost.trade.codes.decoding import Decoded, Span
from glost.trade.codes.pieces import PieceCode
from glost.words.labels import Words, label
from glost.words.sentences import sides
from glost.words.spans import period


@dataclass(frozen=True, slots=True)
class SaidOfLife:
    """A code that a source gives for a thing."""

    thing: URIRef
    statement: Triple
    decoded: Decoded
    claims: tuple[Claim, ...]


def life(belief: Belief, thing: URIRef, margin: Margin = DEFAULT_MARGIN) -> Span:
    """Return the first day a thing may have begun and the last it may have ended, inclusive."""
    begins, ends = (belief.dates(URIRef(f"{thing}#{point}"), margin) for point in ("begin", "end"))
    return hull(each.date for each in begins)[0], hull(each.date for each in ends)[1]


def outside_life(
    code: PieceCode, said: SaidOfLife, belief: Belief, graph: Graph | Words, margin: Margin
) -> Iterator[Finding]:
    """Find a piece whose date code tells days that some claim about its life leaves out.

    Each claim is taken by itself, so that a piece decides against the one of two books it
    disproves.
    """
    earliest, latest = code.decoded.span
    if code.point not in ("made", "decorated") or earliest is None or latest is None:
        return
    against = []
    for point, before, after in _bounding(code, belief):
        for value, date, _ in belief.dates(URIRef(point), margin):
            too_early = before and date.earliest is not None and latest < date.earliest
            too_late = after and date.latest is not None and earliest > date.latest
            if too_early or too_late:
                against.append((URIRef(point), GLOST.date, value))
    if not against:
        return
    said_so = sorted({f"{label(s, graph)} {value}" for s, _, value in against})
    claims = [*code.claims, *code.decoded.claims, *belief.supporting(against)]
    yield Finding(
        "decoded-outside-life", Severity.WARNING, (str(code.piece),),
        f'The code "{code.decoded.text}" of {label(code.piece, graph)} tells '
        f"{period((earliest, latest))}, outside what is said of its life: "
        f"{', '.join(said_so)}.",
        sides(claims, graph, [said.statement, *against]),
        "A dated piece decides against a book; or the code is misread, or the mark was kept on.",
    )  # fmt: skip


def _bounding(code: PieceCode, belief: Belief) -> Iterator[tuple[str, bool, bool]]:
    """Yield the points that bound a piece's code, and if from before, from after, or both.

    A piece is made within its shape's run and marked within its mark's; blanks may be decorated
    after the shape was given up, and are decorated while the treatment was sold.
    """
    made = code.point == "made"
    yield f"{code.piece}#{code.point}", True, True
    for shape in belief.values(code.piece, GLOST.ofShape):
        yield f"{shape}#begin", True, False
        if made:
            yield f"{shape}#end", False, True
    yield f"{code.mark}#begin", True, False
    yield f"{code.mark}#end", False, True
    for treatment in belief.values(code.piece, GLOST.bearsTreatment):
        if not made:
            yield f"{treatment}#begin", True, False
        yield f"{treatment}#end", False, True
