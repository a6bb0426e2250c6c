"""The example's matches read and validated by the package sssom (``pip install sssom``)."""

from pathlib import Path

import sssom.validators
from sssom.constants import SchemaValidationType
from sssom.parsers import parse_sssom_table

from glost.answer.snapshot import Snapshot
from glost.publish.data.mappings import sssom_bytes

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "wend-valley"
TYPES = [SchemaValidationType.JsonSchema, SchemaValidationType.PrefixMapCompleteness,
         SchemaValidationType.StrictCurieFormat]  # fmt: skip


def test_another_library_reads_them_and_finds_nothing_wrong(tmp_path: Path) -> None:
    file = tmp_path / "matches.sssom.tsv"
    file.write_bytes(sssom_bytes(Snapshot(EXAMPLE)))
    mappings = parse_sssom_table(file)
    assert (
        len(mappings.df)
        == len(file.read_text("utf-8").splitlines())
        - sum(line.startswith("#") for line in file.read_text("utf-8").splitlines())
        - 1
    )
    for report in sssom.validators.validate(mappings, TYPES).values():
        assert report.results == []
