"""Questions where the record leaves room: open dates, disputed homes, books that repeat others.

Each case adds rows to, or takes rows from, a copy of the little collection.
"""

import csv
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from glost.answer.questions import catalogue
from glost.answer.snapshot import Snapshot

LITTLE = Path(__file__).parent / "little"
SHELF = Path(__file__).parents[2] / "examples" / "one-shelf"
Row = dict[str, str]
Change = Callable[..., Snapshot]


@pytest.fixture
def changed(tmp_path: Path) -> Change:
    """Return a function that opens a copy of the little collection with rows put in or out."""

    def change(*, without: tuple[str, Row] | None = None, **added: list[Row]) -> Snapshot:
        folder = tmp_path / "copy"
        shutil.copytree(LITTLE, folder)
        for table, rows in added.items():
            write(folder / "tables" / f"{table}.csv", rows, None)
        if without:
            write(folder / "tables" / f"{without[0]}.csv", [], without[1])
        return Snapshot(folder)

    return change


def write(file: Path, added: list[Row], without: Row | None) -> None:
    with file.open(encoding="utf-8-sig", newline="") as opened:
        reader = csv.DictReader(opened)
        names = list(reader.fieldnames or ())
        rows = list(reader)
    kept = [row for row in rows if without is None or not without.items() <= row.items()]
    assert without is None or len(kept) == len(rows) - 1
    with file.open("w", encoding="utf-8", newline="") as opened:
        writer = csv.DictWriter(opened, names, restval="")
        writer.writeheader()
        writer.writerows([*kept, *added])


def told(snapshot: Snapshot, name: str, columns: str, **given: object) -> set[tuple[str, ...]]:
    """Return the named columns of an answer, each value shortened to what follows the last /."""
    answer = snapshot.answers.ask(name, **given)
    places = [answer.columns.index(column) for column in columns.split()]
    values = [
        ["" if v is None else str(v).rsplit("/", 1)[-1] for v in r.values] for r in answer.rows
    ]
    return {tuple(row[place] for place in places) for row in values}


def test_a_treatment_seen_on_a_home_that_another_source_gives_has_not_crossed(
    little: Snapshot, changed: Change
) -> None:
    row = {"treatment": "a1", "pottery": "hollin", "shape": "birch", "source": "notice"}
    snapshot = changed(treatments=[row])
    assert ("a1", "birch") in told(little, "crossings", "treatment seen_on")
    assert "a1" not in {row[0] for row in told(snapshot, "crossings", "treatment")}
    assert ("a1",) in told(little, "never-seen-at-home", "treatment")
    assert told(snapshot, "never-seen-at-home", "treatment") == {("b7",)}


def test_one_row_of_flatware_less_explains_one_crossing_less(
    little: Snapshot, changed: Change
) -> None:
    snapshot = changed(without=("flatware", {"shape": "alder", "with": "birch"}))
    columns = "treatment seen_in explanation"
    lost = told(little, "crossings", columns) - told(snapshot, "crossings", columns)
    came = told(snapshot, "crossings", columns) - told(little, "crossings", columns)
    assert lost == {
        ("a1", "pc-plate", "shared flatware"),
        ("a1", "pc-pot", "shared flatware, its decoration put on hollow ware too"),
    }
    assert came == set()


def test_shared_with_a_third_is_not_shared(little: Snapshot) -> None:
    """Alder shares with Birch, Birch with Cedar: nothing of Alder with Cedar."""
    pairs = told(little, "shared-flatware", "shape with")
    assert pairs == {("alder", "birch"), ("birch", "alder"), ("birch", "cedar"), ("cedar", "birch")}
    assert ("c3", "pc-dish", "none yet") in told(
        little, "crossings", "treatment seen_in explanation"
    )


@pytest.mark.parametrize("date", ["1920/..", ""])
def test_a_list_whose_end_is_open_may_be_after_the_end(changed: Change, date: str) -> None:
    source = {"source": "open", "title": "A list", "kind": "price-list", "date": date}
    offers = {"catalogue": "open", "shape": "alder", "form": "teapot"}
    snapshot = changed(sources=[source], assortments=[offers])
    known = date[:4]
    outside = told(snapshot, "outside-the-run", "shown_by outside")
    assert (("open", "after the end") in outside) == bool(known)


TUNNELS: dict[str | None, tuple[str, ...]] = {
    None: ("1935", "1935", "no"),
    "": ("1890", "1935", "possibly"),
    "../1940": ("1890", "1935", "possibly"),
    "1930/..": ("1930", "1935", "possibly"),
    "1934/..": ("1934", "1935", "no"),
    "1920": ("1920", "1920", "yes"),
}


def test_a_second_tunnel_may_have_been_the_first(changed: Change) -> None:
    """Each plant has a periodic kiln of 1900 to 1932 and a tunnel kiln begun in 1935."""
    plants: list[Row] = []
    kilns: list[Row] = []
    expected = set()
    for place, (begin, outcome) in enumerate(TUNNELS.items()):
        plant = f"works{place}"
        plants.append({"plant": plant, "pottery": "hollin", "source": "notice"})
        kiln = {"plant": plant, "kind": "tunnel", "source": "notice"}
        bottle = {"kiln": f"{plant}p", "kind": "periodic", "begin": "1900", "end": "1932"}
        kilns.append({**kiln, **bottle})
        kilns.append({**kiln, "kiln": f"{plant}a", "begin": "1935"})
        if begin is not None:
            kilns.append({**kiln, "kiln": f"{plant}b", "begin": begin})
        expected.add((plant, *outcome))
    snapshot = changed(plants=plants, kilns=kilns)
    columns = "plant first_tunnel_from first_tunnel_by side_by_side"
    rows = told(snapshot, "periodic-to-tunnel", columns)
    assert {row for row in rows if row[0].startswith("works")} == expected


WITNESSES = {
    "1921": (["book70"], True),
    "1922": (["book70", "book50"], True),
    "1923": (["book70", "book50", "book60"], True),
    "1924": (["book70", "notice"], True),
    "1925": (["book50", "notice"], False),
    "1926": (["book70", "book50", "notice"], False),
    "1927": (["book60", "notice"], False),
}


def test_a_book_that_repeats_two_does_not_make_them_one(changed: Change) -> None:
    """Book60 repeats book50; book70 repeats book50 and the notice, which are two witnesses."""
    book = {"source": "book70", "title": "More", "kind": "book", "repeats": "book50|notice"}
    rows = [
        {"shape": "cedar", "pottery": "hollin", "end": end, "source": source}
        for end, (stating, _) in WITNESSES.items()
        for source in stating
    ]
    snapshot = changed(sources=[{**book, "date": "1970"}], shapes=rows)
    found = told(snapshot, "one-witness", "thing value source", about="cedar")
    assert {row for row in found if row[0] == "cedar#end"} == {
        ("cedar#end", end, source)
        for end, (stating, alone) in WITNESSES.items()
        for source in stating
        if alone
    }


def test_an_end_known_on_one_side_may_have_been_then(changed: Change) -> None:
    """Cedar came in 1911, and a year before or after still counts."""
    ends = {"../1912": "possibly", "1910/..": "possibly", "1914/..": "no", "../1908": ""}
    names = {end: f"elm{place}" for place, end in enumerate(ends)}
    elm = {"pottery": "hollin", "begin": "1900", "source": "notice"}
    snapshot = changed(shapes=[{**elm, "shape": names[end], "end": end} for end in ends])
    rows = told(snapshot, "line-when-introduced", "other left", shape="cedar")
    assert {row for row in rows if row[0].startswith("elm")} == {
        (names[end], left) for end, left in ends.items() if left
    }


def test_a_relation_says_what_stands_to_what(changed: Change) -> None:
    row = {"thing": "shape/birch", "thing_point": "end", "relation": "after"}
    row |= {"other": "shape/cedar", "other_point": "run", "source": "notice"}
    snapshot = changed(sequences=[row])
    readings = told(snapshot, "line-when-introduced", "other reading", shape="cedar")
    assert ("birch", "the end of the other to the shape") in readings
    assert ("alder", "the other to the shape") in readings


GIVEN: dict[str, dict[str, str]] = {
    "articles-compared": {"first": "sorb", "second": "linden"},
    "family": {"thing": "shape/sorb"},
    "line-when-introduced": {"shape": "sorb"},
    "pieces-showing": {"what": "flatware"},
    "source-supports": {"source": "cat-1912"},
}


@pytest.fixture(scope="module")
def shelf() -> Snapshot:
    return Snapshot(SHELF)


@pytest.mark.parametrize("name", sorted(catalogue()))
def test_every_question_can_be_asked_of_one_shelf(shelf: Snapshot, name: str) -> None:
    answer = shelf.answers.ask(name, **GIVEN.get(name, {}))
    known = {str(claim.iri) for claim in shelf.record.claims}
    assert answer.columns
    for row in answer.rows:
        assert row.claims
        assert set(row.claims) <= known


def test_the_crossing_on_one_shelf(shelf: Snapshot) -> None:
    columns = "treatment home seen_on seen_in explanation"
    crossed = told(shelf, "crossings", columns)
    assert crossed == {("l-7", "linden", "sorb", "shelf-3", "shared flatware")}
