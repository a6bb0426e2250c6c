"""A chronology looked up on disk gives the bounds and arguments that were reckoned."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NoReturn

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rdflib import URIRef
from rdflib.namespace import PROV

from glost.answer.snapshot import Snapshot
from glost.answer.times import chronology_of
from glost.record.record import Record, read
from glost.record.store import StoredBelief, StoredRecord
from glost.record.store import write as store_record
from glost.trade.times import Argument, Bounded, Bounds, Chronology
from glost.trade.times.stored import StoredTimes, write
from shelf import TABLES
from shelf import write as write_shelf

VALLEY = Path(__file__).parents[3] / "examples" / "wend-valley"


def nothing_whole() -> NoReturn:
    raise AssertionError("a look-up reckons the whole chronology")


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> tuple[Chronology, StoredTimes]:
    snapshot = Snapshot(VALLEY)
    times = snapshot.chronology
    path = tmp_path_factory.mktemp("stored") / "times"
    write(times, path)
    return times, StoredTimes(path, snapshot.belief, times.margin, nothing_whole)


def test_every_bound_and_argument_is_the_same(both: tuple[Chronology, StoredTimes]) -> None:
    times, stored = both
    assert (stored.lag, stored.rules) == (times.lag, times.rules)
    points = [point for _, point, *_ in times.events()]
    assert len(points) > 500
    for point in points:
        assert stored.bounds(point) == times.bounds(point)
        assert stored.reading_bounds(point) == times.reading_bounds(point)
        assert stored.why_not_before(point) == times.why_not_before(point)
        assert stored.why_not_after(point) == times.why_not_after(point)


def test_both_sides_and_disputes_are_among_what_was_compared(
    both: tuple[Chronology, StoredTimes],
) -> None:
    bounds = [both[1].bounds(point) for _, point, *_ in both[0].events()]
    assert any(each.disputed for each in bounds)
    assert any(each.earliest is None and each.latest is not None for each in bounds)
    assert any(each.earliest is not None and each.latest is None for each in bounds)


def test_an_argument_leads_from_a_date_to_the_bound(both: tuple[Chronology, StoredTimes]) -> None:
    stored = both[1]
    for _, point, *_ in both[0].events():
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


# -- without the claims about one thing -----------------------------------------------------------


def less_and_anew(
    folder: Path, record: Record, piece: URIRef
) -> tuple[Bounded | None, Chronology, set[URIRef]]:
    """Take a piece out of what is on disk, and reckon all that is left from nothing."""
    times = chronology_of(record)
    store_record(record, folder / "record")
    write(times, folder / "times")
    stored = StoredRecord(folder / "record", record.collection, None, lambda: record)
    belief = stored.believed()
    assert isinstance(belief, StoredBelief)
    claims = belief.about(str(piece))
    less = belief.without(claims)
    assert less is not None
    rest = record.claims.without(claim.iri for claim in claims)
    anew = chronology_of(replace(record, claims=rest, _beliefs={}))
    found = StoredTimes(folder / "times", belief, times.margin, nothing_whole)
    said = [statement for claim in claims for statement in claim.statements]
    said += [(claim.iri, PROV.hadPrimarySource, claim.passage.source) for claim in claims]
    return found.without(piece, less, said), anew, {point for _, point, *_ in times.events()}


def same(less: Bounded, anew: Chronology, points: Iterable[URIRef]) -> None:
    for point in points:
        assert less.bounds(point) == anew.bounds(point), point
        assert less.why_not_before(point) == anew.why_not_before(point)
        assert less.why_not_after(point) == anew.why_not_after(point)


NUMBERS = st.sampled_from(["", "", "a12", "b7"])
YEARS = st.one_of(st.just(""), st.integers(1906, 1916).map("{}".format))
ROWS = st.lists(
    st.tuples(st.sampled_from(["alder", "birch", ""]), NUMBERS, YEARS, YEARS),
    min_size=1,
    max_size=5,
)


@given(ROWS, st.integers(0, 4), YEARS, YEARS)
@settings(max_examples=15)
def test_without_a_piece_all_is_as_if_it_had_never_been_recorded(
    rows: list[tuple[str, str, str, str]], chosen: int, end: str, begin: str
) -> None:
    """Whatever pieces show and however they clash, unless the piece itself takes part in that."""
    shapes = TABLES["shapes"].replace(
        "birch,harrow,Birch,1911,1920?", f"birch,harrow,Birch,1907,{end}"
    )
    shapes = shapes.replace("alder,harrow,Alder,1908,", f"alder,harrow,Alder,{begin},")
    pieces = "piece,shape,form,treatment,made,decorated\n" + "".join(
        f"p{n},{shape},saucer,{treatment},{made},{decorated}\n"
        for n, (shape, treatment, made, decorated) in enumerate(rows)
    )
    with TemporaryDirectory() as name:
        folder = Path(name)
        record = read(write_shelf(folder / "c", shapes=shapes, pieces=pieces))
        piece = URIRef(f"https://example.org/shelf/piece/p{chosen % len(rows)}")
        less, anew, points = less_and_anew(folder, record, piece)
        if less is not None:
            same(less, anew, points - {URIRef(f"{piece}#made"), URIRef(f"{piece}#decorated")})


BIRCH = "https://example.org/shelf/shape/birch"
PIECES = "piece,shape,form,made\np1,birch,saucer,1912\np2,birch,saucer,1915\n"


def birch(folder: Path, more: str = "") -> Record:
    """Read a collection in which Birch ran from 1907 to 1920 at the most."""
    shapes = TABLES["shapes"].replace("1911,1920?", "1907,../1920")
    return read(write_shelf(folder, shapes=shapes, pieces=PIECES + more))


def test_a_piece_that_alone_puts_an_end_late_is_no_evidence_for_itself(tmp_path: Path) -> None:
    """Pieces of 1912 and 1915: without the later, Birch ended in 1912 or after."""
    record, end = birch(tmp_path / "c"), URIRef(f"{BIRCH}#end")
    assert chronology_of(record).bounds(end).earliest == date(1915, 1, 1).toordinal()
    piece = URIRef("https://example.org/shelf/piece/p2")
    less, anew, points = less_and_anew(tmp_path, record, piece)
    assert less is not None
    days = (date(1912, 1, 1).toordinal(), date(1920, 12, 31).toordinal(), False)
    assert less.bounds(end) == days
    same(less, anew, points - {URIRef(f"{piece}#made"), URIRef(f"{piece}#decorated")})


def test_a_piece_that_takes_part_in_a_contradiction_is_not_merely_left_out(tmp_path: Path) -> None:
    record = birch(tmp_path / "c", "p3,birch,saucer,1931\n")
    less, _, _ = less_and_anew(tmp_path, record, URIRef("https://example.org/shelf/piece/p3"))
    assert less is None
