"""What the dates of a group of pieces come to: one mean date, and their spread over the years."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.answer.groups import standing_for
from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.claims import Claim, in_order
from glost.record.dates import calendar_day, day_number
from glost.record.errors import RecordError, RecordErrors
from glost.trade.statistics import aoristic, mean_ceramic_date, median_date, possible_counts
from glost.words.labels import label


@dataclass(frozen=True, slots=True)
class Type:
    """The pieces of one shape in a group.

    Attributes
    ----------
    shape
        What the shape is called.
    count
        How many pieces of the group are of it.
    first, last
        Years of the first and last day on which it may have been in production.
    median
        The middle of these two years, as South reckons it.
    claims
        What the two days rest on.
    """

    shape: str
    count: int
    first: int
    last: int
    median: float
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class PieceSpan:
    """Some years, and the pieces of a group that may have been made in them.

    Attributes
    ----------
    first, last
        The years, both inclusive.
    weight
        Their aoristic weight: each piece shared out over the days between its limits.
    possible
        How many may have been made then.
    claims
        What the limits of these rest on.
    """

    first: int
    last: int
    weight: float
    possible: int
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class PieceGroup:
    """What the dates of a group of pieces come to.

    Attributes
    ----------
    pieces
        How many there are.
    mean
        The mean ceramic date (S. South, 1977), a year with a fraction; None if no shape of
        the group is dated at both ends.
    types
        The shapes the mean goes by.
    without_type
        Names of pieces left out of the mean: of no shape, of several, or of one not dated.
    periods
        The spread over the years (J. H. Ratcliffe, 2000).
    without_limits
        Names of pieces left out of the spread, for a limit of their making is not known.
    """

    pieces: int
    mean: float | None
    types: tuple[Type, ...]
    without_type: tuple[str, ...]
    periods: tuple[PieceSpan, ...]
    without_limits: tuple[str, ...]


def pieces_of(snapshot: Snapshot, names: Iterable[str], of: str | None) -> list[URIRef]:
    """Find the pieces of a group: those named, or those that state a thing; all if neither.

    Raises
    ------
    RecordErrors
        If one is not known or no piece, or if there is none.
    """
    facts = snapshot.belief.graph
    every = {p for p in facts.subjects(RDF.type, GLOST.Piece) if isinstance(p, URIRef)}
    where = str(snapshot.record.collection.path)
    chosen: set[URIRef] = set()
    errors: list[RecordError] = []
    for name in names:
        try:
            found = find_thing(snapshot.record, name, "piece")
        except RecordErrors as bad:
            errors += bad.errors
            continue
        if found not in every:
            message = f"{label(found, snapshot.words)} is no piece"
            errors.append(RecordError(where, message, "name pieces", found=name))
        chosen.add(found)
    if errors:
        raise RecordErrors(errors)
    if of is not None:
        for thing in standing_for(snapshot.belief, find_thing(snapshot.record, of), where):
            chosen |= {piece for piece in every if thing in set(facts.objects(piece))}
            chosen |= {s for s in _made_by(snapshot, thing) if s in every}
    elif not chosen:
        chosen = every
    if not chosen:
        message = "there is no such piece"
        raise RecordErrors([RecordError(where, message, "name pieces, or a thing they show")])
    return sorted(chosen)


def _made_by(snapshot: Snapshot, thing: URIRef) -> Iterable[URIRef]:
    """Yield the pieces of the shapes of a pottery."""
    facts = snapshot.belief.graph
    for shape in facts.subjects(GLOST.madeBy, thing):
        for piece in facts.subjects(GLOST.ofShape, shape):
            if isinstance(piece, URIRef):
                yield piece


def spread(snapshot: Snapshot, pieces: Iterable[URIRef], years: int = 5) -> PieceGroup:
    """Reckon what the dates of a group of pieces come to.

    Parameters
    ----------
    snapshot
        The collection.
    pieces
        The group.
    years
        How many years a period has; periods begin in years that this divides.

    Returns
    -------
    Group
        Limits are those that all claims together allow, days of the proleptic Gregorian
        calendar, both inclusive.

    References
    ----------
    S. South, Method and Theory in Historical Archaeology, 1977. J. H. Ratcliffe, "Aoristic
    analysis", International Journal of Geographical Information Science 14, 2000.
    """
    group = list(pieces)
    by_shape, without_type = _by_shape(snapshot, group)
    types = []
    for shape, members in sorted(by_shape.items()):
        found = _limits(snapshot, shape, "begin", "end")
        if found is None:
            without_type += members
        else:
            types.append(_type(snapshot, shape, len(members), *found))
    limits: dict[URIRef, tuple[int, int, tuple[Claim, ...]]] = {}
    for piece in group:
        found = _limits(snapshot, piece, "made", "made")
        if found is not None:
            limits[piece] = found
    names = {piece: snapshot.words.with_id(piece) for piece in group}
    return PieceGroup(
        len(group),
        mean_ceramic_date([(each.count, each.median) for each in types]) if types else None,
        tuple(sorted(types, key=lambda each: (each.median, each.shape))),
        tuple(sorted(names[piece] for piece in without_type)),
        _periods(limits, years),
        tuple(sorted(names[piece] for piece in group if piece not in limits)),
    )


def _by_shape(
    snapshot: Snapshot, pieces: Iterable[URIRef]
) -> tuple[dict[URIRef, list[URIRef]], list[URIRef]]:
    found: dict[URIRef, list[URIRef]] = {}
    left: list[URIRef] = []
    for piece in pieces:
        shapes = set(snapshot.belief.graph.objects(piece, GLOST.ofShape))
        shape = shapes.pop() if len(shapes) == 1 else None
        (found.setdefault(shape, []) if isinstance(shape, URIRef) else left).append(piece)
    return found, left


def _limits(
    snapshot: Snapshot, thing: URIRef, first: str, last: str
) -> tuple[int, int, tuple[Claim, ...]] | None:
    """Return the earliest day of one point, the latest of another, and what both rest on."""
    times = snapshot.chronology
    one, other = URIRef(f"{thing}#{first}"), URIRef(f"{thing}#{last}")
    early, late = times.bounds(one).earliest, times.bounds(other).latest
    if early is None or late is None or late < early:
        return None
    arguments = (times.why_not_before(one), times.why_not_after(other))
    claims = {c for each in arguments if each for ground in each.grounds for c in ground.claims}
    return early, late, in_order(claims)


def _type(
    snapshot: Snapshot, shape: URIRef, count: int, first: int, last: int, claims: tuple[Claim, ...]
) -> Type:
    one, other = calendar_day(first)[0], calendar_day(last)[0]
    middle = median_date((one, other))
    return Type(label(shape, snapshot.words), count, one, other, middle, claims)


def _periods(
    limits: Mapping[URIRef, tuple[int, int, tuple[Claim, ...]]], years: int
) -> tuple[PieceSpan, ...]:
    if not limits:
        return ()
    first = calendar_day(min(early for early, _, _ in limits.values()))[0] // years * years
    last = calendar_day(max(late for _, late, _ in limits.values()))[0]
    edges = [*range(first, last + years, years)]
    edges = edges if edges[-1] > last else [*edges, edges[-1] + years]
    days = [day_number(year, 1, 1) for year in edges]
    spans = [(early, late + 1) for early, late, _ in limits.values()]
    weights, counts = aoristic(spans, days), possible_counts(spans, days)
    rows = []
    for at, (begin, end) in enumerate(pairwise(edges)):
        resting = {
            claim
            for early, late, claims in limits.values()
            if early < days[at + 1] and late >= days[at]
            for claim in claims
        }
        rows.append(
            PieceSpan(begin, end - 1, float(weights[at]), int(counts[at]), in_order(resting))
        )
    return tuple(rows)
