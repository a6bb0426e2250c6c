"""Why a bound is what it is: the shortest chain of constraints that makes it."""

from typing import NamedTuple

from glost.reason.chronology.network import FAR, ORIGIN, Ints, Network
from glost.reason.chronology.propagate import NetworkBounds


class ChainStep(NamedTuple):
    """One constraint of a chain or cycle: `target - source <= days`, for a reason."""

    source: int
    target: int
    days: int
    reason: int

    def renumbered(self, events: Ints, reasons: Ints) -> "ChainStep":
        """Return the step of a part of a network as one of the whole; see `Network.within`."""
        source, target = int(events[self.source]), int(events[self.target])
        return self._replace(source=source, target=target, reason=int(reasons[self.reason]))


def step(network: Network, constraint: int) -> ChainStep:
    """Return a constraint by its number."""
    return ChainStep(
        int(network.source[constraint]),
        int(network.target[constraint]),
        int(network.days[constraint]),
        int(network.reason[constraint]),
    )


def why_not_after(network: Network, found: NetworkBounds, event: int) -> list[ChainStep]:
    """Give the reasons for an event's latest day.

    Parameters
    ----------
    network
        The network.
    found
        The bounds of that very network.
    event
        The event.

    Returns
    -------
    list of Step
        Constraints from the origin to the event, whose days add up to the latest day; no shorter
        chain does. Empty if nothing bounds the event.
    """
    return chain(network, found.latest, event, forward=True)


def why_not_before(network: Network, found: NetworkBounds, event: int) -> list[ChainStep]:
    """Give the reasons for an event's earliest day.

    As `why_not_after`, but the constraints lead from the event to the origin, and their days add
    up to the earliest day with its sign turned.
    """
    return chain(network, -found.earliest, event, forward=False)


def chain(
    network: Network, values: Ints, event: int, *, start: int = ORIGIN, forward: bool
) -> list[ChainStep]:
    """Go back breadth first along constraints that are tight, until the start is met.

    Parameters
    ----------
    network
        The network.
    values
        How many days each event comes after the start at most; before it, if not `forward`.
    event
        The event whose value is to be explained.
    start
        Where the values are counted from.
    forward
        Whether the chain leads from the start to the event, rather than from it to the start.
    """
    order, starts = network.by_target if forward else network.by_source
    tail = network.source if forward else network.target
    if event == start or values[event] >= FAR // 2:
        return []
    onward = {event: -1}  # the constraint that leads from an event towards the one asked about
    layer = [event]
    while layer:
        following: list[int] = []
        for here in layer:
            edges = order[starts[here] : starts[here + 1]]
            edges = edges[values[tail[edges]] + network.days[edges] == values[here]]
            for edge, back in zip(edges.tolist(), tail[edges].tolist(), strict=True):
                if back in onward:
                    continue
                onward[back] = edge
                if back == start:
                    return _follow(network, onward, start, event, forward=forward)
                following.append(back)
        layer = following
    raise ValueError("these are not the bounds of this network")


def _follow(
    network: Network, onward: dict[int, int], start: int, event: int, *, forward: bool
) -> list[ChainStep]:
    at, steps = start, []
    while at != event:
        steps.append(step(network, onward[at]))
        at = steps[-1].target if forward else steps[-1].source
    return steps if forward else steps[::-1]
