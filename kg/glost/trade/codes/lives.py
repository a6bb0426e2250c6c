"""Codes against the life of what bears them."""

from collections.abc import Iterator
from dataclasses import dataclass

from rdflib import Graph, URIRef

from glost.findings import Finding, Severity
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.dates import DEFAULT_MARGIN, DateError, Margin
from glost.record.dates import read as read_date
from glost.trade.codes.decoding import Decoded, Span
from glost.trade.codes.pieces import PieceCode
from glost.words.labels import label
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
    begins = [date for _, date in _dates(belief, f"{thing}#begin", margin)]
    ends = [date for _, date in _dates(belief, f"{thing}#end", margin)]
    starts = [earliest for earliest, _ in begins]
    lasts = [latest for _, latest in ends]
    first = None if not starts or None in starts else min(s for s in starts if s is not None)
    last = None if not lasts or None in lasts else max(e for e in lasts if e is not None)
    return first, last


def _dates(belief: Belief, point: str, margin: Margin) -> Iterator[tuple[Triple, Span]]:
    subject = URIRef(point)
    for value in sorted(belief.graph.objects(subject, GLOST.date), key=str):
        try:
            date = read_date(str(value), margin)
        except DateError:
            continue
        yield (subject, GLOST.date, value), (date.earliest, date.latest)


def outside_life(
    code: PieceCode, said: SaidOfLife, belief: Belief, graph: Graph, margin: Margin
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
        for statement, (first, last) in _dates(belief, point, margin):
            too_early = before and first is not None and latest < first
            too_late = after and last is not None and earliest > last
            if too_early or too_late:
                against.append(statement)
    if not against:
        return
    said_so = sorted({f"{label(s, graph)} {value}" for s, _, value in against})
    claims = [
        *code.claims, *code.decoded.claims, *(c for s in against for c in belief.rests_on(s))
    ]  # fmt: skip
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
    facts = belief.graph
    yield f"{code.piece}#{code.point}", True, True
    for shape in sorted(facts.objects(code.piece, GLOST.ofShape), key=str):
        yield f"{shape}#begin", True, False
        if made:
            yield f"{shape}#end", False, True
    yield f"{code.mark}#begin", True, False
    yield f"{code.mark}#end", False, True
    for treatment in sorted(facts.objects(code.piece, GLOST.bearsTreatment), key=str):
        if not made:
            yield f"{treatment}#begin", True, False
        yield f"{treatment}#end", False, True
