"""Putting a network together one constraint at a time."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from glost.reason.chronology.network import ORIGIN, Network, Reasons


@dataclass
class Draft:
    """A network under construction, one constraint at a time.

    Every method takes the claims on which the constraint rests; those with the same claims and
    rule share a reason.
    """

    events: int = 1
    rows: list[tuple[int, int, int, int]] = field(default_factory=list)
    sets: dict[tuple[object, frozenset[int]], int] = field(default_factory=dict)

    def event(self) -> int:
        """Add an event and return its number."""
        self.events += 1
        return self.events - 1

    def reason(self, claims: Iterable[int], rule: object = None) -> int:
        """Return the number of a reason, new or seen before."""
        return self.sets.setdefault((rule, frozenset(claims)), len(self.sets))

    def at_most(
        self, source: int, target: int, days: int, claims: Iterable[int], rule: object = None
    ) -> None:
        """Demand that `target` lies at most `days` days after `source`."""
        self.rows.append((source, target, days, self.reason(claims, rule)))

    def not_before(self, event: int, day: int, claims: Iterable[int], rule: object = None) -> None:
        """Demand that an event happens on a day or later."""
        self.at_most(event, ORIGIN, -day, claims, rule)

    def not_after(self, event: int, day: int, claims: Iterable[int], rule: object = None) -> None:
        """Demand that an event happens on a day or earlier."""
        self.at_most(ORIGIN, event, day, claims, rule)

    def network(self) -> Network:
        """Return what has been put together so far."""
        table = np.array(self.rows, dtype=np.int64).reshape(-1, 4)
        parts = [sorted(claims) for _, claims in self.sets]
        starts = np.cumsum([0, *map(len, parts)], dtype=np.int64)
        claims = np.array([claim for part in parts for claim in part], dtype=np.int64)
        reasons = Reasons(starts, claims)
        source, target, days, reason = table.T
        return Network.build(self.events, source, target, days, reason, reasons)
