"""The most telling thing to look for next: what would narrow the date, by what others show."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.names import GLOST
from glost.trade.dating.dated import Dated, between
from glost.trade.dating.limits import Limit, Limiter
from glost.trade.naming.seen import Seen, seen_on
from glost.trade.naming.sight import marks_read, treatments_read

_YEAR = 365.2425


@dataclass(frozen=True, slots=True)
class Narrowing:
    """How far one further observation would narrow a date.

    Attributes
    ----------
    observation
        What to look for: ``date_code``, ``marks``, ``treatment``.
    years
        By how many years it would narrow making and decorating, on average of the two and of all
        comparable pieces, those without it counting as nothing.
    showing, of
        How many of the comparable pieces show it, and how many there are.
    pieces
        Those that show it.
    """

    observation: str
    years: float
    showing: int
    of: int
    pieces: tuple[URIRef, ...]


_KINDS = ("shape", "treatment", "marks", "date_code", "glaze")


def narrowings(limiter: Limiter, dated: Dated) -> tuple[Narrowing, ...]:
    """Reckon how far each thing not yet seen would narrow a date, the most telling first.

    What comparable recorded pieces show stands for what this one may show: pieces of the same
    shape; if no shape is seen, of the same treatment, mark, glaze or pottery; else all. Each is
    taken as equally likely. Where a date is open, it is taken to reach as far as anything on
    record. What another piece shows and this one cannot, since it would clash, narrows nothing.
    """
    if dated.contradictory:
        return ()
    horizon = _horizon(limiter)
    now = _width(dated.limits, horizon)
    if now is None:
        return ()
    others = list(_comparable(limiter, dated.seen))
    found = []
    for kind in _KINDS:
        if getattr(dated.seen, kind) or (kind == "marks" and dated.seen.mark_read):
            continue
        if kind == "treatment" and dated.seen.number:
            continue
        gains, showing = 0.0, []
        for piece, seen in others:
            if not getattr(seen, kind):
                continue
            showing.append(piece)
            further = limiter.limits(_with(dated.seen, seen, kind))
            after = _width((*dated.limits, *further), horizon)
            gains += now - after if after is not None else 0.0
        if gains > 0:
            years = gains / len(others) / _YEAR
            found.append(Narrowing(kind, years, len(showing), len(others), tuple(showing)))
    return tuple(sorted(found, key=lambda n: (-n.years, n.observation)))


def _with(seen: Seen, other: Seen, kind: str) -> Seen:
    """Return what is seen with one thing taken from another piece; a code with its mark."""
    if kind == "date_code" and not seen.marks:
        return replace(seen, date_code=other.date_code, marks=other.marks)
    return replace(seen, **{kind: getattr(other, kind)})


def _comparable(limiter: Limiter, seen: Seen) -> Iterator[tuple[URIRef, Seen]]:
    """Yield the recorded pieces that share the most telling thing seen, with what they show."""
    known = limiter.known
    wanted = (
        (GLOST.ofShape, (seen.shape,)),
        (GLOST.bearsTreatment, treatments_read(seen, known)),
        (GLOST.bearsMark, marks_read(seen, known)),
        (GLOST.bearsGlaze, (seen.glaze,)),
        (GLOST.madeBy, (seen.pottery,)),
    )
    belief = known.belief
    like = next(((p, some) for p, some in wanted if any(some)), None)
    if like is None:
        found = set(belief.things(GLOST.Piece))
    else:
        found = {piece for value in like[1] for piece in belief.having(like[0], value)}
    for piece in sorted(found - known.without):
        shapes = belief.named(piece, GLOST.ofShape)
        if shapes and (piece, RDF.type, GLOST.Piece) in belief.graph:
            shape = shapes[0] if len(shapes) == 1 else None
            yield piece, replace(seen_on(belief, piece), shape=shape)


def _horizon(limiter: Limiter) -> tuple[int, int]:
    """Return the first and last day of the lives of shapes on record."""
    points = [
        limiter.times.bounds(URIRef(f"{shape}#{end}"))
        for shape in limiter.known.belief.things(GLOST.Shape)
        for end in ("begin", "end")
    ]
    starts = [found.earliest for found in points if found.earliest is not None]
    ends = [found.latest for found in points if found.latest is not None]
    return (min(starts, default=0), max(ends, default=0))


def _width(limits: Iterable[Limit], horizon: tuple[int, int]) -> float | None:
    """Return how many days are left for making and for decorating, on average; None if none."""
    total = 0
    for span in between(limits):
        early, late = span.days
        first = early if early is not None else horizon[0]
        last = late if late is not None else horizon[1]
        if span.empty:
            return None
        total += max(0, last - first + 1)
    return total / 2
