"""Claims as Parquet, partitioned by keeper, and read again."""

import io
from pathlib import Path

import duckdb
import polars as pl
import pytest

from commands import glost_ends
from glost.record import parquet
from glost.record.errors import RecordErrors
from glost.record.parquet import write_partitions
from glost.record.record import Record, read
from glost.record.together import begin
from keepers import keeper

TRIG = (
    "@prefix prov: <http://www.w3.org/ns/prov#> .\n"
    "@prefix glost: <https://w3id.org/glost/ontology#> .\n"
    "<claim/odd> prov:hadPrimarySource <source/letter> .\n"
    "<claim/odd> { <piece/p9> a glost:Piece ; glost:feature 'nick', 'Delle'@de, 4.50 }\n"
)
# ids of one's own, cells that a spreadsheet program would run or strip, a row said twice, a correction
TREATMENTS = (
    "treatment,pottery,number,name,shape,source,locator,claim\n"
    "a12,harrow,A12,'=Blue Rim,alder,cat1908,p. 9,\n"
    'b7,harrow,007,"Gold, ""Line""",birch,cat1911,p. 8,b7-as-printed\n'
    'b7,harrow,007,"Gold, ""Line""",birch,cat1911,p. 8,b7-as-printed\n'
)
CORRECTIONS = (
    "withdraws,columns,kind,reason,source,recorded_on\n"
    "b7-as-printed,name,new-evidence,Seen,letter,2024-02-03\n"
)


@pytest.fixture
def both(tmp_path: Path) -> Path:
    ash = keeper(tmp_path, "ash", treatments=TREATMENTS, corrections=CORRECTIONS)
    (ash / "more.trig").write_text(TRIG, encoding="utf-8")
    (ash / "tables" / "shapes-later.csv").write_text(
        "shape,pottery,name,source\ncedar,harrow,Cedar,letter\n", encoding="utf-8"
    )
    begin(tmp_path / "both", "Both", "https://both.example/", [ash, keeper(tmp_path, "elm")])
    (tmp_path / "both" / "tables" / "sources.csv").write_text(
        "source,title,kind\nnotes,Notes on both,letter\n", encoding="utf-8"
    )
    return tmp_path / "both"


def everything(record: Record) -> list[tuple[object, ...]]:
    """Return all there is of each claim: ids, passages, statements in order, and where it was read."""
    return [
        (str(c.iri), c.passage, c.certainty, c.recorded_by, c.recorded_on, c.note, c.origin,
         [tuple(term.n3() for term in each) for each in c.statements])
        for c in record.claims
    ]  # fmt: skip


def test_the_same_claims_come_back(both: Path, tmp_path: Path) -> None:
    written = write_partitions(both, tmp_path / "all")
    before, after = read(both), read(tmp_path / "all")
    assert written.faults == ()
    assert written.claims == {"": 1, "ash": 11, "elm": 6}
    assert len(after.claims) == 18
    assert everything(after) == everything(before)
    assert after.findings == before.findings and before.findings
    assert after.believed().parts.keys() == before.believed().parts.keys() != set()
    assert after.own is not None and after.own.collection.title == "Both"
    # and once more from there
    write_partitions(tmp_path / "all", tmp_path / "again")
    assert everything(read(tmp_path / "again")) == everything(before)


def test_other_programs_read_the_partitions(both: Path, tmp_path: Path) -> None:
    write_partitions(both, tmp_path / "all")
    found = duckdb.sql(
        f"SELECT keeper, shape, name, file, row FROM read_parquet('{tmp_path}/all/*/tables/shapes*.parquet', "
        "hive_partitioning = true, union_by_name = true) ORDER BY ALL"
    ).fetchall()
    assert found == [
        ("ash", "alder", "Alder", "tables/shapes.csv", 2),
        ("ash", "birch", "Birch", "tables/shapes.csv", 3),
        ("ash", "cedar", "Cedar", "tables/shapes-later.csv", 2),
        ("elm", "alder", "Alder", "tables/shapes.csv", 2),
        ("elm", "birch", "Birch", "tables/shapes.csv", 3),
    ]


def test_one_keeper_is_replaced_alone(both: Path, tmp_path: Path) -> None:
    target, tables = tmp_path / "all", tmp_path / "elm" / "tables"
    (tables / "treatments.csv").write_text(
        "treatment,pottery,number,source\nt1,harrow,1,letter\n", encoding="utf-8"
    )
    write_partitions(both, target)
    (tables / "treatments.csv").unlink()
    others = {
        p: p.stat().st_mtime_ns for p in target.rglob("*") if p.is_file() and "elm" not in str(p)
    }
    shapes = tables / "shapes.csv"
    shapes.write_text("shape,pottery,name,source\noak,harrow,Oak,letter\n", encoding="utf-8")
    (tmp_path / "elm" / "tables" / "potteries.csv").rename(
        tmp_path / "elm" / "tables" / "potteries-1.csv"
    )
    assert write_partitions(tmp_path / "elm", target / "keeper=elm").claims == {"": 5}
    assert everything(read(target)) == everything(read(both))
    assert others == {p: p.stat().st_mtime_ns for p in others}


def test_a_bad_collection_is_named_and_the_rest_is_written(
    both: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shapes = tmp_path / "elm" / "tables" / "shapes.csv"
    good = shapes.read_text(encoding="utf-8")
    shapes.write_text("shape,pottery,name,source\nalder,nobody,Alder,cat1908\n", encoding="utf-8")
    assert glost_ends("export", str(tmp_path / "all"), "--as", "parquet", "-c", str(both)) == 1
    told = capsys.readouterr()
    assert told.out == f"Wrote 12 claims, with those of 1 keeper, to {tmp_path / 'all'}.\n"
    assert "elm: tables/shapes.csv, row 2, column pottery: " in told.err
    assert "Not written: elm; correct it" in told.err
    assert sorted(read(tmp_path / "all").members) == ["ash"]
    assert everything(read(tmp_path / "all" / "keeper=ash")) == everything(read(tmp_path / "ash"))
    # put right, and then broken again: what was written before stays
    shapes.write_text(good, encoding="utf-8")
    assert glost_ends("export", str(tmp_path / "all"), "--as", "parquet", "-c", str(both)) == 0
    before = everything(read(tmp_path / "all"))
    (tmp_path / "elm" / "collection.toml").write_text("title = 3\n", encoding="utf-8")
    assert glost_ends("export", str(tmp_path / "all"), "--as", "parquet", "-c", str(both)) == 1
    assert "elm: collection.toml" in capsys.readouterr().err
    assert everything(read(tmp_path / "all")) == before


def test_nothing_else_is_written_over(both: Path, tmp_path: Path) -> None:
    with pytest.raises(RecordErrors, match="it holds something else"):
        write_partitions(both, tmp_path / "ash")
    write_partitions(tmp_path / "elm", tmp_path / "elm-pq")
    with pytest.raises(RecordErrors, match=r"it holds the claims of https://elm\.example/"):
        write_partitions(tmp_path / "ash", tmp_path / "elm-pq")
    assert (tmp_path / "ash" / "tables" / "shapes.csv").exists()
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "notes.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(RecordErrors, match="it holds something else"):
        write_partitions(both, tmp_path / "full")


def test_settings_are_kept_as_they_are(both: Path, tmp_path: Path) -> None:
    settings = both / "collection.toml"
    text = settings.read_text(encoding="utf-8") + "\n[dates]\nmargin_years = 3\n"
    settings.write_text(text, encoding="utf-8")
    write_partitions(both, tmp_path / "all")
    assert read(tmp_path / "all").collection.margin_years == 3
    settings.write_text(
        'title = "Both"\nbase = "https://both.example/"\ntogether.ash = "../ash"\n',
        encoding="utf-8",
    )
    with pytest.raises(RecordErrors, match=r"give \[together\] lines of its own"):
        write_partitions(both, tmp_path / "all")


# -- what is read is not trusted -----------------------------------------------------------------


def table(**columns: object) -> bytes:
    out = io.BytesIO()
    pl.DataFrame(columns).write_parquet(out)
    return out.getvalue()


GOOD = {"shape": ["alder"], "pottery": ["harrow"], "name": ["Alder"], "source": ["letter"]}


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"shape,name\n", "it is not Parquet, or was cut short"),
        (table(**GOOD)[:-40] + b"PAR1", "it cannot be read"),
        (table(**{**GOOD, "name": [1]}), "the columns name are not text"),
        (table(**{**GOOD, "row": ["2"]}), "the columns row are not text"),
        (table(**{**GOOD, "nome": ["x"]}), '"nome" is not a column of shapes'),
        (table(**{**GOOD, "pottery": ["nobody"]}), 'row 2, column pottery: nothing describes "nobody"'),
        (table(**{**GOOD, "name": ["A\x07"]}), "BEL"),
        (table(**{**GOOD, "file": ["a\x1b.csv"]}), '"file" does not name one file'),
        (table(**{n: c * 2 for n, c in GOOD.items()}, file=["a", "b"]), '"file" does not name one file'),
        (table(**{n: c * 40 for n, c in GOOD.items()}), "it has 40 rows of 4 columns"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_table_is_told(
    tmp_path: Path, data: bytes, says: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(parquet, "PARQUET_CELLS", 100)
    folder = keeper(tmp_path, "ash", shapes="")
    (folder / "tables" / "shapes.parquet").write_bytes(data)
    with pytest.raises(RecordErrors) as told:
        read(folder)
    assert says in str(told.value)
    assert {error.file for error in told.value.errors} == {"tables/shapes.parquet"}


def test_a_table_of_another_program_is_read_like_any(tmp_path: Path) -> None:
    """Nulls are empty cells, rows count as a spreadsheet program counts them."""
    folder = keeper(tmp_path, "ash", shapes="")
    data = table(**{**GOOD, "Begin": pl.Series([None], dtype=pl.String), "name": [" Alder "]})
    (folder / "tables" / "shapes.parquet").write_bytes(data)
    (claim,) = (c for c in read(folder).claims if c.origin.table == "shapes")
    assert str(claim.origin) == "tables/shapes.parquet row 2"
    assert sorted(str(o) for _, p, o in claim.statements if str(p).endswith("#label")) == ["Alder"]
