"""One cell at a time: whether it is what its column asks for, and its plain form."""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import chain
from urllib.parse import quote, unquote

from glost.limits import CELL, FIGURES, NUMBER
from glost.names import EDTF, SCHEMES
from glost.record.characters import control
from glost.record.dates import DateError
from glost.record.dates import read as read_date
from glost.record.errors import nearest, quoted, suggestion
from glost.record.fragments import FragmentError, read_fragment
from glost.record.schemes import TermScheme
from glost.record.tables import SEPARATOR, ColumnDescription, kinds, tables
from glost.record.templates import decoded

YES = {"yes", "true", "1"}
"""What may stand for yes, in lower case."""
_FALSE = {"no", "false", "0"}
_INTEGERS = {"integer", "nonNegativeInteger"}


class CellError(ValueError):
    """A cell that is not what its column asks for.

    Attributes
    ----------
    message
        What is wrong.
    otherwise
        What to do about it where no valid word is near.
    """

    def __init__(
        self, message: str, otherwise: str = "", look: Callable[[], str] | None = None
    ) -> None:
        super().__init__(message)
        self.message = message
        self.otherwise = otherwise
        self._look = look

    @property
    def remedy(self) -> str:
        """What to do about it, the nearest valid word first; looked for each time it is asked."""
        return (self._look() if self._look else "") or self.otherwise


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
    schemes: Mapping[str, TermScheme]

    @property
    def own_terms(self) -> frozenset[str]:
        """The collection's own terms, each as ``scheme/id``."""
        return frozenset(
            f"{scheme.name}/{slug}"
            for scheme in self.schemes.values()
            for slug, iri in scheme.iris.items()
            if not iri.startswith(SCHEMES)
        )


def text_fault(cell: str) -> CellError | None:
    """Say what may stand in no cell: control characters, too long a text, too many figures.

    Parameters
    ----------
    cell
        Any text that is to become part of the record.
    """
    if len(cell) > CELL:
        remedy = (
            f"a cell holds at most {CELL:,} characters; keep a longer text in a file of its own"
        )
        return CellError(f"the cell {quoted(cell)} has {len(cell):,} characters", remedy)
    if named := control(cell):
        return CellError(
            f"{quoted(cell)} holds {named}", "take it out; only tab and newline may be"
        )
    if _LONG_FIGURE.search(cell):
        remedy = "part it by spaces if it is no number"
        return CellError(f"{quoted(cell)} holds more than {FIGURES} figures in a row", remedy)
    return None


_LONG_FIGURE = re.compile(rf"[0-9]{{{FIGURES + 1}}}")


def checker(column: ColumnDescription, index: Index | None) -> Callable[[str], str]:
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


def _datatype(column: ColumnDescription) -> Callable[[str], str]:
    if column.quantity == "fragment":
        return _fragment
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
        if _WHOLE_IRI.fullmatch(column.value):  # so that an IRI is written in one way
            return lambda cell: decoded(_formatted(cell, column, pattern))
        return lambda cell: _formatted(cell, column, pattern)
    return lambda cell: cell


def _edtf(cell: str) -> str:
    try:
        read_date(cell)
    except DateError as bad:
        raise CellError(f"{quoted(cell)} is not an EDTF date: {bad.reason}", bad.remedy) from None
    return cell


def _fragment(cell: str) -> str:
    try:
        read_fragment(cell)
    except FragmentError as bad:
        raise CellError(bad.message, bad.remedy) from None
    return cell


def _boolean(cell: str) -> str:
    word = cell.casefold()
    if word in YES:
        return "yes"
    if word in _FALSE:
        return "no"
    raise CellError(f"{quoted(cell)} is neither yes nor no", "write yes or no, or leave it empty")


def _day(cell: str) -> str:
    try:
        if _DAY.fullmatch(cell):
            return date.fromisoformat(cell).isoformat()
    except ValueError:
        raise CellError(f"there is no day {quoted(cell)}", "correct it") from None
    raise CellError(f"{quoted(cell)} is not a day", "write it as 1999-12-31")


def _integer(cell: str, column: ColumnDescription) -> str:
    if not _WHOLE.fullmatch(cell):
        raise CellError(
            f"{quoted(cell)} is not a whole number", f"write it in figures{_others(cell)}"
        )
    _few_figures(cell)
    number = int(cell)
    least = 0 if column.base == "nonNegativeInteger" else column.minimum
    if least is not None and number < least:
        raise CellError(f"{number} is less than {least}", "correct it")
    if column.maximum is not None and number > column.maximum:
        raise CellError(f"{number} is more than {column.maximum}", "correct it")
    return str(number)


def _decimal(cell: str) -> str:
    if not _DECIMAL.fullmatch(cell):
        remedy = f"write it in figures, like 2 or 2.5{_others(cell)}"
        raise CellError(f"{quoted(cell)} is not a number", remedy)
    _few_figures(cell)
    return cell


_WHOLE_IRI = re.compile(r"\{\+\w+\}")
_WHOLE = re.compile("-?[0-9]+")
_DECIMAL = re.compile(r"-?[0-9]+(\.[0-9]+)?")
_DAY = re.compile("[0-9]{4}-[0-9]{2}-[0-9]{2}")


def _few_figures(cell: str) -> None:
    if sum(sign.isdigit() for sign in cell) > NUMBER:
        remedy = f"a number has at most {NUMBER} figures"
        raise CellError(f"{quoted(cell)} has too many figures", remedy)


def _others(cell: str) -> str:
    """Say that figures of other scripts are not read, where that is what is wrong."""
    return "" if cell.isascii() else ", and those are 0 to 9"


def _formatted(cell: str, column: ColumnDescription, pattern: re.Pattern[str]) -> str:
    if pattern.fullmatch(cell):
        return cell
    if "|" in column.format and re.fullmatch(r"[a-z|-]+", column.format):
        words = column.format.split("|")
        for word in words:
            if word == cell.casefold():
                return word
        raise CellError(
            f"{quoted(cell)} is none of {', '.join(words)}", "", partial(_did_you_mean, cell, words)
        )
    if column.format == _id_format():
        plain = re.sub(r"[^A-Za-z0-9_-]+", "-", cell).strip("-_")
        raise CellError(
            f"{quoted(cell)} is not an id: letters, digits, - and _ only",
            f"write {quoted(plain)}" if plain else "make one up",
        )
    raise CellError(f"{quoted(cell)} does not fit: {column.description}", "write it that way")


def is_id(text: str) -> bool:
    """Say whether a text may be an id."""
    return re.fullmatch(_id_format(), text) is not None


def _id_format() -> str:
    return tables()["shapes"].column("shape").format


def _reference(column: ColumnDescription, index: Index) -> Callable[[str], str]:
    target = column.refers[0]
    if target == "*":
        terms = index.own_terms if "terms" in column.refers else frozenset()
        return lambda cell: cell if cell in terms else _any_thing(cell, index)
    if target.startswith("scheme/"):
        scheme = index.schemes[target.removeprefix("scheme/")]
        return lambda cell: _concept(cell, scheme)
    if target == "claims":
        return lambda cell: _claim(cell, index)
    targets = [tables()[name] for name in column.refers]

    def known(cell: str) -> str:
        if any(cell in index.ids.get(table.kind, ()) for table in targets):
            return cell
        names = " or ".join(table.name for table in targets)
        raise CellError(
            f"nothing describes {quoted(cell)} in {names}",
            f"describe it in tables/{targets[0].name}.csv",
            lambda: _did_you_mean(cell, chain(*(index.ids.get(t.kind, ()) for t in targets))),
        )

    return known


def _claim(cell: str, index: Index) -> str:
    if cell in index.claims:
        return cell
    remedy = "glost show prints the ids of claims; an id made from content changes with the row"
    raise CellError(
        f"there is no claim {quoted(cell)}",
        remedy,
        partial(_did_you_mean, cell, index.claims),
    )


def _concept(cell: str, scheme: TermScheme) -> str:
    found = scheme.find(cell)
    if len(found) == 1:
        return found[0]
    if found:
        raise CellError(f"{quoted(cell)} may be {' or '.join(found)}", "write which")
    own = "describe it in tables/terms.csv" if scheme.name in _OPEN else ""
    listed = "" if len(scheme.iris) > 20 else "terms are " + ", ".join(scheme.iris)

    def look() -> str:
        did = _did_you_mean(cell, [*scheme.iris, *scheme.spellings])
        return "; or ".join(part for part in (did, own) if part) if did else ""

    otherwise = "; or ".join(part for part in (listed, own) if part)
    raise CellError(
        f"{quoted(cell)} is no term of the list of {scheme.name} terms", otherwise, look
    )


def _did_you_mean(cell: str, words: Iterable[str]) -> str:
    return suggestion(cell, words, "")


_OPEN = {"colour", "form", "fuel", "technique", "role", "source-kind", "zone-kind"}


def _any_thing(cell: str, index: Index) -> str:
    kind, slash, name = cell.partition("/")
    if not slash or kind not in index.ids:
        valid = sorted(kinds())
        near = nearest(kind, valid)
        example = f"{near or 'shape'}/{name or cell}"
        raise CellError(f"{quoted(cell)} is not kind/id", f"write it like {quoted(example)}")
    if unquote(name) in index.ids[kind]:
        return f"{kind}/{quote(unquote(name), safe='')}"
    where = f"describe it in tables/{kinds()[kind].name}.csv" if kind in kinds() else "describe it"

    def look() -> str:
        near = nearest(name, index.ids[kind])
        return f'did you mean "{kind}/{near}"?' if near else ""

    raise CellError(f"nothing describes {quoted(cell)}", where, look)
