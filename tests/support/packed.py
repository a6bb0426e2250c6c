"""Workbooks put together by hand, to hold what no spreadsheet program would write at will."""

import io
import zipfile

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_DOC = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"


def relations(*targets: tuple[str, str]) -> str:
    """Write relations of a part: kind and target of each."""
    each = "".join(
        f'<Relationship Id="r{n}" Type="{_DOC}/{kind}" Target="{target}"/>'
        for n, (kind, target) in enumerate(targets, 1)
    )
    return f'<Relationships xmlns="{_PACKAGE}">{each}</Relationships>'


def packed(
    cells: str,
    *,
    after: str = "",
    formats: tuple[str, ...] = (),
    strings: str = "",
    settings: str = "",
    name: str = "shapes",
) -> bytes:
    """Pack a workbook of one sheet.

    Parameters
    ----------
    cells
        What stands inside ``sheetData``.
    after
        What follows it.
    formats
        Number formats; a cell with ``s="1"`` has the first.
    strings
        What stands inside ``sst``.
    settings
        What precedes ``sheets`` in the workbook.
    name
        The sheet's name.
    """
    codes = "".join(
        f'<numFmt numFmtId="{200 + n}" formatCode="{code}"/>' for n, code in enumerate(formats)
    )
    styles = "".join(f'<xf numFmtId="{200 + n}"/>' for n in range(len(formats)))
    parts = {
        "_rels/.rels": relations(("officeDocument", "xl/workbook.xml")),
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_DOC}">{settings}<sheets>'
        f'<sheet name="{name}" sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": relations(
            ("worksheet", "worksheets/sheet1.xml"),
            ("styles", "styles.xml"),
            ("sharedStrings", "sharedStrings.xml"),
        ),
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{_MAIN}"><sheetData>{cells}</sheetData>'
        f"{after}</worksheet>",
        "xl/styles.xml": f'<styleSheet xmlns="{_MAIN}"><numFmts>{codes}</numFmts>'
        f'<cellXfs><xf numFmtId="0"/>{styles}</cellXfs></styleSheet>',
        "xl/sharedStrings.xml": f'<sst xmlns="{_MAIN}">{strings}</sst>',
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as book:
        for part, text in parts.items():
            book.writestr(part, text)
    return out.getvalue()


def row(number: int, *cells: str) -> str:
    """Write a row: texts as they are, or whole ``<c …>`` elements."""
    made = []
    for at, cell in enumerate(cells):
        place = f"{chr(65 + at)}{number}"
        if cell.startswith("<c"):
            made.append(cell.replace("<c", f'<c r="{place}"', 1))
        elif cell:
            made.append(f'<c r="{place}" t="inlineStr"><is><t>{cell}</t></is></c>')
    return f'<row r="{number}">{"".join(made)}</row>'
