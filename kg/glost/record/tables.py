"""The table descriptions: CSVW metadata read from ``ontology/tables``.

One JSON file describes one table; ``common.json`` describes the columns that every table carries.
The reader and the writer obey these files, so that a new column is a change of data.
Six annotations go beyond CSVW, in a namespace of their own: ``tables:refersTo`` (tables,
``scheme/NAME`` or ``*`` that a cell must name), ``tables:when`` (a virtual column is given only if
one of these cells is), ``tables:kind`` (the first part of the ids a table gives out),
``tables:key`` (the columns that say what a row is about), ``tables:quantity`` (``length``: cells
are lengths as written, ``fragment``: parts of images or recordings) and ``tables:sourceFrom`` (the
column that names the source where the row gives none).
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

from glost.data import folder
from glost.names import TABLES
from glost.record.templates import compiled

_REFERS = str(TABLES.refersTo)
_WHEN = str(TABLES.when)
_KIND = str(TABLES.kind)
_KEY = str(TABLES.key)
_QUANTITY = str(TABLES.quantity)
_SOURCE_FROM = str(TABLES.sourceFrom)
SEPARATOR = "|"
"""Parts the values of a many-valued cell."""
PARTIAL = "partial"
"""The column of rows that say only what their cells add to the thing they name."""


@dataclass(frozen=True, slots=True)
class ColumnDescription:
    """One column of a table, real or virtual.

    Attributes
    ----------
    name, title, description
        The header in a file, the header in words, and what the column means.
    required
        Whether every row must fill it.
    many
        Whether a cell may hold several values parted by ``|``.
    base, datatype, format, minimum, maximum
        CSVW base datatype, IRI of a derived datatype or empty, regular expression or ``yes|no``,
        and limits of a number.
    about, property, value
        CSVW ``aboutUrl``, ``propertyUrl`` and ``valueUrl`` templates; empty where not given.
    refers
        What the cell must name: table names, ``scheme/NAME``, or ``*`` for any kind/id.
    when
        For a virtual column: the cells of which one must be filled.
    virtual
        Whether there is no such column in files.
    quantity
        ``length`` if cells are lengths as written, ``fragment`` if they are parts of page images or
        of recordings; empty otherwise.
    """

    name: str
    title: str
    description: str
    required: bool
    many: bool
    base: str
    datatype: str
    format: str
    minimum: int | None
    maximum: int | None
    about: str
    property: str
    value: str
    refers: tuple[str, ...]
    when: tuple[str, ...]
    virtual: bool
    quantity: str


@dataclass(frozen=True)
class TableDescription:
    """A table: its columns, its own first, then those that every table carries.

    Attributes
    ----------
    name, title, description
        File stem, title and purpose.
    kind
        The first part of the ids it gives out (``shape`` for ``shape/alder``); empty if none.
    key
        The columns that together say what a row is about.
    naming
        The columns that the IRIs of what a row speaks of are made from.
    source_from
        The column that names the source of a row that gives none; empty if a source is required.
    columns
        All columns, real and virtual.
    """

    name: str
    title: str
    description: str
    kind: str
    key: tuple[str, ...]
    naming: frozenset[str]
    source_from: str
    columns: tuple[ColumnDescription, ...]

    @cached_property
    def real(self) -> tuple[ColumnDescription, ...]:
        """The columns a file may have."""
        return tuple(column for column in self.columns if not column.virtual)

    @cached_property
    def giving(self) -> tuple[ColumnDescription, ...]:
        """The columns, real and virtual, that yield statements."""
        return tuple(column for column in self.columns if column.property)

    def needed(self, *, partial: bool) -> tuple[ColumnDescription, ...]:
        """Return the columns that a row must fill; a partial row only those that name the thing."""
        wanted = (column for column in self.real if column.required)
        return tuple(c for c in wanted if not partial or c.name in self.naming)

    def column(self, name: str) -> ColumnDescription:
        """Return the column of that name; KeyError if there is none."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(name)


@cache
def tables() -> dict[str, TableDescription]:
    """Read every table description, sorted by name."""
    top = folder("ontology") / "tables"
    common = _read("common")["tableSchema"]["columns"]
    found = {
        path.stem: _table(path.stem, common)
        for path in sorted(top.glob("*.json"))
        if path.stem != "common"
    }
    if not found:
        raise FileNotFoundError(f"no table descriptions in {top}; install glost again")
    return found


@cache
def kinds() -> dict[str, TableDescription]:
    """Return the tables that give out ids, by the kind of thing they describe."""
    return {table.kind: table for table in tables().values() if table.kind}


def csvw_metadata(headers: Mapping[str, Sequence[str]] | None = None) -> dict[str, Any]:
    """Make standard CSVW metadata of tables, common columns included.

    Parameters
    ----------
    headers
        The columns that each table to describe has, in the order of its file; every column of
        every table if None. A virtual column is described if all it is made of is there. Where
        rows may be partial, only the columns that name the thing are required.

    Returns
    -------
    dict
        A CSVW ``TableGroup`` whose tables stand beside it (``shapes.csv``).

    Raises
    ------
    KeyError
        If there is no such table or column.
    """
    common = _read("common")["tableSchema"]["columns"]
    if headers is None:
        headers = {name: [column.name for column in table.real] for name, table in tables().items()}
    described = []
    for name, header in headers.items():
        table = _read(name)
        del table["@context"]
        schema = table["tableSchema"]
        own, about = schema["columns"], schema["aboutUrl"]
        known = {each["name"]: dict(each) for each in own + _missing(common, own)}
        if PARTIAL in header:
            needed = {column.name for column in tables()[name].needed(partial=True)}
            for each in known.keys() - needed:
                known[each].pop("required", None)
        schema["columns"] = [_as_written(known[each]) for each in header]
        schema["columns"] += [e for e in own if e.get("virtual") and _given(e, about, header)]
        described.append(table)
    return {"@context": ["http://www.w3.org/ns/csvw", {"@language": "en"}], "tables": described}


def _as_written(column: dict[str, Any]) -> dict[str, Any]:
    """Describe a column of a file, whose ``titles`` are what stands in the file's first line."""
    return {
        "name": column["name"],
        "dc:title": column["titles"],
        **column,
        "titles": column["name"],
    }


def _given(column: dict[str, Any], about: str, header: Sequence[str]) -> bool:
    """Say whether a table with this header gives a virtual column anything to be made of.

    Of an expression that lists what there is (``{;form,size}``) any part may lack.
    """
    templates = (column.get("aboutUrl", about), column.get("valueUrl", ""))
    wanted = {
        name
        for template in templates
        for part in compiled(template).parts
        if not isinstance(part, str) and part[0] not in (".", ";")
        for name in part[1]
    }
    when = column.get(_WHEN)
    return wanted <= set(header) and (when is None or not set(header).isdisjoint(when))


def _read(name: str) -> dict[str, Any]:
    path = folder("ontology") / "tables" / f"{name}.json"
    data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return data


def _missing(common: list[dict[str, Any]], own: list[dict[str, Any]]) -> list[dict[str, Any]]:
    have = {column["name"] for column in own}
    return [column for column in common if column["name"] not in have]


def _table(name: str, common: list[dict[str, Any]]) -> TableDescription:
    data = _read(name)
    schema = data["tableSchema"]
    own = schema["columns"]
    columns = tuple(_column(c, schema["aboutUrl"]) for c in own + _missing(common, own))
    abouts = {column.about for column in columns if column.property}
    return TableDescription(
        name=name,
        title=data["dc:title"],
        description=data["dc:description"],
        kind=data.get(_KIND, ""),
        key=tuple(schema.get(_KEY, ())),
        naming=frozenset(name for about in abouts for name in compiled(about).names),
        source_from=data.get(_SOURCE_FROM, ""),
        columns=columns,
    )


def _column(data: dict[str, Any], about: str) -> ColumnDescription:
    datatype = data.get("datatype", "string")
    if isinstance(datatype, str):
        datatype = {"base": datatype}
    return ColumnDescription(
        name=data["name"],
        title=data.get("titles", data["name"]),
        description=data.get("dc:description", ""),
        required=data.get("required", False),
        many="separator" in data,
        base=datatype.get("base", "string"),
        datatype=datatype.get("@id", ""),
        format=datatype.get("format", ""),
        minimum=datatype.get("minimum"),
        maximum=datatype.get("maximum"),
        about=data.get("aboutUrl", about),
        property="" if data.get("suppressOutput") else data.get("propertyUrl", ""),
        value=data.get("valueUrl", ""),
        refers=tuple(data.get(_REFERS, ())),
        when=tuple(data.get(_WHEN, ())),
        virtual=data.get("virtual", False),
        quantity=data.get(_QUANTITY, ""),
    )
