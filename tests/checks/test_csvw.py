"""The table descriptions are CSVW that another library reads.

Metadata Vocabulary for Tabular Data and Generating RDF from Tabular Data on the Web (W3C
Recommendations, 17 December 2015); library: PyPI ``csvw``, which shares no code with this project.
"""

import csv
import json
import warnings
from pathlib import Path

import pytest
from csvw import CSVW, TableGroup

from glost.answer.snapshot import Snapshot
from glost.data import folder
from glost.publish.exports import write_tables
from glost.record.record import Record, read
from glost.record.tables import csvw_metadata, tables
from glost.record.writing import csv_files, rows_of
from shelf import write


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Record, Path]:
    top = tmp_path_factory.mktemp("csvw")
    record = read(write(top / "c"))
    write_tables(record, top / "back")
    return record, top / "back" / "tables" / "csvw-metadata.json"


def test_every_row_is_read_by_the_other_library(written: tuple[Record, Path]) -> None:
    record, metadata = written
    group = TableGroup.from_file(metadata)
    rows = {table.url.string: list(table) for table in group.tables}
    assert rows
    for name, found in rows.items():
        table = name.removesuffix(".csv")
        assert len(found) == sum(1 for c in record.claims if c.origin.table == table)
    (chipped,) = [row for row in rows["pieces.csv"] if row["piece"] == "p1"]
    assert chipped["features"] == ["chip, at rim", "stacking marks"]
    assert chipped["form"] == "dinner-plate"
    complete = {row["source"]: row["complete"] for row in rows["sources.csv"]}
    assert complete == {"cat1908": True, "cat1911": False, "letter": None}


def test_the_other_library_expands_the_same_subjects(written: tuple[Record, Path]) -> None:
    record, metadata = written
    group = TableGroup.from_file(metadata)
    for table in group.tables:
        name = table.url.string.removesuffix(".csv")
        about = table.tableSchema.inherit("aboutUrl")
        expanded = {
            about.expand(**{k: str(v) for k, v in row.items() if isinstance(v, str)})
            for row in table
        }
        said = {str(s) for c in record.claims if c.origin.table == name for s, _, _ in c.statements}
        assert {record.base + subject.removeprefix("../") for subject in expanded} <= said


def test_titles_and_descriptions_say_their_language(written: tuple[Record, Path]) -> None:
    """Metadata Vocabulary, section 5.2: the context may give the language of all of them."""
    context = ["http://www.w3.org/ns/csvw", {"@language": "en"}]
    assert json.loads(written[1].read_text(encoding="utf-8"))["@context"] == context
    own = sorted((folder("ontology") / "tables").glob("*.json"))
    assert len(own) == len(tables()) + 1  # and the columns of every table
    for path in own:
        assert json.loads(path.read_text(encoding="utf-8"))["@context"] == context


@pytest.mark.parametrize("name", sorted(tables()))
def test_each_description_is_read_on_its_own(name: str, tmp_path: Path) -> None:
    path = tmp_path / "csvw-metadata.json"
    header = [column.name for column in tables()[name].real]
    path.write_text(json.dumps(csvw_metadata({name: header})), encoding="utf-8")
    (tmp_path / f"{name}.csv").write_text(",".join(header) + "\n", encoding="utf-8")
    (table,) = TableGroup.from_file(path).tables
    real = [column.name for column in table.tableSchema.columns if not column.virtual]
    assert real == [column.name for column in tables()[name].real]
    assert list(table) == []


@pytest.fixture(scope="module")
def files(valley: Snapshot, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The tables of the larger example as they are published."""
    folder = tmp_path_factory.mktemp("published")
    rows, _ = rows_of(valley.record, valley.record.claims)
    for name, text in csv_files(rows):
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def faults(folder: Path) -> list[str]:
    """What the other library holds against tables, if they are not what is said of them."""
    with warnings.catch_warnings():
        warnings.simplefilter("always")  # the library tells its findings so
        group = CSVW(str(folder / "csvw-metadata.json"), validate=True)
        return [] if group.is_valid else [str(each.message) for each in group.warnings]


def test_published_tables_are_what_their_description_says(files: Path) -> None:
    assert len(list(files.glob("*.csv"))) > 20
    assert faults(files) == []


def test_columns_are_described_in_their_order_by_what_the_first_line_says(files: Path) -> None:
    """Metadata Vocabulary for Tabular Data (W3C, 2015), 5.4.3: schemas are compatible if they have
    the same number of columns and each column's titles and the header have one in common.
    """
    group = json.loads((files / "csvw-metadata.json").read_text(encoding="utf-8"))
    for table in group["tables"]:
        with (files / table["url"]).open(encoding="utf-8", newline="") as file:
            header = next(csv.reader(file))
        columns = [each for each in table["tableSchema"]["columns"] if not each.get("virtual")]
        assert [each["titles"] for each in columns] == header


@pytest.mark.filterwarnings(
    "ignore:Invalid column", "ignore:Invalid value", "ignore:Duplicate column"
)
@pytest.mark.parametrize("change", ["a column too many", "no date", "nothing required"])
def test_what_is_not_as_described_is_found(files: Path, tmp_path: Path, change: str) -> None:
    """The check above is not empty."""
    lines = (files / "sources.csv").read_text(encoding="utf-8").splitlines()
    if change == "a column too many":
        lines = [f"extra,{line}" for line in lines]
    elif change == "nothing required":
        lines.append("," * lines[0].count(","))
    else:
        column = lines[0].split(",").index("recorded_on")
        lines.append(
            "s,"
            + ",".join("soon" if n == column else "" for n in range(1, lines[0].count(",") + 1))
        )
    (tmp_path / "sources.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    told = json.loads((files / "csvw-metadata.json").read_text(encoding="utf-8"))
    told["tables"] = [each for each in told["tables"] if each["url"] == "sources.csv"]
    (tmp_path / "csvw-metadata.json").write_text(json.dumps(told), encoding="utf-8")
    assert faults(tmp_path)


def test_a_column_that_partial_rows_leave_empty_is_not_required() -> None:
    """A row that only adds to a thing fills the columns that name it, and no other."""
    whole = {"sources": [column.name for column in tables()["sources"].real]}
    without = {"sources": [name for name in whole["sources"] if name != "partial"]}
    needed = [
        {
            c["name"]
            for c in csvw_metadata(each)["tables"][0]["tableSchema"]["columns"]
            if c.get("required")
        }
        for each in (whole, without)
    ]
    assert needed[0] < needed[1]
    assert needed[1] == {c.name for c in tables()["sources"].real if c.required}
