"""Rules that are patterns: their statements joined, and the limits that follow."""

from collections import defaultdict

import numpy as np
import polars as pl
from rdflib import URIRef
from rdflib.namespace import SKOS
from rdflib.term import Node

from glost.data import concepts
from glost.names import GLOST, SCHEMES
from glost.trade.times.arguments import BROADER
from glost.trade.times.gathering import DATE, Gathering
from glost.trade.times.rules import IS_A, SCHEME, WHOLE, TimeRule
from glost.trade.times.statements import TimeStatements


def apply(gathering: Gathering, rule: TimeRule, lag: int) -> None:
    """Add the limits that a rule of patterns gives.

    Parameters
    ----------
    gathering
        Where they are added.
    rule
        The rule.
    lag
        Days by which a list may lag.
    """
    if rule.where[0][1] in WHOLE:
        _whole(gathering, rule)
        return
    statements = gathering.statements
    frame: pl.DataFrame | None = None
    for place, pattern in enumerate(rule.where):
        part = _pattern(statements, pattern, place)
        if not part.height:
            return
        if rule.single and place == 0:
            part = part.filter(pl.len().over(rule.single) == 1)
        if frame is None:
            frame = part
        else:
            frame = frame.join(part, on=sorted(set(frame.columns) & set(part.columns)))
    assert frame is not None
    _limits(gathering, rule, frame, lag)


def _pattern(statements: TimeStatements, pattern: tuple[str, ...], place: int) -> pl.DataFrame:
    """Return a column for each variable of a pattern, and one of grounds."""
    one, property_, other = pattern
    found = statements.where(*property_.split("|"))
    if property_ == IS_A:
        kind = statements.terms.find(GLOST[other])
        return found.filter(pl.col("object") == kind).select(pl.col("subject").alias(one))
    if property_ in SCHEME:
        values = terms(statements, property_, other.split("|"))
        found = found.filter(pl.col("object").is_in(values)).drop("object")
        return found.rename({"subject": one, "ground": f"ground {place}"})
    return found.rename({"subject": one, "object": other, "ground": f"ground {place}"})


def terms(statements: TimeStatements, property_: str, names: list[str]) -> list[int]:
    """Return the numbers of terms of a property's scheme, with all that is narrower.

    Parameters
    ----------
    statements
        Among them what the collection says of its own terms.
    property_
        ``application`` or ``sourceKind``.
    names
        Ids of the terms.
    """
    under: dict[Node, list[Node]] = defaultdict(list)
    for narrower, wider in concepts().subject_objects(SKOS.broader):
        under[wider].append(narrower)
    for row in statements.where(BROADER).iter_rows():
        under[statements.terms[row[1]]].append(statements.terms[row[0]])
    found: set[Node] = set()
    pending: list[Node] = [URIRef(f"{SCHEMES}{SCHEME[property_]}/{name}") for name in names]
    while pending:
        term = pending.pop()
        if term not in found:
            found.add(term)
            pending += under[term]
    return sorted(number for term in found if (number := statements.terms.find(term)) >= 0)


def _whole(gathering: Gathering, rule: TimeRule) -> None:
    """Apply a rule to everything of which one of two points is spoken of."""
    variable, kind = rule.where[0]
    things = np.unique(np.concatenate([gathering.events.things(point) for point in WHOLE[kind]]))
    _limits(gathering, rule, pl.DataFrame({variable: things}), 0)


def _limits(gathering: Gathering, rule: TimeRule, frame: pl.DataFrame, lag: int) -> None:
    if not frame.height:
        return
    frame = frame.sort(frame.columns)
    grounds = [frame[name].to_numpy() for name in frame.columns if name.startswith("ground ")]
    reason = gathering.reasons(rule.name, *grounds, count=frame.height)
    for one, point, other, its_point, lags in rule.then:
        earlier = gathering.events.all(frame[one].to_numpy(), point or DATE)
        later = gathering.events.all(frame[other].to_numpy(), its_point or DATE)
        gathering.limit(earlier, later, lag if lags else 0, reason)
