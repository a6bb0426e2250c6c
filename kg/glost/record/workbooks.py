"""Workbooks (Office Open XML, ``.xlsx``) as texts, and every cell that is not what it shows.

A spreadsheet program keeps something else in a cell than it shows: a number and a format, a serial
number for a day, a formula and the value it had, an error. Libraries that read values give one or
the other and none says where they differ, nor stops a file of a megabyte from unpacking to several
thousand; so the parts of the package are read here, one element after another, by the XML parser of
the standard library, and no further than `glost.limits` allows.

References
----------
ECMA-376, Office Open XML file formats, part 1, sections 18.3.1 (worksheets), 18.4 (shared
strings), 18.8 (styles and number formats) and 22.9.2.19 (escaped characters).
"""

import io
import posixpath
import re
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from functools import cache, lru_cache
from xml.parsers import expat

from glost.limits import PARTS, ROWS_TOLD, SHEET_CELLS, WORKBOOK
from glost.record.errors import quoted

_CHUNK = 1 << 18
_TOKEN = 1 << 20
"""Octets of one tag, comment or text of a part; a cell holds at most 32,767 characters."""
_ROWS, _COLUMNS = 1_048_576, 16_384
_AGAIN = "save it again as .xlsx from a spreadsheet program, or as CSV in UTF-8"
_AS_TEXT = "format the column as text and write what is to be read"
_WIDTH = re.compile(r"_x([0-9A-Fa-f]{4})_")
_CELL = re.compile("([A-Z]{1,3})([1-9][0-9]{0,6})")
_LETTERS = re.compile("[A-Z]{1,3}")
_WHOLE = re.compile("0|-?[1-9][0-9]{0,14}")
_DAMAGED = (
    zipfile.BadZipFile,
    zlib.error,
    expat.ExpatError,
    EOFError,
    LookupError,
    struct.error,
    NotImplementedError,
    OSError,
    ArithmeticError,
    RuntimeError,
    ValueError,
)
"""What the standard library raises on a package, a stream or a part that is damaged."""

Attributes = dict[str, str]


class WorkbookError(Exception):
    """A workbook, or a sheet of it, that cannot be read.

    Attributes
    ----------
    message, remedy
        What is wrong and what to do about it.
    row
        The row at which reading stopped; 0 if it concerns the whole.
    """

    def __init__(self, message: str, remedy: str = _AGAIN, row: int = 0) -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy
        self.row = row


@dataclass(frozen=True, slots=True)
class CellFault:
    """A cell whose value is not what the sheet shows, or not known.

    Attributes
    ----------
    row, column
        Row as a spreadsheet counts, 0 if several; column counted from 0.
    message, remedy
        What is wrong and what to do about it.
    found
        What the file keeps.
    """

    row: int
    column: int
    message: str
    remedy: str
    found: str = ""


def letters(column: int) -> str:
    """Name a column, counted from 0, as a spreadsheet does: ``A``, ``Z``, ``AA``."""
    name = ""
    column += 1
    while column:
        column, at = divmod(column - 1, 26)
        name = chr(65 + at) + name
    return name


class Workbook:
    """A workbook.

    Parameters
    ----------
    data
        The file's octets.

    Attributes
    ----------
    names
        Its worksheets, in order.

    Raises
    ------
    WorkbookError
        If it cannot be read, or unpacks to more than `glost.limits` allows.
    """

    def __init__(self, data: bytes) -> None:
        self._left = WORKBOOK
        try:
            self._zip = zipfile.ZipFile(io.BytesIO(data))
            if len(self._zip.namelist()) > PARTS:
                raise WorkbookError(f"the workbook is packed of more than {PARTS:,} files")
            self._open()
        except _DAMAGED as bad:
            raise _damaged(bad) from None

    def _open(self) -> None:
        top = self._relations("").values()
        main = next((to for kind, to in top if kind == "officeDocument"), "xl/workbook.xml")
        self._days = 0  # which day 0 is: 1899-12-30, or 1904-01-01
        self._stale = False
        sheets: list[tuple[str, str]] = []

        def start(name: str, attributes: Attributes) -> None:
            if name == "sheet":
                at = next((v for k, v in attributes.items() if k.rpartition(":")[2] == "id"), "")
                sheets.append((attributes.get("name", ""), at))
            elif name == "workbookPr" and attributes.get("date1904") in ("1", "true"):
                self._days = date(1904, 1, 1).toordinal()
            elif name == "calcPr" and attributes.get("fullCalcOnLoad") in ("1", "true"):
                self._stale = True

        self._parse(main, start)
        relations = self._relations(main)
        self._parts = {
            name: relations[at][1]
            for name, at in sheets
            if at in relations and relations[at][0] == "worksheet"
        }
        self.names = tuple(self._parts)
        by_kind = dict(relations.values())
        self._formats = self._read_formats(by_kind.get("styles", ""))
        self._strings = self._read_strings(by_kind.get("sharedStrings", ""))

    def _relations(self, part: str) -> dict[str, tuple[str, str]]:
        """Return kind and target of each relation of a part, by id."""
        folder, _, name = part.rpartition("/")
        found: dict[str, tuple[str, str]] = {}

        def start(element: str, attributes: Attributes) -> None:
            if element == "Relationship":
                target = posixpath.normpath(posixpath.join("/" + folder, attributes["Target"]))
                kind = attributes["Type"].rpartition("/")[2]
                found[attributes["Id"]] = (kind, target.lstrip("/"))

        self._parse(f"{folder}/_rels/{name}.rels".lstrip("/"), start)
        return found

    def _read_formats(self, part: str) -> list[str]:
        """Return the number format of each style a cell may have."""
        own: dict[int, str] = {}
        used: list[int] = []
        within = ""

        def start(name: str, attributes: Attributes) -> None:
            nonlocal within
            if name == "numFmt":
                own[int(attributes["numFmtId"])] = attributes["formatCode"]
            elif name in ("cellXfs", "cellStyleXfs"):
                within = name
            elif name == "xf" and within == "cellXfs":
                used.append(int(attributes.get("numFmtId", "0")))

        if part:
            self._parse(part, start)
        return [own.get(each) or _BUILT_IN.get(each, f"built-in format {each}") for each in used]

    def _read_strings(self, part: str) -> list[str]:
        """Return the strings that cells share; how they are to be pronounced is left out."""
        strings: list[str] = []
        parts: list[str] = []
        spoken = False
        parser: expat.XMLParserType | None = None

        def start(name: str, _: Attributes) -> None:
            nonlocal spoken
            if name == "si":
                parts.clear()
                if len(strings) >= SHEET_CELLS:
                    raise _too_many()
            elif name == "rPh":
                spoken = True
            elif name == "t" and not spoken and parser is not None:
                parser.CharacterDataHandler = parts.append

        def end(name: str) -> None:
            nonlocal spoken
            if name == "t" and parser is not None:
                parser.CharacterDataHandler = None
            elif name == "rPh":
                spoken = False
            elif name == "si":
                strings.append(_unescaped("".join(parts)))

        if part:
            parser = _parser(start, end)
            for _piece in self._fed(part, parser):
                pass
        return strings

    def rows(self, name: str, faults: list[CellFault]) -> Iterator[list[str]]:
        """Read a sheet, row by row from the first, every cell as text.

        Parameters
        ----------
        name
            One of `names`.
        faults
            Every cell that is not what it shows is appended here.

        Yields
        ------
        list of str
            The cells of a row, as far as the last that is filled.

        Raises
        ------
        WorkbookError
            If the sheet is damaged or has more cells than `glost.limits` allows.
        """
        sheet = _SheetReader(self._strings, self._formats, self._days, self._stale)
        try:
            for _piece in self._fed(self._parts[name], sheet.parser):
                yield from sheet.taken()
        except _DAMAGED as bad:
            raise _damaged(bad, sheet.row) from None
        faults.extend(sheet.told())

    def _parse(self, part: str, start: Callable[[str, Attributes], None]) -> None:
        for _piece in self._fed(part, _parser(start)):
            pass

    def _fed(self, part: str, parser: expat.XMLParserType) -> Iterator[None]:
        """Unpack a part into a parser, piece by piece, as long as the whole stays within bounds."""
        if self._zip.getinfo(part).file_size > self._left:
            raise _too_large()
        with self._zip.open(part) as file:
            fed = 0
            while piece := file.read(_CHUNK):
                self._left -= len(piece)
                if self._left < 0:
                    raise _too_large()
                parser.Parse(piece, False)
                fed += len(piece)
                # What is not complete is read again with every piece: its time grows as a square.
                if fed - parser.CurrentByteIndex > _TOKEN:
                    raise WorkbookError("the workbook holds a mark that does not end")
                yield
        parser.Parse(b"", True)
        yield


def _parser(
    start: Callable[[str, Attributes], None], end: Callable[[str], None] | None = None
) -> expat.XMLParserType:
    """Make a parser that tells names without their prefixes and refuses document types."""
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.buffer_size = 1 << 16

    def refuse(*_: object) -> None:
        raise WorkbookError("the workbook holds a document type, which no workbook has")

    parser.StartElementHandler = lambda name, attributes: start(_local(name), attributes)
    if end is not None:
        parser.EndElementHandler = lambda name: end(_local(name))
    parser.StartDoctypeDeclHandler = refuse
    return parser


@lru_cache(maxsize=256)
def _local(name: str) -> str:
    """Return a name without its prefix."""
    return name.rpartition(":")[2]


def _damaged(bad: Exception, row: int = 0) -> WorkbookError:
    reason = (str(bad) or type(bad).__name__).splitlines()[0][:120]
    return WorkbookError(f"the workbook cannot be read ({reason})", row=row)


def _too_large() -> WorkbookError:
    remedy = "save its sheets as CSV in UTF-8, or leave out what is no table"
    return WorkbookError(f"the workbook unpacks to more than {WORKBOOK >> 20} MiB", remedy)


def _too_many() -> WorkbookError:
    return WorkbookError(
        f"a sheet has more than {SHEET_CELLS:,} cells", "save it as CSV in UTF-8, or part it"
    )


def _unescaped(text: str) -> str:
    """Put back the characters that XML cannot hold: ``_x000D_`` is a carriage return."""
    return _WIDTH.sub(lambda found: chr(int(found[1], 16)), text) if "_x" in text else text


@dataclass(slots=True)
class _Cell:
    column: int = -1
    kind: str = "n"
    style: int = 0
    formula: bool = False
    valued: bool = False


@dataclass
class _SheetReader:
    """Gathers the rows of one sheet while its parser runs."""

    strings: list[str]
    formats: list[str]
    epoch: int
    stale: bool
    parser: expat.XMLParserType = field(init=False)
    row: int = 0

    def __post_init__(self) -> None:
        self.parser = _parser(self._start, self._end)
        # Without the two calls that tell prefixes apart: they are a third of the time.
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self._rows: list[list[str]] = []
        self._cells: list[str] = []
        self._cell = _Cell()
        self._text: list[str] = []
        self._inside = self._spoken = False
        self._count = 0
        self._faults: dict[tuple[int, str], list[CellFault]] = {}
        self._more: dict[tuple[int, str], int] = {}

    def taken(self) -> list[list[str]]:
        """Give the rows gathered since the last time."""
        rows, self._rows = self._rows, []
        return rows

    def told(self) -> Iterator[CellFault]:
        """Give every fault, those beyond the first of a kind as a count."""
        for key, faults in self._faults.items():
            yield from faults
            if more := self._more.get(key, 0):
                same = faults[0]
                message = f"{more:,} more cells: {same.message}"
                yield CellFault(0, same.column, message, same.remedy, same.found)

    # -- elements --------------------------------------------------------------------------------

    def _start(self, name: str, attributes: Attributes) -> None:
        if ":" in name:
            name = _local(name)
        self._count += 1
        if self._count > 4 * SHEET_CELLS:
            raise _too_many()
        if name == "c":
            self._begin_cell(attributes)
        elif name in ("v", "t"):
            if self._inside and not self._spoken:
                self._cell.valued = True
                self.parser.CharacterDataHandler = self._text.append
        elif name == "row":
            self._begin_row(attributes)
        elif name == "f":
            self._cell.formula = self._inside
        elif name == "rPh":
            self._spoken = True
        elif name == "mergeCell":
            self._merged(attributes.get("ref", ""))

    def _end(self, name: str) -> None:
        if ":" in name:
            name = _local(name)
        if name in ("v", "t"):
            self.parser.CharacterDataHandler = None
        elif name == "c":
            self._finish_cell()
        elif name == "row":
            self._rows.append(self._cells)
            self._cells = []
        elif name == "rPh":
            self._spoken = False

    def _begin_row(self, attributes: Attributes) -> None:
        row = int(attributes["r"]) if "r" in attributes else self.row + 1
        if not self.row < row <= _ROWS:
            raise WorkbookError(f"its rows are out of order: {row} comes after {self.row}")
        self._rows.extend([] for _ in range(row - self.row - 1))
        self.row = row
        self._cells = []
        self._cell = _Cell()

    def _begin_cell(self, attributes: Attributes) -> None:
        before = self._cell.column
        column = before + 1
        if "r" in attributes:
            column = _column(attributes["r"].rstrip("0123456789"))
        if not before < column < _COLUMNS:
            told = quoted(attributes.get("r", ""))
            raise WorkbookError(f"its cells are out of order at {told}", row=self.row)
        kind, style = attributes.get("t", "n"), int(attributes.get("s", "0"))
        self._cell = _Cell(column, kind, style)
        self._text.clear()
        self._inside = True

    def _finish_cell(self) -> None:
        self._inside = False
        cell = self._cell
        raw = "".join(self._text)
        if cell.formula and (self.stale or not cell.valued):
            self._fault(
                "formula",
                "the cell holds a formula that was not worked out",
                "open the workbook in a spreadsheet program, let it reckon, and save it; "
                "or write the value",
                raw,
            )
            text = raw or "?"
        elif raw:
            text = self._value(cell, raw)
        else:
            return
        if not text:
            return
        gap = cell.column - len(self._cells)
        if gap:
            self._cells.extend([""] * gap)
        self._cells.append(text)

    def _value(self, cell: _Cell, raw: str) -> str:
        kind = cell.kind
        if kind == "s":
            return self.strings[int(raw)]
        if kind in ("str", "inlineStr"):
            return _unescaped(raw)
        if kind == "b":
            return "TRUE" if raw.strip() == "1" else "FALSE"
        if kind == "e":
            message = f"the cell holds the error {quoted(raw)}"
            self._fault("error", message, "mend its formula, or write the value", raw)
            return raw
        code = self.formats[cell.style] if self.formats else "General"
        if kind == "d":
            day = raw[:10]
            if _is_iso_day(code) and raw in (day, f"{day}T00:00:00"):
                return day
            self._shown_as_date(raw, code)
            return raw
        return self._number(raw, code)

    def _number(self, raw: str, code: str) -> str:
        if code == "General" and _WHOLE.fullmatch(raw):
            return raw
        number = Decimal(raw)
        if is_date(code):
            if (day := self._day(number)) and _is_iso_day(code):
                return day
            self._shown_as_date(raw, code)
            return raw
        text = written(number)
        if text is None:
            message = (
                f"the cell holds the number {quoted(raw)}, of which a spreadsheet keeps 15 figures"
            )
            self._fault("figures", message, _AS_TEXT, raw)
            return raw
        seen = shown(text, code)
        if seen != text:
            told = (
                f"shows {quoted(seen)}" if seen else f"shows it through the format {quoted(code)}"
            )
            self._fault(f"format {code}", f"the cell holds {text} and {told}", _AS_TEXT, raw)
        return text

    def _day(self, number: Decimal) -> str:
        """Return the day of a serial number; empty for a time of day or an uncertain one.

        Days before 1900-03-01 count from different beginnings in different programs. The range is
        looked at first: ``int(Decimal("1e999999"))`` takes many seconds.
        """
        if not (61 if not self.epoch else 0) <= number < 2_958_466 or number != int(number):
            return ""
        epoch = self.epoch or date(1899, 12, 30).toordinal()
        last = date.max.toordinal()
        day = epoch + int(number)
        return (date.min + timedelta(day - 1)).isoformat() if day <= last else ""

    def _shown_as_date(self, raw: str, code: str) -> None:
        message = f"the cell holds a date as the number {quoted(raw)}, shown through {quoted(code)}"
        remedy = "format the column as text and write the date as the source has it, like 1908-05"
        self._fault(f"date {code}", message, remedy, raw)

    def _merged(self, area: str) -> None:
        first, _, last = area.partition(":")
        found = _CELL.fullmatch(first)
        if found is None or last in ("", first):
            return
        row, column = int(found[2]), _column(found[1])
        message = f"the cells {quoted(area)} are joined, and all but the first would be empty"
        self._keep("merged", CellFault(row, column, message, "part them and fill each", area))

    def _fault(self, kind: str, message: str, remedy: str, found: str) -> None:
        self._keep(kind, CellFault(self.row, self._cell.column, message, remedy, found[:80]))

    def _keep(self, kind: str, fault: CellFault) -> None:
        key = fault.column, kind
        faults = self._faults.setdefault(key, [])
        if len(faults) < ROWS_TOLD:
            faults.append(fault)
        else:
            self._more[key] = self._more.get(key, 0) + 1


@cache
def _column(name: str) -> int:
    """Count a column from 0; -1 for what names none."""
    if not _LETTERS.fullmatch(name):
        return -1
    at = 0
    for letter in name:
        at = 26 * at + ord(letter) - 64
    return at - 1


# -- numbers and their formats -------------------------------------------------------------------

_BUILT_IN = {
    0: "General", 1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%",
    11: "0.00E+00", 12: "# ?/?", 13: "# ??/??", 14: "m/d/yyyy", 15: "d-mmm-yy", 16: "d-mmm",
    17: "mmm-yy", 18: "h:mm AM/PM", 19: "h:mm:ss AM/PM", 20: "h:mm", 21: "h:mm:ss",
    22: "m/d/yyyy h:mm", 37: "#,##0 ;(#,##0)", 38: "#,##0 ;[Red](#,##0)",
    39: "#,##0.00;(#,##0.00)", 40: "#,##0.00;[Red](#,##0.00)", 45: "mm:ss", 46: "[h]:mm:ss",
    47: "mmss.0", 48: "##0.0E+0", 49: "@",
    **dict.fromkeys((*range(27, 37), *range(50, 59)), "yyyy\"-\"m\"-\"d \"(local)\""),
}  # fmt: skip
"""Formats that stand in no file (ECMA-376 part 1, 18.8.30)."""

_LITERAL = re.compile(r'"[^"]*"|\\.|_.|\*.|\[[^\]]*\]')
_PLAIN = re.compile(r"(#,##)?(0+|#)(?:\.(0+))?")


@cache
def is_date(code: str) -> bool:
    """Say whether a number format shows a day or a time."""
    bare = _LITERAL.sub("", code.partition(";")[0]).lower()
    return bare != "general" and any(letter in bare for letter in "ymdhs")


@cache
def _is_iso_day(code: str) -> bool:
    bare = re.sub(r'\[\$[^\]]*\]|\\|"|;@$', "", code.lower())
    return bare == "yyyy-mm-dd"


def written(number: Decimal) -> str | None:
    """Write a number as it was keyed in; None if it has more figures than are kept.

    Programs keep numbers in binary and write up to 17 figures of them; the 15 that are certain
    are what was keyed in.
    """
    size = number.copy_abs()  # `abs` rounds, and overflows for 1e999999999
    if not number.is_finite() or size >= 10**15:
        return None
    if size < Decimal("1e-12"):
        return "0" if number == 0 else None
    text = format(Decimal(f"{float(number):.15g}"), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


@cache
def _layout(code: str) -> tuple[bool, int, int] | None:
    """Return thousands parted or not, least whole figures, and decimals, of a simple format."""
    found = _PLAIN.fullmatch(code)
    if found is None or (found[1] and found[2] != "0"):
        return None
    return bool(found[1]), found[2].count("0"), len(found[3] or "")


def shown(text: str, code: str) -> str:
    """Write a number as a format shows it; empty if the format is not one of the simple ones."""
    if code in ("General", "@", ""):
        return text
    layout = _layout(code)
    if layout is None:
        return ""
    parted, least, decimals = layout
    rounded = (
        f"{abs(Decimal(text)):,.{decimals}f}" if parted else f"{abs(Decimal(text)):.{decimals}f}"
    )
    whole, point, rest = rounded.partition(".")
    sign = "-" if text.startswith("-") else ""
    return sign + whole.zfill(least) + point + rest
