"""A piece dated: its limits together, what clashes, and what that may mean."""

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from glost.names import GLOST
from glost.trade.codes import CodeError
from glost.trade.dating.law import MISSING, Custom, customs_for
from glost.trade.dating.limits import Limit, Limiter, StatedDate, tightest
from glost.trade.naming.seen import Seen
from glost.trade.naming.sight import marks_read, treatments_read


@dataclass(frozen=True, slots=True)
class LimitClash:
    """Two limits that miss each other.

    Attributes
    ----------
    kind
        ``clash`` if they cannot both hold of one piece. ``gap`` if the piece was made before it
        can have been decorated, so that a blank must have waited.
    not_before, not_after
        The limits.
    hypotheses
        What may explain it, each a sentence; none is more than that.
    """

    kind: str
    not_before: Limit
    not_after: Limit
    hypotheses: tuple[str, ...]

    @property
    def days(self) -> int:
        """Days by which they miss each other."""
        return self.not_before.day - self.not_after.day


@dataclass(frozen=True, slots=True)
class Between:
    """When something was done: the limits that decide, None where nothing does.

    Attributes
    ----------
    not_before, not_after
        The deciding limits.
    """

    not_before: Limit | None
    not_after: Limit | None

    @property
    def days(self) -> tuple[int | None, int | None]:
        """The first and last day, both inclusive."""
        early, late = self.not_before, self.not_after
        return (early.day if early else None, late.day if late else None)

    @property
    def empty(self) -> bool:
        """Whether no day fits."""
        early, late = self.days
        return early is not None and late is not None and early > late


@dataclass(frozen=True, slots=True)
class Dated:
    """A piece dated by what is seen on it.

    Attributes
    ----------
    seen
        What is seen.
    made, decorated
        When. A piece is made before it is decorated, so each bounds the other on one side.
    limits
        Every limit, those that decide nothing too.
    clashes
        Limits that miss each other, the widest miss first.
    customs
        What law or custom says of the wording.
    remarks
        What could not be used, and why.
    """

    seen: Seen
    made: Between
    decorated: Between
    limits: tuple[Limit, ...]
    clashes: tuple[LimitClash, ...]
    customs: tuple[Custom, ...]
    remarks: tuple[str, ...]

    @property
    def contradictory(self) -> bool:
        """Whether no date fits all that is seen."""
        return any(clash.kind == "clash" for clash in self.clashes)


def date_seen(limiter: Limiter, seen: Seen, stated: Iterable[StatedDate] = ()) -> Dated:
    """Date a piece by what is seen on it.

    Parameters
    ----------
    limiter
        Knows what each thing says. The piece itself should not be among its claims.
    seen
        What is seen.
    stated
        Dates that sources give for the piece itself.

    Returns
    -------
    Dated
        Not before is the latest of the limits on that side, not after the earliest: terminus post
        quem and terminus ante quem (*common practice*). Each further observation can only narrow.
    """
    customs = customs_for(seen.country, seen.mark_read)
    limits = (*limiter.limits(seen, stated), *_worded(customs))
    made, decorated = between(limits)
    return Dated(
        seen,
        made,
        decorated,
        limits,
        tuple(_clashes(limits, seen, limiter)),
        customs,
        tuple(_remarks(limiter, seen)),
    )


def between(limits: Iterable[Limit]) -> tuple[Between, Between]:
    """Put limits together: when the piece was made, and when it was decorated."""
    sides: dict[tuple[str, bool], list[Limit]] = {}
    for limit in limits:
        sides.setdefault((limit.point, limit.late), []).append(limit)

    def best(*which: tuple[str, bool]) -> Limit | None:
        found = [limit for side in which for limit in sides.get(side, ())]
        return tightest(found) if found else None

    return (
        Between(best(("made", False)), best(("made", True), ("decorated", True))),
        Between(best(("decorated", False), ("made", False)), best(("decorated", True))),
    )


def _worded(customs: Iterable[Custom]) -> Iterator[Limit]:
    for custom in customs:
        if custom.bounds and custom.not_before is not None:
            says = f"its wording ({custom.source}; {custom.standing})"
            yield Limit("wording", "", "decorated", False, custom.not_before, says, custom.text)


def _clashes(limits: Iterable[Limit], seen: Seen, limiter: Limiter) -> list[LimitClash]:
    """Find the widest miss between each two observations, each way."""
    found: dict[tuple[str, str, str, str, str], LimitClash] = {}
    every = list(limits)
    for early in (x for x in every if not x.late):
        for late in (x for x in every if x.late and x.day < early.day):
            gap = early.point == "decorated" and late.point == "made"
            kind = "gap" if gap else "clash"
            key = (kind, early.observation, early.value, late.observation, late.value)
            if key not in found or found[key].days < early.day - late.day:
                found[key] = LimitClash(
                    kind, early, late, _hypotheses(kind, early, late, seen, limiter)
                )
    return sorted(found.values(), key=lambda c: (c.kind, -c.days, str(c.not_before)))


@cache
def _table() -> tuple[dict[str, str], ...]:
    text = files("glost.trade.dating").joinpath("hypotheses.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def _hypotheses(
    kind: str, early: Limit, late: Limit, seen: Seen, limiter: Limiter
) -> tuple[str, ...]:
    """Choose what may explain a miss: rows for both observations, either, or any, in that order."""
    flat = seen.form is not None and limiter.known.is_flatware(seen.form)
    ware = "flatware" if flat else "hollow ware"
    pair = {early.observation, late.observation}
    return tuple(
        row["text"]
        for row in _table()
        if row["kind"] == kind
        and (not row["only"] or (seen.form is not None and row["only"] == ware))
        and (
            {row["one"], row["other"]} == pair
            or (row["other"] == "*" and row["one"] in pair | {"*"})
        )
    )


def _remarks(limiter: Limiter, seen: Seen) -> Iterator[str]:
    if seen.number and not treatments_read(seen, limiter.known):
        yield f"No recorded treatment has a number that can be read “{seen.number}”."
    if seen.mark_read and not marks_read(seen, limiter.known):
        yield f"No recorded mark can be read “{seen.mark_read}”."
    if seen.date_code:
        try:
            decoded, _ = limiter.read(seen)
            if not decoded.readings:
                yield f"No scheme on record reads the date code “{seen.date_code}”."
        except CodeError as bad:
            yield f"The date code “{seen.date_code}” is too worn: {bad}."
    named = any(limiter.known.belief.values(mark, GLOST.countryWording) for mark in seen.marks)
    if not seen.country and not named and (seen.marks or seen.mark_read):
        yield MISSING
