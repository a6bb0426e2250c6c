"""One cell at a time: whether it is what its column asks for, and its plain form."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from glost.names import EDTF
from glost.record.dates import DateError
from glost.record.dates import read as read_date
from glost.record.errors import nearest, suggestion
from glost.record.schemes import Scheme
from glost.record.sheets import plain_day
from glost.record.tables import SEPARATOR, Column, kinds, tables

_TRUE = {"yes", "true", "1"}
_FALSE = {"no", "false", "0"}
_INTEGERS = {"integer", "nonNegativeInteger"}


class CellError(ValueError):
    """A cell that is not what its column asks for.

    Attributes
    ----------
    message, remedy
        What is wrong and what to do about it.
    """

    def __init__(self, message: str, remedy: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy


@dataclass(frozen=True, slots=True)
class Index:
    """What a cell may name.

    Attributes
    ----------
    ids
        Ids described in the collection, by kind.
    claims
        Ids of claims.
    schemes
        Concept schemes, the collection's own terms included.
    """

    ids: Mapping[str, frozenset[str]]
    claims: frozenset[str]
    schemes: Mapping[str, Scheme]


def checker(column: Column, index: Index | None) -> Callable[[str], str]:
    """Make the function that checks the cells of a column.

    Parameters
    ----------
    column
        The column's description.
    index
        What its cells may name; None to leave references unchecked.

    Returns
    -------
    Callable
        Takes a cell that is not empty, returns its plain form, raises `CellError`.
    """
    check = _reference(column, index) if column.refers and index else _datatype(column)
    if not column.many:
        return check

    def each(cell: str) -> str:
        parts = [part.strip() for part in cell.split(SEPARATOR)]
        return SEPARATOR.join(sorted({check(part) for part in parts if part}))

    return each


def _datatype(column: Column) -> Callable[[str], str]:
    if column.datatype == str(EDTF):
        return _edtf
    if column.base == "boolean":
        return _boolean
    if column.base == "date":
        return _day
    if column.base in _INTEGERS:
        return lambda cell: _integer(cell, column)
    if column.base == "decimal":
        return _decimal
    if column.format:
        pattern = re.compile(column.format)
        return lambda cell: _formatted(cell, column, pattern)
    return lambda cell: cell


def _edtf(cell: str) -> str:
    cell = plain_day(cell)
    try:
        read_date(cell)
    except DateError as bad:
        raise CellError(f'"{cell}" is not an EDTF date: {bad.reason}', bad.remedy) from None
    return cell


def _boolean(cell: str) -> str:
    word = cell.casefold()
    if word in _TRUE:
        return "yes"
    if word in _FALSE:
        return "no"
    raise CellError(f'"{cell}" is neither yes nor no', "write yes or no, or leave it empty")


def _day(cell: str) -> str:
    cell = plain_day(cell)
    try:
        if re.fullmatch(r"\d{4}-\d{2}-\d{2}", cell):
            return date.fromisoformat(cell).isoformat()
    except ValueError:
        raise CellError(f'there is no day "{cell}"', "correct it") from None
    raise CellError(f'"{cell}" is not a day', "write it as 1999-12-31")


def _integer(cell: str, column: Column) -> str:
    if not re.fullmatch(r"-?\d+", cell):
        raise CellError(f'"{cell}" is not a whole number', "write it in figures")
    number = int(cell)
    least = 0 if column.base == "nonNegativeInteger" else column.minimum
    if least is not None and number < least:
        raise CellError(f"{number} is less than {least}", "correct it")
    if column.maximum is not None and number > column.maximum:
        raise CellError(f"{number} is more than {column.maximum}", "correct it")
    return str(number)


def _decimal(cell: str) -> str:
    if not re.fullmatch(r"-?\d+(\.\d+)?", cell):
        raise CellError(f'"{cell}" is not a number', "write it in figures, like 2 or 2.5")
    return cell


def _formatted(cell: str, column: Column, pattern: re.Pattern[str]) -> str:
    if pattern.fullmatch(cell):
        return cell
    if "|" in column.format and re.fullmatch(r"[a-z|-]+", column.format):
        words = column.format.split("|")
        for word in words:
            if word == cell.casefold():
                return word
        raise CellError(f'"{cell}" is none of {", ".join(words)}', suggestion(cell, words, ""))
    if column.format == _id_format():
        plain = re.sub(r"[^A-Za-z0-9_-]+", "-", cell).strip("-_")
        raise CellError(
            f'"{cell}" is not an id: letters, digits, - and _ only',
            f'write "{plain}"' if plain else "make one up",
        )
    raise CellError(f'"{cell}" does not fit: {column.description}', "write it that way")


def _id_format() -> str:
    return tables()["shapes"].column("shape").format


def _reference(column: Column, index: Index) -> Callable[[str], str]:
    target = column.refers[0]
    if target == "*":
        return lambda cell: _any_thing(cell, index)
    if target.startswith("scheme/"):
        scheme = index.schemes[target.removeprefix("scheme/")]
        return lambda cell: _concept(cell, scheme)
    if target == "claims":
        return lambda cell: _claim(cell, index)
    targets = [tables()[name] for name in column.refers]

    def known(cell: str) -> str:
        if any(cell in index.ids.get(table.kind, ()) for table in targets):
            return cell
        valid = sorted({word for table in targets for word in index.ids.get(table.kind, ())})
        names = " or ".join(table.name for table in targets)
        raise CellError(
            f'nothing describes "{cell}" in {names}',
            suggestion(cell, valid, f"describe it in tables/{targets[0].name}.csv"),
        )

    return known


def _claim(cell: str, index: Index) -> str:
    if cell in index.claims:
        return cell
    remedy = "glost show prints the ids of claims; an id made from content changes with the row"
    raise CellError(
        f'there is no claim "{cell}"',
        suggestion(cell, index.claims, remedy),
    )


def _concept(cell: str, scheme: Scheme) -> str:
    found = scheme.find(cell)
    if len(found) == 1:
        return found[0]
    if found:
        raise CellError(f'"{cell}" may be {" or ".join(found)}', "write which")
    own = "describe it in tables/terms.csv" if scheme.name in _OPEN else ""
    near = nearest(cell, {**scheme.iris, **scheme.spellings})
    did = f'did you mean "{near}"?' if near else ""
    listed = "" if near or len(scheme.iris) > 20 else "terms are " + ", ".join(scheme.iris)
    remedy = "; or ".join(part for part in (did or listed, own) if part)
    raise CellError(f'"{cell}" is no term of the list of {scheme.name} terms', remedy)


_OPEN = {"form", "technique", "role", "source-kind", "zone-kind"}


def _any_thing(cell: str, index: Index) -> str:
    kind, slash, name = cell.partition("/")
    if not slash or kind not in index.ids:
        valid = sorted(kinds())
        near = nearest(kind, valid)
        example = f"{near or 'shape'}/{name or cell}"
        raise CellError(f'"{cell}" is not kind/id', f'write it like "{example}"')
    if name in index.ids[kind]:
        return cell
    near = nearest(name, index.ids[kind])
    where = f"describe it in tables/{kinds()[kind].name}.csv" if kind in kinds() else "describe it"
    raise CellError(
        f'nothing describes "{cell}"', f'did you mean "{kind}/{near}"?' if near else where
    )
