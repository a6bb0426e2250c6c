"""What columns hold is what the claims' statements say."""

from collections import Counter
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glost.names import GLOST
from glost.record.columns import PLACE, columns, literal, said_in
from glost.record.record import read
from glost.record.rows import RowReader
from glost.record.schemes import TermScheme
from glost.record.sequence import ClaimSequence
from glost.record.tables import PARTIAL, tables
from shelf import write

EXAMPLE = Path(__file__).parents[2] / "examples" / "wend-valley"
ALL = frozenset(c.property for table in tables().values() for c in table.giving)


@pytest.fixture(scope="module", autouse=True)
def together() -> Iterator[None]:
    """Read rows together however few they are."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("glost.record.columns.FEW", 0)
        yield


def by_columns(claims: ClaimSequence, properties: frozenset[str]) -> Counter[tuple[object, ...]]:
    found = columns(claims, properties)
    assert set(found) == properties
    return Counter((name, *row) for name, frame in found.items() for row in frame.rows())


def by_statements(claims: ClaimSequence, properties: frozenset[str]) -> Counter[tuple[object, ...]]:
    return Counter(
        (str(p), str(s), str(o), literal(o), at)
        for at, claim in enumerate(claims)
        for s, p, o in claim.statements
        if str(p) in properties
    )


def test_every_property_of_the_example() -> None:
    claims = read(EXAMPLE).claims
    expected = by_statements(claims, ALL)
    assert len(expected) > 10_000
    assert by_columns(claims, ALL) == expected


@pytest.mark.parametrize(
    "name", ["feature", "ofShape", "date", "form", "tradeSize", "offersArticle"]
)
def test_cells_to_be_quoted_many_values_and_trig(tmp_path: Path, name: str) -> None:
    folder = write(tmp_path / "c")
    (folder / "odd.trig").write_text(
        "@prefix prov: <http://www.w3.org/ns/prov#> .\n@prefix glost: <https://w3id.org/glost/ontology#> .\n"
        "<claim/odd> prov:hadPrimarySource <source/letter> .\n"
        "<claim/odd> { <piece/p9> a glost:Piece ; glost:feature 'nick', 'Delle'@de, 4.50 ; glost:ofShape <shape/alder> }\n",
        encoding="utf-8",
    )
    table = "catalogue,shape,form,trade_size,item,price,per,locator\n"
    rows = table + "cat1908,alder,teapot,36 s / 2,,4.80,dozen,p. 4\ncat1908,alder,teapot,36s,,,,\n"
    (folder / "tables" / "assortments.csv").write_text(rows, encoding="utf-8")
    claims = read(folder).claims
    only = frozenset([str(GLOST[name])])
    assert by_columns(claims, only) == by_statements(claims, only)
    assert {at for *_, at in by_columns(claims, only)} if name != "date" else True


@cache
def schemes() -> Mapping[str, TermScheme]:
    return read(EXAMPLE).schemes


CELLS = st.one_of(
    st.just(""),
    st.sampled_from(["yes", "no", "plate", "alder", "shape/alder", "1908", "certain"]),
    st.text("aZ9 |./?;é%+", max_size=6),
)


@st.composite
def sheets(draw: st.DrawFn) -> tuple[RowReader, list[dict[str, str]]]:
    table = tables()[draw(st.sampled_from(sorted(tables())))]
    names = [PARTIAL, *(column.name for column in table.giving if not column.virtual)]
    rows = draw(
        st.lists(st.fixed_dictionaries(dict.fromkeys(names, CELLS)), min_size=1, max_size=4)
    )
    return RowReader.of(table, "https://example.org/", schemes()), rows


@settings(max_examples=80)
@given(sheets())
def test_rows_together_say_what_each_says_by_itself(
    sheet: tuple[RowReader, list[dict[str, str]]],
) -> None:
    """Whatever stands in the cells, checked or not: both ways go by the one description."""
    reader, rows = sheet
    frame = pl.DataFrame(rows, schema=dict.fromkeys(rows[0], pl.String)).with_row_index(PLACE)
    frame = frame.with_columns(pl.col(PLACE).cast(pl.Int64))
    together = {(name, *row) for name, found in said_in(reader, frame, ALL) for row in found.rows()}
    alone = {
        (str(p), str(s), str(o), literal(o), at)
        for at, row in enumerate(rows)
        for s, p, o in reader.statements({name: cell for name, cell in row.items() if cell}, ALL)
    }
    assert together == alone
