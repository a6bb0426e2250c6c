"""What rules with a `how` do: dates, codes that were read, sequences, and what lists show."""

from collections.abc import Iterable
from typing import TypeAlias

import numpy as np
import polars as pl
from rdflib import URIRef

from glost.record.claims import Claim
from glost.record.dates import DateError, Margin
from glost.record.dates import read as read_date
from glost.trade.times.gathering import DATE, Gathering
from glost.trade.times.joining import terms
from glost.trade.times.statements import Ints, TimeStatements

Reading: TypeAlias = tuple[URIRef, str, int | None, int | None, Iterable[Claim | URIRef]]
"""A piece, ``made`` or ``decorated``, the first and last day read, and all claims needed for it."""

LISTS = ["catalogue", "price-list", "brochure"]
"""Kinds of source, by id, that offer what is in production."""


def dates(gathering: Gathering, margin: Margin) -> None:
    """Bound every dated point by every date given for it."""
    statements = gathering.statements
    given = statements.where("date", "sourceDate")
    objects, place = np.unique(given["object"].to_numpy(), return_inverse=True)
    days = [_days(statements.terms[term], margin) for term in objects.tolist()]
    events = gathering.events.of_terms(given["subject"].to_numpy())
    reason = gathering.reasons("stated-date", given["ground"].to_numpy())
    for side, limit in enumerate((gathering.not_before, gathering.not_after)):
        known = np.array([day[side] is not None for day in days], np.bool_)[place]
        day = np.array([day[side] or 0 for day in days], np.int64)[place]
        limit(events[known], day[known], reason[known])


def _days(term: object, margin: Margin) -> tuple[int | None, int | None]:
    try:
        date = read_date(str(term), margin)
    except DateError:  # reading the record finds it
        return None, None
    return date.earliest, date.latest


def readings(gathering: Gathering, read: Iterable[Reading]) -> None:
    """Bound pieces by the codes read on them."""
    statements = gathering.statements
    rested = [
        (piece, point, days, {str(c.iri if isinstance(c, Claim) else c) for c in claims})
        for piece, point, *days, claims in read
    ]
    number = statements.claims.places(iri for *_, iris in rested for iri in iris)
    ground = {iri: statements.of_claim(at) for iri, at in number.items()}
    for piece, point, (earliest, latest), iris in rested:
        if not iris <= number.keys():
            continue  # it rests on a claim that is not believed
        grounds = np.unique([ground[iri] for iri in iris])
        reason = gathering.reasons("read-date", *grounds[:, None], count=1)
        event = gathering.events.one(statements.terms.add(piece), point)
        if earliest is not None:
            gathering.not_before(event, earliest, reason)
        if latest is not None:
            gathering.not_after(event, latest, reason)


def shown(gathering: Gathering, lag: int) -> None:
    """Bound treatments and glazes by the lists that describe or show them."""
    statements = gathering.statements
    kinds = statements.where("sourceKind")
    kinds = kinds.filter(pl.col("object").is_in(terms(statements, "sourceKind", LISTS)))
    names = [at for at, name in enumerate(statements.properties) if name in SHOWING]
    rows = statements.table.filter(pl.col("property").is_in(names))
    claims, back = np.unique(rows["claim"].to_numpy(), return_inverse=True)
    number = [statements.terms.find(statements.claims[c].passage.source) for c in claims.tolist()]
    source = np.array(number, np.int64)[back]
    rows = rows.with_columns(pl.Series("source", source)).select("subject", "claim", "source")
    rows = rows.unique().join(kinds, left_on="source", right_on="subject")
    rows = rows.sort("subject", "claim", "ground")
    if not rows.height:
        return
    claims = statements.of_claims(rows["claim"].to_numpy())
    reason = gathering.reasons("list-shows-treatment", claims, rows["ground"].to_numpy())
    _offered(gathering, rows["subject"].to_numpy(), rows["source"].to_numpy(), lag, reason)


SHOWING = ("issuedBy", "appearsOn", "offeredOn")
"""Properties whose subject is a treatment or glaze that the claim's source describes or shows."""


def _offered(gathering: Gathering, things: Ints, lists: Ints, lag: int, reason: Ints) -> None:
    issued = gathering.events.all(lists, DATE)
    gathering.limit(gathering.events.all(things, "begin"), issued, lag, reason)
    gathering.limit(issued, gathering.events.all(things, "end"), lag, reason)


def missing(gathering: Gathering, margin: Margin, lag: int) -> None:
    """Bound the end of shapes that a later complete list of their pottery leaves out.

    The one rule by which a further claim may loosen a bound, since it rests on what is not said.
    """
    statements = gathering.statements
    offered = _join(
        statements.where("offeredIn").rename({"subject": "x", "object": "list", "ground": "a"}),
        statements.where("ofShape").rename({"subject": "x", "object": "shape", "ground": "b"}),
    ).select("list", "shape", "b")
    whole = statements.where("complete").rename({"subject": "list", "ground": "c"})
    values = whole["object"].unique().to_list()
    true = [value for value in values if statements.terms.text(value) in ("true", "1")]
    whole = whole.filter(pl.col("object").is_in(true)).select("list", "c")
    about = statements.where("concerns").rename(
        {"subject": "list", "object": "pottery", "ground": "d"}
    )
    maker = statements.where("madeBy").rename(
        {"subject": "shape", "object": "pottery", "ground": "e"}
    )
    day = {term: _days_of(statements, term, margin) for term in offered["list"].unique().to_list()}
    for later, c, pottery, d in _join(whole, about).sort("list", "pottery").iter_rows():
        there = set(offered.filter(pl.col("list") == later)["shape"])
        theirs = _join(maker.filter(pl.col("pottery") == pottery), offered).sort("shape", "list")
        for shape, _, e, before, b in theirs.iter_rows():
            end, start = day[before][1], day.get(later, (None, None))[0]
            if shape in there or end is None or start is None or end >= start:
                continue
            grounds = [np.array([ground], np.int64) for ground in (c, d, e, b)]
            reason = gathering.reasons("missing-from-complete-list", *grounds)
            ended = gathering.events.one(shape, "end")
            gathering.limit(ended, gathering.events.one(later, DATE), lag, reason)


def _join(one: pl.DataFrame, other: pl.DataFrame) -> pl.DataFrame:
    return one.join(other, on=sorted(set(one.columns) & set(other.columns)))


def _days_of(
    statements: TimeStatements, thing: int, margin: Margin
) -> tuple[int | None, int | None]:
    """Return the earliest and the latest day of the dates given for a source."""
    rows = statements.where("sourceDate").filter(pl.col("subject") == thing)["object"].to_list()
    days = [_days(statements.terms[term], margin) for term in rows]
    first = [day for day, _ in days if day is not None]
    last = [day for _, day in days if day is not None]
    return min(first, default=None), max(last, default=None)
