"""How a plant changed from periodic to tunnel kilns.

A plant that is refitted keeps its name: the old kilns go one by one, and new ones come while some
still burn (*common practice*). That one kiln took the place of another therefore says when the new
one came, and nothing of the day on which the old one was last drawn.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from rdflib import URIRef

from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief
from glost.record.claims import Claim, in_order
from glost.record.dates import calendar_day
from glost.trade.kilns.figures import PERIODIC, TUNNEL, wider
from glost.trade.kilns.timeline import Days, Stay
from glost.verdicts import Verdict

REPLACES, ORDERED = "said to replace it", "set against it in time"
_ENDED_FIRST = {
    ("end", "before", "begin"), ("end", "equals", "begin"), ("run", "before", "run"),
    ("run", "meets", "run"),
}  # fmt: skip
"""Orders of a first and a second by which the first had ended when the second began."""
_BACK = {"before": "after", "equals": "equals", "meets": "met-by"}


@dataclass(frozen=True, slots=True)
class Conversion:
    """A tunnel kiln set against a periodic kiln of the same plant.

    Attributes
    ----------
    tunnel, periodic
        The two.
    basis
        `REPLACES` or `ORDERED`.
    days
        The days between which the tunnel kiln began, which date the change.
    claims
        The claims that set the one against the other.
    """

    tunnel: URIRef
    periodic: URIRef
    basis: str
    days: Days
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class KilnChange:
    """How a plant changed from periodic to tunnel kilns, by the kilns on record.

    Attributes
    ----------
    first_tunnel, last_periodic
        The days between which the first tunnel kiln began, and the last periodic kiln ended.
    side_by_side
        Whether both kinds were in use at one time.
    deciding
        What would decide that, where it is open.
    disputed
        What of it is in dispute.
    conversions
        What sources say of single kilns, sorted.
    """

    first_tunnel: Days
    last_periodic: Days
    side_by_side: Verdict
    deciding: tuple[str, ...]
    disputed: tuple[str, ...]
    conversions: tuple[Conversion, ...]


def changed(belief: Belief, found: tuple[Stay, ...]) -> KilnChange:
    """Say how a plant changed from periodic to tunnel kilns.

    Parameters
    ----------
    belief
        What is believed.
    found
        When each of its kilns was in use.
    """
    tunnels, periodics = (
        [stay for stay in found if any(kind in wider(k) for k in stay.kinds)]
        for kind in (TUNNEL, PERIODIC)
    )
    pairs = list(product(tunnels, periodics))
    conversions = tuple(c for t, p in pairs for c in _conversions(belief, t, p))
    ordered = {(c.tunnel, c.periodic) for c in conversions if _ended_first(belief, c)}
    first = _first([stay.begin for stay in tunnels])
    last = _last([stay.end for stay in periodics])
    known = any(day is not None for t, p in pairs for day in (*t.begin, *t.end, *p.begin, *p.end))
    if not pairs or not known:
        side = Verdict.NOT_KNOWN
    elif any(_together(t, p) for t, p in pairs):
        side = Verdict.YES
    elif all(_apart(t, p) or (t.kiln, p.kiln) in ordered for t, p in pairs):
        side = Verdict.NO
    else:
        side = Verdict.POSSIBLY
    deciding = []
    if side == Verdict.POSSIBLY:
        deciding += ["when the last periodic kiln ended"] if _open(last) else []
        deciding += ["when the first tunnel kiln began"] if _open(first) else []
        deciding = deciding or ["on which days the kilns began and ended"]
    deciding += [] if tunnels else ["whether it had a tunnel kiln"]
    deciding += [] if periodics else ["whether it had a periodic kiln"]
    disputed = ["when a tunnel kiln was in use"] if any(s.disputed for s in tunnels) else []
    disputed += ["when a periodic kiln was in use"] if any(s.disputed for s in periodics) else []
    return KilnChange(first, last, side, tuple(deciding), tuple(disputed), conversions)


def _first(days: list[Days]) -> Days:
    earliest = [day for day, _ in days if day is not None]
    latest = [day for _, day in days if day is not None]
    return (
        min(earliest) if days and len(earliest) == len(days) else None,
        min(latest, default=None),
    )


def _last(days: list[Days]) -> Days:
    earliest = [day for day, _ in days if day is not None]
    latest = [day for _, day in days if day is not None]
    return (
        max(earliest, default=None),
        max(latest) if days and len(latest) == len(days) else None,
    )


def _open(days: Days) -> bool:
    first, last = days
    return first is None or last is None or calendar_day(first)[0] != calendar_day(last)[0]


def _before(one: int | None, other: int | None, *, or_on: bool = False) -> bool:
    return one is not None and other is not None and (one < other or (or_on and one == other))


def _together(one: Stay, other: Stay) -> bool:
    """Say whether two certainly were in use on one day."""
    return _before(one.begin[1], other.end[0]) and _before(other.begin[1], one.end[0])


def _apart(one: Stay, other: Stay) -> bool:
    """Say whether one certainly had ended by the day on which the other began."""
    return _before(one.end[1], other.begin[0], or_on=True) or _before(
        other.end[1], one.begin[0], or_on=True
    )


def _conversions(belief: Belief, tunnel: Stay, periodic: Stay) -> Iterator[Conversion]:
    said = belief.rests_on((tunnel.kiln, GLOST.replaces, periodic.kiln))
    if said:
        yield Conversion(tunnel.kiln, periodic.kiln, REPLACES, tunnel.begin, said)
    claims = [c for order in _orders(belief, tunnel.kiln, periodic.kiln) for c in order[1]]
    if claims:
        yield Conversion(tunnel.kiln, periodic.kiln, ORDERED, tunnel.begin, in_order(claims))


Order = tuple[str, str, str]


def _orders(
    belief: Belief, tunnel: URIRef, periodic: URIRef
) -> Iterator[tuple[Order, tuple[Claim, ...]]]:
    """Yield what sets the one against the other, as if said of the periodic kiln first."""
    graph = belief.graph
    for one, other in ((periodic, tunnel), (tunnel, periodic)):
        for point in ("begin", "end", "run"):
            subject = URIRef(f"{one}#{point}")
            for sequence in sorted(graph.subjects(GLOST.subjectRun, subject), key=str):
                for value in graph.objects(sequence, GLOST.objectRun):
                    thing, _, name = str(value).partition("#")
                    if thing == str(other):
                        for relation in graph.objects(sequence, GLOST.timeRelation):
                            word = str(relation).removeprefix(f"{SCHEMES}relation/")
                            order = (point, word, name)
                            if one == tunnel:
                                back = {b: a for a, b in _BACK.items()} | _BACK
                                order = (name, back.get(word, word), point)
                            yield order, belief.rests_on((sequence, GLOST.objectRun, value))


def _ended_first(belief: Belief, found: Conversion) -> bool:
    orders = _orders(belief, found.tunnel, found.periodic)
    return any(order in _ENDED_FIRST for order, _ in orders)
