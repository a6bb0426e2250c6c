"""How a plant changed from periodic to tunnel kilns: several of each, days told by hand."""

import pytest
from rdflib import URIRef

import shelf
from glost.names import SCHEMES
from glost.record.belief import Belief
from glost.record.record import read
from glost.trade.kilns.converting import changed
from glost.trade.kilns.figures import count_of
from glost.trade.kilns.timeline import Days, Stay


@pytest.fixture(scope="module")
def nothing(tmp_path_factory: pytest.TempPathFactory) -> Belief:
    """A record in which no source sets one kiln against another."""
    empty = dict.fromkeys(shelf.TABLES, "")
    folder = tmp_path_factory.mktemp("nothing") / "shelf"
    sources = "source,title,kind\nletter,A letter,letter\n"
    return read(shelf.write(folder, **{**empty, "sources": sources})).believed()


def stay(belief: Belief, kind: str, begin: Days, end: Days) -> Stay:
    kiln = URIRef(f"https://example.org/shelf/kiln/{kind}{begin}{end}".replace(" ", ""))
    kinds = (URIRef(f"{SCHEMES}kiln-kind/{kind}"),)
    return Stay(kiln, kinds, (), begin, end, False, count_of(belief, kiln), ())


KNOWN: Days = (1, 1)
CASES = [
    # periodic: begin and end; tunnel: begin and end; whether both burned on one day
    ([((1, 1), (50, 50))], [((50, 50), (90, 90))], "no"),  # drawn on the day the other was lit
    ([((1, 1), (51, 51))], [((50, 50), (90, 90))], "yes"),
    ([((40, 40), (90, 90))], [((10, 10), (40, 40))], "no"),  # the tunnel came first and went
    ([((40, 40), (90, 90))], [((10, 10), (30, 30))], "no"),
    ([((1, 1), (30, 30)), ((1, 1), (60, 60))], [((50, 50), (90, 90))], "yes"),  # with the second
    ([((1, 1), (30, 30)), ((1, 1), (40, 60))], [((50, 50), (90, 90))], "possibly"),
    ([((1, 1), (30, 30)), ((1, 1), (40, 50))], [((50, 50), (90, 90))], "no"),
    ([((None, None), (None, None))], [((None, None), (None, None))], "not known"),
]


@pytest.mark.parametrize(("periodic", "tunnel", "side"), CASES)
def test_both_kinds_burned_on_one_day_if_any_two_did(
    nothing: Belief, periodic: list[tuple[Days, Days]], tunnel: list[tuple[Days, Days]], side: str
) -> None:
    found = [stay(nothing, "bottle", *days) for days in periodic]
    found += [stay(nothing, "tunnel", *days) for days in tunnel]
    assert str(changed(nothing, tuple(found)).side_by_side) == side


def test_the_first_tunnel_and_the_last_periodic_kiln_are_bounded_by_all(nothing: Belief) -> None:
    """One kiln of unknown days may have been the first, or the last: that side is open."""
    tunnels = [
        stay(nothing, "tunnel", (20, 29), (80, 89)),
        stay(nothing, "tunnel", (25, 27), KNOWN),
    ]
    periodics = [
        stay(nothing, "bottle", KNOWN, (40, 49)), stay(nothing, "bottle", KNOWN, (45, 47)),
    ]  # fmt: skip
    change = changed(nothing, (*tunnels, *periodics))
    assert change.first_tunnel == (20, 27)
    assert change.last_periodic == (45, 49)
    unknown = (None, None)
    more = (stay(nothing, "tunnel", unknown, unknown), stay(nothing, "bottle", unknown, unknown))
    change = changed(nothing, (*tunnels, *periodics, *more))
    assert change.first_tunnel == (None, 27)
    assert change.last_periodic == (45, None)
