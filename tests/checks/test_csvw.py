"""The table descriptions are CSVW that another library reads.

Metadata Vocabulary for Tabular Data and Generating RDF from Tabular Data on the Web (W3C
Recommendations, 17 December 2015); library: PyPI ``csvw``, which shares no code with this project.
"""

import json
from pathlib import Path

import pytest
from csvw import TableGroup

from glost.publish.exports import write_tables
from glost.record.record import Record, read
from glost.record.tables import csvw_metadata, tables
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


@pytest.mark.parametrize("name", sorted(tables()))
def test_each_description_is_read_on_its_own(name: str, tmp_path: Path) -> None:
    path = tmp_path / "csvw-metadata.json"
    path.write_text(json.dumps(csvw_metadata([name])), encoding="utf-8")
    header = ",".join(column.name for column in tables()[name].real)
    (tmp_path / f"{name}.csv").write_text(header + "\n", encoding="utf-8")
    (table,) = TableGroup.from_file(path).tables
    real = [column.name for column in table.tableSchema.columns if not column.virtual]
    assert real == [column.name for column in tables()[name].real]
    assert list(table) == []
