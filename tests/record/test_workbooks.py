"""Workbooks: read as what they show, and every cell that keeps something else is told."""

import io
import random
import zipfile
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.utils.datetime import from_excel

from glost import limits
from glost.record import workbooks
from glost.record.errors import RecordErrors
from glost.record.record import read
from glost.record.workbooks import CellFault, Workbook, WorkbookError, letters, shown, written
from packed import packed, row
from shelf import write

HEADER = row(1, "shape", "pottery", "name", "source", "locator", "begin")


def rows_of(data: bytes) -> tuple[list[list[str]], list[CellFault]]:
    book = Workbook(data)
    faults: list[CellFault] = []
    return list(book.rows(book.names[0], faults)), faults


def errors_of(folder: Path, data: bytes) -> list[str]:
    write(folder, shapes="")
    (folder / "tables" / "shapes.xlsx").write_bytes(data)
    with pytest.raises(RecordErrors) as caught:
        read(folder)
    return [str(error) for error in caught.value.errors if "shapes.xlsx" in error.file]


def cell_error(tmp_path: Path, cell: str, **more: object) -> str:
    """Return the one error of a cell in column begin of row 2."""
    cells = HEADER + row(2, "alder", "harrow", "Alder", "cat1908", "p. 3", cell)
    (only,) = errors_of(tmp_path / "c", packed(cells, **more))  # type: ignore[arg-type]
    place, _, rest = only.partition(": ")
    assert place == "tables/shapes.xlsx, row 2, column begin"
    return rest


@pytest.mark.parametrize(
    ("cell", "more", "expected"),
    [
        (
            '<c t="e"><v>#N/A</v></c>',
            {},
            'the cell holds the error "#N/A"; mend its formula, or write the value',
        ),
        ("<c><f>A1+1</f></c>", {}, "the cell holds a formula that was not worked out"),
        ("<c><f>A1+1</f><v></v></c>", {"settings": '<calcPr fullCalcOnLoad="1"/>'}, "the cell holds a formula"),
        ("<c><f>1+1</f><v>0</v></c>", {"settings": '<calcPr fullCalcOnLoad="1"/>'}, "the cell holds a formula"),
        ('<c s="1"><v>7</v></c>', {"formats": ("000",)}, 'the cell holds 7 and shows "007"'),
        ('<c s="1"><v>1908</v></c>', {"formats": ("#,##0",)}, 'the cell holds 1908 and shows "1,908"'),
        ('<c s="1"><v>1908</v></c>', {"formats": ("0.00",)}, 'the cell holds 1908 and shows "1908.00"'),
        ('<c s="1"><v>1908</v></c>', {"formats": ("0&quot; or so&quot;",)}, "the cell holds 1908 and shows it through the format"),
        ('<c s="1"><v>2958</v></c>', {"formats": ("mmm yyyy",)}, 'the cell holds a date as the number "2958", shown through "mmm yyyy"'),
        ('<c s="1"><v>45.5</v></c>', {"formats": ("yyyy-mm-dd",)}, "the cell holds a date as the number"),
        ('<c s="1"><v>59</v></c>', {"formats": ("yyyy-mm-dd",)}, "the cell holds a date as the number"),
        ('<c s="1"><v>1e999999999</v></c>', {"formats": ("yyyy-mm-dd",)}, "the cell holds a date as the number"),
        ('<c s="1"><v>1e999999999</v></c>', {"formats": ("000",)}, "the cell holds the number"),
        ("<c><v>1234567890123456</v></c>", {}, "the cell holds the number"),
    ],
)  # fmt: skip
def test_a_cell_that_is_not_what_it_shows_is_an_error_with_its_place(
    tmp_path: Path, cell: str, more: dict[str, object], expected: str
) -> None:
    found = cell_error(tmp_path, cell, **more)
    assert found.startswith(expected)
    assert "; " in found  # a remedy


def test_joined_cells_are_told(tmp_path: Path) -> None:
    cells = HEADER + row(2, "alder", "harrow", "Alder", "cat1908", "p. 3", "1908")
    joined = '<mergeCells><mergeCell ref="C2:C3"/></mergeCells>'
    found = errors_of(tmp_path / "c", packed(cells, after=joined))
    assert [e.partition(": ")[2] for e in found] == [
        'the cells "C2:C3" are joined, and all but the first would be empty; part them and fill each'
    ]


def test_an_error_in_a_column_of_no_header_is_told_by_its_letters(tmp_path: Path) -> None:
    cells = row(1, "shape", "pottery", "name", "source", "locator", "") + row(
        2, "alder", "harrow", "Alder", "cat1908", "p. 3", '<c t="e"><v>#REF!</v></c>'
    )
    found = errors_of(tmp_path / "c", packed(cells))
    assert 'tables/shapes.xlsx, row 2, column F: the cell holds the error "#REF!"' in found[1]


def test_many_alike_are_counted(tmp_path: Path) -> None:
    cells = HEADER + "".join(
        row(n, "alder", "harrow", "Alder", "cat1908", "p. 3", '<c t="e"><v>#N/A</v></c>')
        for n in range(2, 52)
    )
    found = [e for e in errors_of(tmp_path / "c", packed(cells)) if "#N/A" in e]
    assert len(found) == 21
    assert any("column begin: 30 more cells" in e for e in found)


def test_what_shows_what_it_holds_is_read(tmp_path: Path) -> None:
    serial = (date(1908, 4, 12) - date(1899, 12, 30)).days
    cells = row(
        1, '<c t="s"><v>0</v></c>', '<c><f>"a"</f><v>5</v></c>', '<c t="b"><v>1</v></c>',
        f'<c s="1"><v>{serial}</v></c>', '<c s="2"><v>12</v></c>', "<c><v>0.30000000000000004</v></c>",
        "", '<c t="str"><f>x</f><v>tail</v></c>', "<c><v>1.5E-3</v></c>", "<c><v>-0</v></c>",
    ) + '<row r="4"><c t="inlineStr"><is><r><t>a</t></r><r><t>b</t></r><rPh><t>no</t></rPh></is></c></row>'  # fmt: skip
    strings = (
        "<si><r><t>al</t></r><r><t>der_x0009_1_x005F_x0041_</t></r><rPh><t>ignored</t></rPh></si>"
    )
    found, faults = rows_of(packed(cells, formats=("yyyy\\-mm\\-dd;@", "00"), strings=strings))
    assert faults == []
    assert found == [
        ["alder\t1_x0041_", "5", "TRUE", "1908-04-12", "12", "0.3", "", "tail", "0.0015", "0"],
        [], [], ["ab"],
    ]  # fmt: skip


def test_days_are_counted_from_1904_where_the_workbook_says_so() -> None:
    serial = (date(1912, 1, 31) - date(1904, 1, 1)).days
    found, faults = rows_of(
        packed(
            row(1, f'<c s="1"><v>{serial}</v></c>'),
            formats=("yyyy-mm-dd",),
            settings='<workbookPr date1904="1"/>',
        )
    )
    assert (found, faults) == ([["1912-01-31"]], [])


@given(st.dates(date(1900, 3, 1), date(9999, 12, 31)))
def test_days_are_those_that_another_library_reads(day: date) -> None:
    serial = (day - date(1899, 12, 30)) // timedelta(days=1)
    found, _ = rows_of(packed(row(1, f'<c s="1"><v>{serial}</v></c>'), formats=("yyyy-mm-dd",)))
    assert found == [[from_excel(serial).date().isoformat()]]


@given(st.decimals("-999999999999999", "999999999999999", places=4))
def test_numbers_are_read_as_keyed_in(number: Decimal) -> None:
    keyed = f"{float(number):.15g}"
    stored = repr(float(keyed))
    text = written(Decimal(stored))
    assert text is not None
    assert Decimal(text) == Decimal(keyed)
    assert "E" not in text.upper()


@pytest.mark.parametrize(
    ("text", "code", "expected"),
    [
        ("7", "000", "007"), ("-7", "000", "-007"), ("1234567", "#,##0.00", "1,234,567.00"),
        ("7", "General", "7"), ("7", "@", "7"), ("2.5", "0.0", "2.5"), ("2.5", "0.00", "2.50"),
        ("7", '"No. "0', ""), ("7", "0_)", ""), ("7", "# ?/?", ""), ("7", "#", "7"),
    ],
)  # fmt: skip
def test_simple_formats_are_worked_out_and_others_left(text: str, code: str, expected: str) -> None:
    assert shown(text, code) == expected


def test_columns_are_named_as_spreadsheets_do() -> None:
    assert [letters(n) for n in (0, 25, 26, 701, 702, 16_383)] == [
        "A",
        "Z",
        "AA",
        "ZZ",
        "AAA",
        "XFD",
    ]


def random_book(seed: int) -> tuple[bytes, list[list[str]]]:
    dice = random.Random(seed)
    table = [
        [
            dice.choice(["", f"text {dice.random()}", str(dice.randint(-99, 99999))])
            for _ in range(8)
        ]
        for _ in range(30)
    ]
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    sheet = book.add_worksheet("shapes")
    for y, line in enumerate(table):
        for x, cell in enumerate(line):
            if cell.lstrip("-").isdigit():
                sheet.write_number(y, x, int(cell))
            elif cell:
                sheet.write_string(y, x, cell)
    book.close()
    return out.getvalue(), table


@pytest.mark.parametrize("seed", range(5))
def test_workbooks_of_another_program_are_read_cell_by_cell(seed: int) -> None:
    data, table = random_book(seed)
    found, faults = rows_of(data)
    assert faults == []
    assert [line + [""] * (8 - len(line)) for line in found] + [[""] * 8] * (
        30 - len(found)
    ) == table


# -- damaged and hostile -------------------------------------------------------------------------


def refused(data: bytes) -> str:
    with pytest.raises(WorkbookError) as caught:
        rows_of(data)
    assert caught.value.remedy
    return caught.value.message


def changed_part(data: bytes, part: str, change: Callable[[bytes], bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", 8) as new:
        for name in old.namelist():
            new.writestr(name, change(old.read(name)) if name.endswith(part) else old.read(name))
    return out.getvalue()


def test_a_workbook_that_says_it_unpacks_to_too_much_is_refused_before_it_does() -> None:
    data = packed(row(1, "shape"))
    spaces = b" " * (limits.WORKBOOK + 1)
    bomb = changed_part(data, "sheet1.xml", lambda text: text + spaces)
    assert len(bomb) < 1 << 20
    assert "unpacks to more than 256 MiB" in refused(bomb)


def test_one_that_lies_about_it_is_stopped_at_the_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbooks, "WORKBOOK", 3 << 20)
    data = changed_part(packed(row(1, "shape")), "sheet1.xml", lambda text: text + b" " * (4 << 20))
    size = (len(zipfile.ZipFile(io.BytesIO(data)).read("xl/worksheets/sheet1.xml"))).to_bytes(
        4, "little"
    )
    assert data.count(size) == 2
    assert refused(data.replace(size, (900).to_bytes(4, "little")))


def test_a_mark_that_does_not_end_is_not_read_again_and_again() -> None:
    data = changed_part(
        packed(row(1, "shape")),
        "sheet1.xml",
        lambda text: text + b"<!--" + b" " * (30 << 20) + b"-->",
    )
    assert "a mark that does not end" in refused(data)


def test_a_document_type_and_its_entities_are_refused() -> None:
    entity = b'<!DOCTYPE x [<!ENTITY big "' + b"x" * 100 + b'">]>'
    data = changed_part(packed(row(1, "&big;")), "sheet1.xml", lambda text: entity + text)
    assert "document type" in refused(data)


def test_a_cell_in_the_last_corner_costs_no_more_than_its_rows(tmp_path: Path) -> None:
    cells = HEADER + '<row r="1048576"><c r="XFD1048576" t="inlineStr"><is><t>x</t></is></c></row>'
    found = errors_of(tmp_path / "c", packed(cells))
    stray = 'tables/shapes.xlsx, row 1048576: "x" stands under no column'
    assert any(error.startswith(stray) for error in found)


@pytest.mark.parametrize(
    "cells",
    [
        '<row r="2"/><row r="1"/>', '<row r="2"/><row r="2"/>', '<row r="1048577"/>', '<row r="x"/>',
        '<row r="1"><c r="B1"><v>1</v></c><c r="A1"><v>1</v></c></row>',
        '<row r="1"><c r="XFE1"><v>1</v></c></row>', '<row r="1"><c r="1"><v>1</v></c></row>',
        '<row r="1"><c t="s"><v>9</v></c></row>', '<row r="1"><c t="s"><v>x</v></c></row>',
        '<row r="1"><c s="99"><v>1</v></c></row>', "<row r='1'><c><v>one</v></c></row>", "<row>",
    ],
)  # fmt: skip
def test_a_damaged_sheet_is_one_error(cells: str) -> None:
    assert refused(packed(cells))


def test_too_many_cells_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbooks, "SHEET_CELLS", 10)
    assert "more than 10 cells" in refused(packed(row(1, *"abcdefghijklmnop")))


def test_too_many_parts_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbooks, "PARTS", 3)
    assert "more than 3 files" in refused(packed(row(1, "a")))


def mutations(data: bytes, count: int) -> Iterator[bytes]:
    dice = random.Random(7)
    for _ in range(count):
        changed = bytearray(data)
        for _ in range(dice.randint(1, 6)):
            changed[dice.randrange(len(changed))] = dice.randrange(256)
        yield bytes(changed[: dice.randrange(len(changed))] if dice.random() < 0.2 else changed)


def test_mutated_workbooks_end_in_rows_or_in_one_error() -> None:
    data = packed(
        HEADER + row(2, "alder", "harrow", '<c t="s"><v>0</v></c>'), strings="<si><t>x</t></si>"
    )
    ends = {"rows": 0, "error": 0}
    for changed in mutations(data, 300):
        try:
            rows_of(changed)
            ends["rows"] += 1
        except WorkbookError:
            ends["error"] += 1
    assert ends["error"] > 100
    assert sum(ends.values()) == 300


@settings(max_examples=50)
@given(st.binary(max_size=200))
def test_any_octets_end_in_one_error(data: bytes) -> None:
    assert refused(data)
