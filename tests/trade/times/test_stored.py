"""A chronology looked up on disk gives the bounds and arguments that were reckoned."""

from pathlib import Path
from typing import NoReturn

import pytest
from rdflib import URIRef

from glost.answer.desk import Desk
from glost.trade.times import Argument, Bounds, Chronology
from glost.trade.times.rules import rules
from glost.trade.times.stored import StoredTimes, write

VALLEY = Path(__file__).parents[3] / "examples" / "wend-valley"


def nothing_whole() -> NoReturn:
    raise AssertionError("a look-up reckons the whole chronology")


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> tuple[Chronology, StoredTimes]:
    desk = Desk(VALLEY)
    times = desk.chronology
    path = tmp_path_factory.mktemp("stored") / "times"
    write(times, path)
    return times, StoredTimes(path, desk.belief, rules(), times.margin, nothing_whole)


def test_every_bound_and_argument_is_the_same(both: tuple[Chronology, StoredTimes]) -> None:
    times, stored = both
    assert stored.lag == times.lag
    points = [point for _, point in times.events()]
    assert len(points) > 500
    for point in points:
        assert stored.bounds(point) == times.bounds(point)
        assert stored.reading_bounds(point) == times.reading_bounds(point)
        assert stored.why_not_before(point) == times.why_not_before(point)
        assert stored.why_not_after(point) == times.why_not_after(point)


def test_both_sides_and_disputes_are_among_what_was_compared(
    both: tuple[Chronology, StoredTimes],
) -> None:
    bounds = [both[1].bounds(point) for _, point in both[0].events()]
    assert any(each.disputed for each in bounds)
    assert any(each.earliest is None and each.latest is not None for each in bounds)
    assert any(each.earliest is not None and each.latest is None for each in bounds)


def test_an_argument_leads_from_a_date_to_the_bound(both: tuple[Chronology, StoredTimes]) -> None:
    stored = both[1]
    for _, point in both[0].events():
        bounds = stored.bounds(point)
        for why, day in (
            (stored.why_not_before(point), bounds.earliest),
            (stored.why_not_after(point), bounds.latest),
        ):
            assert (why is None) == (day is None)
            if isinstance(why, Argument):
                assert (why.point, why.day) == (point, day)


def test_a_point_that_nothing_speaks_of(both: tuple[Chronology, StoredTimes]) -> None:
    nowhere = URIRef("https://example.org/none#begin")
    assert both[1].bounds(nowhere) == both[1].reading_bounds(nowhere) == Bounds(None, None)
    assert both[1].why_not_before(nowhere) is both[1].why_not_after(nowhere) is None


def test_how_two_runs_may_lie_is_reckoned(both: tuple[Chronology, StoredTimes]) -> None:
    times, stored = both
    one, other = (URIRef(f"{times.belief.claims[0].iri}/{name}") for name in "ab")
    with pytest.raises(AssertionError, match="whole chronology"):
        stored.relations(one, other)
