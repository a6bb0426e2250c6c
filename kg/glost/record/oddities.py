"""What reads well and may not be what was meant: told as findings, and left as it is."""

from collections.abc import Iterable, Iterator

import polars as pl
from rdflib import Literal

from glost.findings import Finding, Severity, Side
from glost.record.characters import oddities, skeleton
from glost.record.claims import Claim
from glost.record.errors import quoted
from glost.record.rows import ClaimRows
from glost.record.sheets import ROW

_SIDES = 20
"""Rows that are named before the rest are counted."""

_OTHER = r"[^\x00-\x7f]"

_NAMES = ("name", "title", "other_names")
"""Columns whose cells are compared with one another."""

_KINDS = {
    "turns-direction": (
        "signs that turn the direction of writing",
        "Take them out, unless the source writes in both directions.",
    ),
    "has-no-width": ("signs that nobody sees", "Take them out; a search would not find the word."),
    "not-composed": (
        "letters and accents as separate signs",
        "Save the file in Unicode normalisation form C; a search may not find the word.",
    ),
    "other-figures": (
        "figures that are not 0 to 9",
        "Write 0 to 9, unless the source has these figures.",
    ),
    "full-width": ("wide forms of ordinary signs", "Write the ordinary signs."),
    "mixed-scripts": (
        "letters of two scripts in one word",
        "Write the word in one script; a search would not find it.",
    ),
}


def odd_findings(sheets: Iterable[ClaimRows]) -> Iterator[Finding]:
    """Find cells that a search, a sort or a reader would take for something else.

    Parameters
    ----------
    sheets
        Checked sheets.

    Yields
    ------
    Finding
        A warning for each kind of oddity in each column of each sheet, and one for each group of
        ids of one kind, or of names in one column, that look alike.
    """
    sheets = tuple(sheets)
    for sheet in sheets:
        other = sheet.rows.frame.select(pl.col(pl.String).str.contains(_OTHER).any())
        for name, found in zip(other.columns, other.row(0), strict=True):
            if found:
                yield from _of_column(sheet, name)
    yield from _ids_alike(sheets)


def odd_claims(claims: Iterable[Claim]) -> Iterator[Finding]:
    """Find the same oddities in the literals of claims read from TriG, a warning for each kind."""
    found: dict[tuple[str, str], list[Side]] = {}
    for claim in claims:
        for _, _, value in claim.statements:
            for kind, told in oddities(str(value)) if isinstance(value, Literal) else ():
                side = Side(
                    f"{quoted(str(value))}: {told}", str(claim.iri), "", "", str(claim.origin)
                )
                found.setdefault((claim.origin.file, kind), []).append(side)
    for (file, kind), sides in sorted(found.items()):
        what, remedy = _KINDS[kind]
        more = f", and {len(sides) - _SIDES} more statements" if len(sides) > _SIDES else ""
        shown = tuple(sides[:_SIDES])
        about = tuple(dict.fromkeys(side.claim for side in shown))
        yield Finding(kind, Severity.WARNING, about, f"{file}: {what}{more}.", shown, remedy)


def _of_column(sheet: ClaimRows, name: str) -> Iterator[Finding]:
    cells = sheet.rows.frame[name]
    other = cells.filter(cells.str.contains(_OTHER)).unique().sort()
    kinds: dict[str, dict[str, str]] = {}
    for cell in other:
        for kind, told in oddities(cell):
            kinds.setdefault(kind, {})[cell] = told
    for kind, wrong in sorted(kinds.items()):
        what, remedy = _KINDS[kind]
        message = f"{sheet.rows.file}, column {name}: {what}"
        yield _finding(kind, message, sheet, name, wrong, remedy)
    if name in _NAMES:
        yield from _names_alike(sheet, name, other)


def _names_alike(sheet: ClaimRows, name: str, other: pl.Series) -> Iterator[Finding]:
    """Find names that differ only by letters of other scripts that look the same."""
    forms: dict[str, set[str]] = {}
    wanted = {skeleton(cell) for cell in other}
    for cell in sheet.rows.frame[name].unique():
        if cell and (form := skeleton(cell)) in wanted:
            forms.setdefault(form, set()).add(cell)
    for _, alike in sorted(forms.items()):
        if len({cell.casefold() for cell in alike}) > 1:
            names = " and ".join(quoted(cell) for cell in sorted(alike))
            message = f"{sheet.rows.file}, column {name}: {names} look the same and differ"
            told = dict.fromkeys(alike, "looks like another")
            remedy = "Write one of them everywhere, if they are one."
            yield _finding("names-alike", message, sheet, name, told, remedy)


def _finding(
    kind: str, message: str, sheet: ClaimRows, name: str, wrong: dict[str, str], remedy: str
) -> Finding:
    cells = sheet.rows.frame[name]
    rows = cells.is_in(sorted(wrong)).arg_true().to_list()
    sides = tuple(
        _side(f"{quoted(cells[at])}: {wrong[cells[at]]}", sheet, at) for at in rows[:_SIDES]
    )
    more = f", and {len(rows) - _SIDES} more rows" if len(rows) > _SIDES else ""
    about = tuple(dict.fromkeys(side.claim for side in sides))
    return Finding(kind, Severity.WARNING, about, f"{message}{more}.", sides, remedy)


def _side(says: str, sheet: ClaimRows, at: int) -> Side:
    row = sheet.rows.frame[ROW][at]
    return Side(says, sheet.iris[at], "", "", f"{sheet.rows.file} row {row}")


def _ids_alike(sheets: tuple[ClaimRows, ...]) -> Iterator[Finding]:
    """Find ids of one kind that differ only by case, or by letters and figures that look alike."""
    kinds = {sheet.rows.expander.table.kind for sheet in sheets} - {""}
    # Ids are ASCII; for them this is what `skeleton` does, many at a time.
    form = pl.col("id").str.to_lowercase().str.replace_many(["0", "1", "m"], ["o", "l", "rn"])
    for kind in sorted(kinds):
        found = pl.concat(
            sheet.rows.frame.select(pl.col(sheet.rows.expander.table.key[0]).alias("id"))
            .with_row_index("at")
            .with_columns(sheet=pl.lit(number))
            for number, sheet in enumerate(sheets)
            if sheet.rows.expander.table.kind == kind
        ).unique("id", keep="first", maintain_order=True)
        alike = found.with_columns(form=form).filter(pl.col("form").is_duplicated())
        for _, group in alike.sort("form", "id").group_by("form", maintain_order=True):
            yield _alike(kind, group, sheets)


def _alike(kind: str, group: pl.DataFrame, sheets: tuple[ClaimRows, ...]) -> Finding:
    names = group["id"].to_list()
    places = group.select("id", "at", "sheet").iter_rows()
    told = " and ".join(quoted(name) for name in names)
    return Finding(
        "ids-alike",
        Severity.WARNING,
        tuple(f"{sheets[0].base}{kind}/{name}" for name in names),
        f"The {kind} ids {told} are easily taken for one another.",
        tuple(_side(f"{kind} {name}", sheets[number], at) for name, at, number in places),
        "Give one of them another id; or write one everywhere, if they are one thing.",
    )
