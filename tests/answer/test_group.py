"""Mean dates and spreads of groups of pieces, worked out by hand."""

from pathlib import Path

import pytest

import shelf
from glost.answer.group import pieces_of, spread
from glost.answer.snapshot import Snapshot
from glost.record.errors import RecordErrors

SHAPES = (
    "shape,pottery,name,begin,end,source,locator\n"
    "alder,harrow,Alder,1900,1910,cat1908,p. 3\n"
    "birch,harrow,Birch,1911,1921,cat1911,p. 2\n"
    "rowan,harrow,Rowan,1912,,cat1911,p. 4\n"
)


def collection(folder: Path, pieces: str, shapes: str = SHAPES) -> Snapshot:
    return Snapshot(
        shelf.write(
            folder / "c", shapes=shapes, pieces=pieces, flatware="", assortments="", treatments=""
        )
    )


def test_a_mean_date_and_a_spread_by_hand(tmp_path: Path) -> None:
    """Three pieces of Alder (middle 1905) and one of Birch (1916): (3 x 1905 + 1916) / 4."""
    pieces = "piece,shape,form,made\n" + "".join(
        f"{name},{shape},saucer,{made}\n"
        for name, shape, made in (
            ("p1", "alder", "1900"),
            ("p2", "alder", "1901/1902"),
            ("p3", "alder", "1904-05-06"),
            ("p4", "birch", "1913"),
            ("p5", "rowan", ""),
        )
    )
    snapshot = collection(tmp_path, pieces)
    found = spread(snapshot, pieces_of(snapshot, (), None), 2)
    assert found.pieces == 5
    assert found.mean == (3 * 1905 + 1916) / 4
    assert [(t.shape, t.count, t.first, t.last) for t in found.types] == [
        ("Alder", 3, 1900, 1910),
        ("Birch", 1, 1911, 1921),
    ]
    assert found.without_type == ("Saucer, Rowan (p5)",)
    assert found.without_limits == ("Saucer, Rowan (p5)",)
    rows = [(p.first, p.last, p.weight, p.possible) for p in found.periods]
    assert rows == [
        (1900, 1901, 1.5, 2),
        (1902, 1903, 0.5, 1),
        (1904, 1905, 1.0, 1),
        (1906, 1907, 0.0, 0),
        (1908, 1909, 0.0, 0),
        (1910, 1911, 0.0, 0),
        (1912, 1913, 1.0, 1),
    ]
    first = {claim.origin.row for claim in found.periods[0].claims}
    assert first == {2, 3}
    assert {c.origin.file for c in found.types[0].claims} == {"tables/shapes.csv"}


def test_the_mean_of_the_handbook(tmp_path: Path) -> None:
    """S. South, Method and Theory in Historical Archaeology, 1977: 192137 / 109 = 1762.7248.

    The formula is South's; the three medians and counts are exact arithmetic on it.
    """
    types = {
        "alder": ("1761", "1781", 31),
        "birch": ("1748", "1768", 22),
        "rowan": ("1755", "1765", 56),
    }
    shapes = "shape,pottery,name,begin,end,source\n" + "".join(
        f"{name},harrow,{name},{begin},{end},cat1908\n" for name, (begin, end, _) in types.items()
    )
    rows = [
        f"{name}{n},{name},saucer\n" for name, (_, _, many) in types.items() for n in range(many)
    ]
    snapshot = collection(tmp_path, "piece,shape,form\n" + "".join(rows), shapes)
    found = spread(snapshot, pieces_of(snapshot, (), "harrow"))
    assert {t.shape: t.median for t in found.types} == {"alder": 1771, "birch": 1758, "rowan": 1760}
    assert found.mean == pytest.approx(192137 / 109)


def test_the_group_is_what_is_named(tmp_path: Path) -> None:
    pieces = "piece,shape,form\np1,alder,saucer\np2,birch,saucer\np3,,cup\n"
    snapshot = collection(tmp_path, pieces)

    def slugs(names: tuple[str, ...], of: str | None) -> list[str]:
        return [str(piece).rsplit("/", 1)[-1] for piece in pieces_of(snapshot, names, of)]

    assert slugs((), None) == ["p1", "p2", "p3"]
    assert slugs((), "alder") == ["p1"]
    assert slugs((), "harrow") == ["p1", "p2"]
    assert slugs(("p3",), "alder") == ["p1", "p3"]
    with pytest.raises(RecordErrors) as bad:
        pieces_of(snapshot, ("nothing", "alder"), None)
    assert len(bad.value.errors) == 2
    with pytest.raises(RecordErrors, match="no such piece"):
        pieces_of(snapshot, (), "rowan")


def test_a_group_without_dates_has_no_mean(tmp_path: Path) -> None:
    snapshot = collection(tmp_path, "piece,shape,form\np1,rowan,saucer\n")
    found = spread(snapshot, pieces_of(snapshot, (), None))
    assert (found.mean, found.periods) == (None, ())
    assert found.without_type == ("Saucer, Rowan (p1)",)


def test_periods_begin_in_years_that_their_length_divides_and_count_what_touches_them(
    tmp_path: Path,
) -> None:
    """The first day of a period belongs to it; what rests on it is the row that says so."""
    pieces = "piece,form,made\np1,saucer,1903\np2,saucer,1904/1905-01-01\n"
    snapshot = collection(tmp_path, pieces)
    found = spread(snapshot, pieces_of(snapshot, (), None), 5)
    assert [(p.first, p.last, p.possible) for p in found.periods] == [
        (1900, 1904, 2),
        (1905, 1909, 1),
    ]
    rows = [{claim.origin.row for claim in period.claims} for period in found.periods]
    assert rows == [{2, 3}, {3}]


def test_a_piece_of_two_shapes_is_of_neither_and_a_shape_rests_on_both_its_ends(
    tmp_path: Path,
) -> None:
    shapes = (
        "shape,pottery,name,begin,end,source\nalder,harrow,Alder,1900,,cat1908\n"
        "alder,harrow,Alder,,1910,cat1911\nbirch,harrow,Birch,1905,1921,cat1911\n"
    )
    pieces = "piece,shape,form\np1,alder,saucer\np2,alder,saucer\np2,birch,saucer\n"
    snapshot = collection(tmp_path, pieces, shapes)
    found = spread(snapshot, pieces_of(snapshot, (), None))
    assert found.without_type == ("Saucer, Alder or Birch (p2)",)
    (alder,) = found.types
    assert (alder.shape, alder.count) == ("Alder", 1)
    assert {claim.origin.row for claim in alder.claims} == {2, 3}
