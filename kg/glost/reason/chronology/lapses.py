"""How many days lie between two events by the order of events alone, whatever their dates."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from glost.reason.chronology.explain import ChainStep, chain
from glost.reason.chronology.network import FAR, Ints, Network
from glost.reason.chronology.propagate import Relaxer


@dataclass(frozen=True)
class Lapses:
    """Days between events, as the constraints between events make them.

    Attributes
    ----------
    network
        A network without contradiction; its dates are left out of account.
    """

    network: Network

    def most(self, event: int) -> Ints:
        """Return the most days by which every event can follow one; `FAR` without limit."""
        return self._from(event, forward=True)

    def least(self, event: int) -> Ints:
        """Return the fewest days by which every event must follow one; `-FAR` without limit.

        A negative number says by how many days it can come before.
        """
        return -self._from(event, forward=False)

    def preceding(self, event: int) -> list[int]:
        """Return the events that come before one in any case, sorted.

        Only events that constraints lead to are looked at, and mostly these are few.
        """
        relaxer, least = self._onward, {event: 0}
        order, starts = relaxer.out
        pending = [event]
        for at in pending:
            places = order[starts[at] : starts[at + 1]]
            for head, days in zip(
                relaxer.head[places].tolist(), relaxer.days[places].tolist(), strict=True
            ):
                if least[at] + days < least.get(head, FAR):
                    least[head] = least[at] + days
                    pending.append(head)
        return sorted(at for at, days in least.items() if days < 0)

    def why(self, event: int, other: int, *, most: bool) -> list[ChainStep]:
        """Give the reasons for the most or the fewest days from one event to another.

        Returns
        -------
        list of Step
            Constraints from the one to the other whose days add up to the most; from the other to
            the one, whose days add up to the fewest with its sign turned. Empty if there is no
            limit.
        """
        return chain(
            self.network, self._from(event, forward=most), other, start=event, forward=most
        )

    def _from(self, event: int, *, forward: bool) -> Ints:
        values = np.full(self.network.events, FAR, dtype=np.int64)
        values[event] = 0
        relaxer = self._onward if forward else self._back
        relaxer.relax(values, np.array([event]))
        values[values > FAR // 2] = FAR
        return values

    @cached_property
    def _onward(self) -> Relaxer:
        return Relaxer(self.network, forward=True)

    @cached_property
    def _back(self) -> Relaxer:
        return Relaxer(self.network, forward=False)
