"""How wide what is printed is, and what becomes of tables that are wider."""

import pytest

from glost.report.as_text import TextTable
from glost_cli import printing

COLUMNS = ["treatment", "seen_on", "explanation", "reissued_as"]
ROWS = [
    ["Q-12 (Marsh Mallow)", "Tansy", "decal reissued under the other shape's number", "T-4"],
    ["Q-13", "Tansy", "shared flatware", ""],
]


@pytest.mark.parametrize("width", ["30", "40"])
def test_a_table_that_is_too_wide_is_printed_row_by_row_and_no_word_is_parted(
    width: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", width)
    printing.console().print(TextTable(COLUMNS, ROWS))
    printed = capsys.readouterr().out
    assert all(len(line) <= int(width) for line in printed.splitlines())
    words = {word for row in ROWS for cell in row for word in cell.split()}
    assert words <= set(printed.split())
    assert printed.count("reissued as") == 1
    assert "──" not in printed


def test_a_table_that_fits_stays_one(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    printing.console().print(TextTable(COLUMNS, ROWS))
    printed = capsys.readouterr().out.splitlines()
    assert printed[0].split() == ["treatment", "seen", "on", "explanation", "reissued", "as"]
    assert set(printed[1]) == {"─"}
    assert len(printed) == 4


def test_columns_that_are_no_number_are_not_heard(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "wide")
    assert printing.console().width == 160
