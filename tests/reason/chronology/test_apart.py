"""A network reckoned in shares comes to what it comes to as a whole."""

import pickle
from collections.abc import Callable, Iterable, Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glost.reason.chronology import Network, Solution, UnfoundedError, solve, solve_apart
from glost.reason.chronology.apart import Share, Solved, clusters
from network_draft import Draft

from .networks import Row, rows


def several(parts: list[list[Row]], events: int = 6, claims: int = 6) -> Network:
    """Put networks beside one another that share neither events nor claims, only the origin."""
    draft = Draft(1 + len(parts) * (events - 1))
    for number, part in enumerate(parts):
        for source, target, days, behind in part:
            ends = (each and each + number * (events - 1) for each in (source, target))
            draft.at_most(*ends, days, frozenset(claim + number * claims for claim in behind))
    return draft.network()


def told(solution: Solution) -> tuple[object, ...]:
    bounds = (solution.recorded, solution.bounds)
    days = [side.tolist() for each in bounds for side in (each.earliest, each.latest)]
    return days, solution.disputed.tolist(), solution.conflicts, solution.choices


def sent(do: Callable[[Share], Solved], shares: Sequence[Share], /) -> Iterable[Solved]:
    """Send each share away and its result back, as to another process, the last of them first."""
    done = [pickle.dumps(do(pickle.loads(pickle.dumps(share)))) for share in reversed(shares)]
    return [pickle.loads(each) for each in reversed(done)]


WEIGHTS = st.lists(st.sampled_from([1.0, 1.0, 2.0, 2.5]), min_size=18, max_size=18)


@settings(max_examples=60)
@given(st.lists(rows(), min_size=1, max_size=3), st.integers(1, 4), WEIGHTS)
def test_the_shares_come_to_what_the_whole_does(
    parts: list[list[Row]], shares: int, weights: list[float]
) -> None:
    made = several(parts)
    weight = dict(enumerate(weights))
    try:
        whole = solve(made, weight)
    except UnfoundedError:
        with pytest.raises(UnfoundedError) as caught:
            solve_apart(made, weight, shares=shares, everywhere=sent)
        known = set(zip(made.source, made.target, made.days, made.reason, strict=True))
        assert set(caught.value.conflict.steps) <= known
        assert not caught.value.conflict.claims
        return
    assert told(solve_apart(made, weight, shares=shares, everywhere=sent)) == told(whole)


def test_a_claim_or_a_chain_holds_events_together_and_a_rule_does_not() -> None:
    draft = Draft(7)
    draft.at_most(1, 2, 5, frozenset([0]))  # a chain
    draft.at_most(0, 3, 100, frozenset([1]))  # two dates of one claim
    draft.at_most(0, 4, 200, frozenset([1, 2]))
    draft.at_most(0, 5, 300, frozenset())  # two dates behind which there is no claim
    draft.at_most(0, 6, 300, frozenset())
    label = clusters(draft.network()).tolist()
    assert label[1] == label[2]
    assert label[3] == label[4]
    assert len({label[0], label[1], label[3], label[5], label[6]}) == 5


def test_no_share_is_left_without_work_while_another_has_twice_as_much() -> None:
    draft = Draft(9)
    for event in range(1, 9):
        draft.at_most(0, event, event, frozenset([event]))
    sizes: list[int] = []

    def counted(do: Callable[[Share], Solved], shares: Sequence[Share], /) -> Iterable[Solved]:
        sizes.extend(share.network.events - 1 for share in shares)
        return map(do, shares)

    found = solve_apart(draft.network(), shares=4, everywhere=counted)
    assert sorted(sizes) in ([1, 2, 2, 3], [2, 2, 2, 2])
    assert np.array_equal(found.bounds.latest[1:], np.arange(1, 9))
