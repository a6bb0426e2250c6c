"""Pieces dated from a collection, recorded ones as if they were not on record."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from rdflib import URIRef
from rdflib.namespace import PROV

from glost.answer.cache import Cache
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.dates import Margin
from glost.record.store import StoredBelief
from glost.trade.dating import (
    Dated,
    Limiter,
    Misreading,
    Narrowing,
    StatedDate,
    date_seen,
    misreadings,
    narrowings,
)
from glost.trade.naming.known import Known
from glost.trade.naming.seen import Seen, seen_on
from glost.trade.times import Bounded
from glost.trade.times.stored import StoredTimes, write

if TYPE_CHECKING:
    from glost.record.record import Record
    from glost.trade.times import Chronology


def limiter_of(snapshot: Snapshot) -> Limiter:
    """Make what dates pieces by all that is on record."""
    return Limiter(Known(snapshot.belief, snapshot.words), snapshot.chronology)


@dataclass(frozen=True, slots=True)
class DatedPiece:
    """A piece dated, and what to do next.

    Attributes
    ----------
    dated
        The piece, dated.
    looks
        What to look for next, the most telling first; none where something contradicts.
    misreadings
        What, read otherwise by one sign, would settle a contradiction.
    margin
        How far approximate dates were widened.
    """

    dated: Dated
    looks: tuple[Narrowing, ...]
    misreadings: tuple[Misreading, ...]
    margin: Margin


def date_by(snapshot: Snapshot, seen: Seen) -> DatedPiece:
    """Date a piece that is not on record by what is seen on it.

    Parameters
    ----------
    snapshot
        The collection.
    seen
        What is seen.
    """
    return _report(limiter_of(snapshot), seen, ())


def _report(limiter: Limiter, seen: Seen, stated: tuple[StatedDate, ...]) -> DatedPiece:
    dated = date_seen(limiter, seen, stated)
    return DatedPiece(
        dated, narrowings(limiter, dated), misreadings(limiter, dated, stated), limiter.times.margin
    )


def date_piece(snapshot: Snapshot, piece: URIRef) -> DatedPiece:
    """Date a piece on record by what is recorded of it.

    The piece is taken out of the record first, so that it is no evidence for itself: a shape whose
    end it alone puts late ends when the others say, and the piece is then seen to contradict them.
    """
    belief = snapshot.stored.believed(snapshot.as_of)
    seen = seen_on(belief, piece)
    shapes = belief.values(piece, GLOST.ofShape)
    if len(shapes) == 1 and isinstance(shapes[0], URIRef):
        seen = replace(seen, shape=shapes[0])
    limiter = _limiter_without(snapshot, piece)
    return _report(limiter, seen, tuple(_stated(belief, piece, snapshot.collection.margin)))


def _limiter_without(snapshot: Snapshot, piece: URIRef) -> Limiter:
    """Make what dates a piece by all on record but what is recorded of itself.

    What is kept of the collection will do, with what the piece bears on reckoned anew. Where the
    piece takes part in a contradiction, all is reckoned, and kept for the next time.
    """
    belief, times = snapshot.stored.believed(snapshot.as_of), snapshot.stored_times
    if not isinstance(belief, StoredBelief) or not isinstance(times, StoredTimes) or snapshot.as_of:
        return _reckoned_without(snapshot, piece)
    less = belief.without(belief.about(str(piece)))
    if less is None or snapshot.cache is None:
        return _reckoned_without(snapshot, piece)
    bounds = times.without(piece, less, _said(belief.about(str(piece))))
    return Limiter(Known(less), bounds or _kept_without(snapshot.cache, snapshot, piece, less))


def _kept_without(cache: Cache, snapshot: Snapshot, piece: URIRef, belief: Belief) -> Bounded:
    """Return the chronology of all but a piece, reckoned only if it is not kept."""

    def make() -> "Chronology":
        return _chronology(leaving_out(snapshot.record, piece), snapshot.as_of)

    def take(path: Path) -> Bounded:
        return StoredTimes(path, belief, snapshot.collection.margin, make)

    name = sha256(piece.encode()).hexdigest()[:16]
    return cache.tables(f"times-without-{name}", make, write, take)


def _said(claims: Iterable[Claim]) -> Iterator[Triple]:
    """Yield what claims state, and that each rests on its source."""
    for claim in claims:
        yield from claim.statements
        yield claim.iri, PROV.hadPrimarySource, claim.passage.source


def _reckoned_without(snapshot: Snapshot, piece: URIRef) -> Limiter:
    """Reckon everything anew without a piece."""
    record = leaving_out(snapshot.record, piece)
    belief = record.believed(snapshot.as_of)
    return Limiter(Known(belief), _chronology(record, snapshot.as_of))


def _chronology(record: "Record", as_of: date | None) -> "Chronology":
    from glost.answer.times import chronology_of  # what is looked up needs none of it

    return chronology_of(record, as_of)


def leaving_out(record: "Record", piece: URIRef) -> "Record":
    """Return a record without the claims about a piece; what else rests on it stays."""
    about = record.believed().about(str(piece))
    kept = record.claims.without(claim.iri for claim in about)
    return replace(record, claims=kept, _beliefs={})


def _stated(belief: Belief, piece: URIRef, margin: Margin) -> Iterator[StatedDate]:
    """Yield the dates that sources give for a piece."""
    for point in ("made", "decorated"):
        subject = URIRef(f"{piece}#{point}")
        for value, read, claims in belief.dates(subject, margin):
            yield StatedDate(point, str(value), read.earliest, read.latest, claims, read.margin)
