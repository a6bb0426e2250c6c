"""Corrections and undoing in any order: what is believed is what a plain reading of tables gives.

The tables are reckoned by `believed_rows`, which uses nothing of Glost.
"""

import shutil
import tempfile
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from believed_rows import Cells, believed, naming, own_terms, rows, statements
from glost.answer.answers import gather
from glost.record.claims import Claim
from glost.record.correcting import correct, undo
from glost.record.errors import RecordErrors
from glost.record.record import Record, read
from glost.record.rows import PROVENANCE
from shelf import write

EXAMPLES = Path(__file__).parents[2] / "examples"
FIRST = date(2026, 1, 1)
KEPT = {*PROVENANCE, "partial"}
Texts = set[tuple[str, str, str]]


@contextmanager
def copy(folder: Path) -> Iterator[Path]:
    """Copy what is read of a collection."""
    with tempfile.TemporaryDirectory() as place:
        new = Path(place) / "c"
        shutil.copytree(folder, new, ignore=shutil.ignore_patterns("images", "*.py"))
        yield new


def texts(claims: Any) -> Texts:
    """Return what claims say that were read from tables, as texts."""
    said = (triple for claim in claims if claim.origin.row for triple in claim.statements)
    return {(str(s), str(p), str(o)) for s, p, o in said}


def expected(base: str, folder: Path, day: str = "9999-12-31") -> Texts:
    terms = own_terms(base, folder)
    said = (statements(base, table, row) for table, row in believed(folder, day))
    return {(s, p, terms.get(o, o)) for each in said for s, p, o in each}


def one_step(record: Record, folder: Path, draw: Any, on: date) -> tuple[Claim | None, Cells]:
    """Make a correction or undo one, by chance; return what was put in place, and its cells."""
    known = rows(folder)
    corrections = [r for t, r in known if t == "corrections" and "partial" not in r]
    grounds = {"reason": f"for {on}", "recorded_on": on.isoformat()}
    if corrections and draw(st.booleans()):
        name = draw(st.sampled_from(corrections))["claim"]
        claim = record.claim(name)
        assert claim is not None
        undo(record, claim, grounds)
        return None, {}
    table, row = draw(st.sampled_from([k for k in known if k[0] not in ("corrections", "terms")]))
    claim = record.claim(row["claim"])
    assert claim is not None
    open_ = sorted(set(row) - KEPT - naming(table))
    slip = draw(st.booleans())
    pick = st.lists(st.sampled_from(open_), max_size=2, unique=True) if open_ else st.just([])
    others = {c: sorted({r[c] for t, r in known if t == table and c in r}) for c in open_}
    changes = {c: draw(st.sampled_from(["", *others[c]])) for c in draw(pick)}
    if slip:
        grounds["kind"] = "transcription"
    else:
        grounds["source"] = draw(
            st.sampled_from(sorted({r["source"] for t, r in known if t == "sources"}))
        )
        grounds["locator"] = f"p. {on.day}"
    done = correct(record, claim, changes, grounds)
    cells = {n: row[n] for n in naming(table) if n in row} | {n: c for n, c in changes.items() if c}
    return read(folder).claim(done.replacement) if done.replacement else None, {"": table} | cells


def run(folder: Path, draw: Any, steps: int) -> None:
    with copy(folder) as place:
        record = read(place)
        base, by_day = record.base, {}
        for number in range(steps):
            on = FIRST + timedelta(days=number)
            try:
                new, cells = one_step(record, place, draw, on)
            except RecordErrors:
                assert read(place).believed().claims == record.believed().claims
                continue
            record = read(place)
            believed_now = texts(record.believed().claims)
            assert believed_now == expected(base, place)
            by_day[on] = believed_now
            if new is not None:
                says_no_more_than_it_was_given(base, place, new, cells)
        for on, then in by_day.items():
            assert (
                texts(record.believed(on).claims) == then == expected(base, place, on.isoformat())
            )
        graphs_hold_each_statement_once(record)


def says_no_more_than_it_was_given(base: str, folder: Path, new: Claim, cells: Cells) -> None:
    """A replacement says what its changed cells say, and nothing that the name alone would say."""
    table = cells.pop("")
    named = {n: c for n, c in cells.items() if n in naming(table)}
    terms = own_terms(base, folder)
    may = statements(base, table, cells) - statements(base, table, named)
    assert texts([new]) <= {(s, p, terms.get(o, o)) for s, p, o in may}


def graphs_hold_each_statement_once(record: Record) -> None:
    """The named graphs of a claim are its statements, parted into what stands and what does not."""
    contents = gather(record)
    parted: dict[str, list[Any]] = defaultdict(list)
    for name, held in contents.said():
        parted[str(name).partition("#")[0]] += held
    for claim in record.claims:
        assert sorted(parted[str(claim.iri)]) == sorted(claim.statements)
    assert contents.believed == set(record.believed().statements())


@settings(max_examples=4)
@given(st.data())
def test_the_small_example_by_the_model(data: st.DataObject) -> None:
    run(EXAMPLES / "one-shelf", data.draw, 5)


@settings(max_examples=1)
@given(st.data())
def test_the_larger_example_by_the_model(data: st.DataObject) -> None:
    run(EXAMPLES / "wend-valley", data.draw, 3)


NAMES = st.sampled_from(["Elm", "Oak", "Ash", ""])
YEARS = st.sampled_from(["1901", "1905~", "1910/1912", ""])
SHAPE = st.tuples(st.sampled_from("xyz"), st.sampled_from(["harrow", ""]), NAMES, YEARS, YEARS)
TREATMENT = st.tuples(
    st.sampled_from("tu"), st.sampled_from(["B7", "B9", ""]),
    st.sampled_from(["rose", "oak|rose", "elm|oak|rose", ""]), st.sampled_from(["x", ""]),
)  # fmt: skip


@settings(max_examples=6)
@given(st.lists(SHAPE, min_size=1, max_size=4), st.lists(TREATMENT, max_size=4), st.data())
def test_made_collections_by_the_model(
    shapes: list[tuple[str, ...]], treatments: list[tuple[str, ...]], data: st.DataObject
) -> None:
    with tempfile.TemporaryDirectory() as place:
        lines = [",".join([*each, "cat1908", f"p. {n}"]) for n, each in enumerate(shapes)]
        lines += [f"{name},harrow,,,,letter," for name in "xyz"]
        more = [",".join([*each, "cat1911", f"p. {n}"]) for n, each in enumerate(treatments)]
        folder = write(
            Path(place) / "made",
            shapes="shape,pottery,name,begin,end,source,locator\n" + "\n".join(lines) + "\n",
            treatments="treatment,number,decal,shape,source,locator\n" + "\n".join(more) + "\n",
            decals="decal,name,source\n"
            + "".join(f"{n},{n},letter\n" for n in ("rose", "oak", "elm")),
            flatware="shape,with,source\nx,y,letter\n",
            pieces="",
            assortments="",
        )
        run(folder, data.draw, 5)


def test_the_model_can_tell() -> None:
    """A cell left in where it is withdrawn, and a claim left in that falls, are both noticed."""
    folder = EXAMPLES / "wend-valley"
    record = read(folder)
    whole = texts(record.claims)
    assert expected(record.base, folder) < whole
    assert ("https://example.org/wend/person/strand#end", f"{'https://w3id.org/glost/ontology#'}date", "1947") in whole  # fmt: skip
    assert not [t for t in expected(record.base, folder) if t[2] == "1947"]


@pytest.mark.parametrize("example", ["one-shelf", "wend-valley"])
def test_the_examples_as_they_stand_by_the_model(example: str) -> None:
    record = read(EXAMPLES / example)
    assert texts(record.believed().claims) == expected(record.base, EXAMPLES / example)
