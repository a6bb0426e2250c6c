"""Checked rows into claims, and a row's statements when they are asked for."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from hashlib import sha256
from itertools import chain, islice

import polars as pl
from rdflib import Literal, URIRef
from rdflib.namespace import XSD

from glost.record.claims import Claim, Origin, Passage, Triple
from glost.record.schemes import TermScheme
from glost.record.sheets import ROW
from glost.record.tables import PARTIAL, SEPARATOR, ColumnDescription, TableDescription
from glost.record.templates import Template, compiled

PROVENANCE = (
    "source",
    "locator",
    "region",
    "certainty",
    "recorded_by",
    "recorded_on",
    "note",
    "claim",
)
"""The columns that say what a row rests on; they yield no statement of the claim's own graph."""

_PLAIN = {"string", ""}
_NAMES = 1 << 17
_FEW = 100_000


@dataclass(frozen=True, slots=True)
class RowColumn:
    """A column compiled for a collection: how its cells become statements."""

    column: ColumnDescription
    about: Template
    property: Template
    verb: URIRef | None
    """The property, if it is the same in every row."""
    value: Template | None
    fixed: URIRef | None
    """The value, if it is the same in every row."""
    concepts: Mapping[str, URIRef] | None
    datatype: URIRef | None
    elsewhere: str = ""
    """The collection's base, which begins no value of a column that names things elsewhere."""


@dataclass(frozen=True, slots=True)
class RowReader:
    """A table compiled for a collection: how its rows become statements."""

    table: TableDescription
    givers: tuple[RowColumn, ...]
    _giving: dict[tuple[str, ...], tuple[RowColumn, ...]] = field(
        default_factory=dict, compare=False, repr=False
    )
    """By which cells of a row are filled, the columns that give statements of it: few kinds of rows
    there are, and many columns that most leave empty."""

    @classmethod
    def of(
        cls, table: TableDescription, base: str, schemes: Mapping[str, TermScheme]
    ) -> "RowReader":
        """Compile a table's description against a base IRI and the schemes in force."""
        return cls(table, tuple(_giver(column, base, schemes) for column in table.giving))

    def statements(
        self, values: Mapping[str, str], only: frozenset[str] | None = None
    ) -> tuple[Triple, ...]:
        """Make the statements of a row.

        Parameters
        ----------
        values
            Plain form of every cell that is not empty, by column name.
        only
            Properties to make statements of; all if None.

        Returns
        -------
        tuple of Triple
            In the order of the columns, each once. A partial row makes none that the cells which
            name the thing would make alone.
        """
        made = self._made(values, only)
        if values.get(PARTIAL) != "yes":
            return tuple(made)
        naming = {name: values[name] for name in self.table.naming if name in values}
        bare = self._made(naming, only)
        return tuple(statement for statement in made if statement not in bare)

    def _made(self, values: Mapping[str, str], only: frozenset[str] | None) -> dict[Triple, None]:
        found: dict[Triple, None] = {}
        names: dict[int, URIRef] = {}
        for giver in self._of(tuple(values)):
            column = giver.column
            if only is not None and column.property not in only:
                continue
            if column.virtual:
                found[_statement(giver, values, "", names)] = None
            elif cell := values[column.name]:
                for part in cell.split(SEPARATOR) if column.many else (cell,):
                    found[_statement(giver, values, part, names)] = None
        return found

    def _of(self, filled: tuple[str, ...]) -> tuple[RowColumn, ...]:
        """Return the columns that give statements of a row in which some cells are filled."""
        givers = self._giving.get(filled)
        if givers is None:
            there = set(filled)
            givers = self._giving[filled] = tuple(
                giver
                for giver in self.givers
                if (
                    not giver.column.when or not there.isdisjoint(giver.column.when)
                    if giver.column.virtual
                    else giver.column.name in there
                )
            )
        return givers


def without(values: Mapping[str, str], columns: Iterable[str]) -> dict[str, str]:
    """Return a row's filled cells less those of some columns, or single values of them."""
    rest = dict(values)
    for column in columns:
        name, single, value = column.partition("=")
        parts = [each for each in rest.pop(name, "").split(SEPARATOR) if single and each != value]
        if any(parts):
            rest[name] = SEPARATOR.join(parts)
    return rest


def _giver(column: ColumnDescription, base: str, schemes: Mapping[str, TermScheme]) -> RowColumn:
    concepts = None
    if column.refers and column.refers[0].startswith("scheme/"):
        concepts = schemes[column.refers[0].removeprefix("scheme/")].iris
    if column.datatype:
        datatype: URIRef | None = URIRef(column.datatype)
    else:
        datatype = None if column.base in _PLAIN else XSD[column.base]
    value = compiled(column.value, base) if column.value else None
    about, named = compiled(column.about, base), compiled(column.property, base)
    elsewhere = base if column.value.startswith("{") else ""
    verb, fixed = _constant(named), None if value is None else _constant(value)
    return RowColumn(column, about, named, verb, value, fixed, concepts, datatype, elsewhere)


def _constant(template: Template) -> URIRef | None:
    return None if template.names else _iri(template.expand({}))


def _statement(
    giver: RowColumn, values: Mapping[str, str], part: str, names: dict[int, URIRef]
) -> Triple:
    """Make one statement; `names` holds what the row's templates gave so far."""
    subject = names.get(id(giver.about)) or _named(giver.about, values, names)
    predicate = giver.verb or _named(giver.property, values, names)
    if giver.concepts is not None and part in giver.concepts:
        return subject, predicate, giver.concepts[part]
    if giver.fixed is not None:
        return subject, predicate, giver.fixed
    if giver.value is not None:
        if giver.column.many:
            at = {**values, giver.column.name: part}
            return subject, predicate, _iri(giver.value.expand(at))
        return subject, predicate, _named(giver.value, values, names)
    return subject, predicate, literal(part, giver.column.base, giver.datatype)


def _named(template: Template, values: Mapping[str, str], names: dict[int, URIRef]) -> URIRef:
    found = names.get(id(template))
    if found is None:
        found = names[id(template)] = _iri(template.expand(values))
    return found


@lru_cache(maxsize=_NAMES)
def _iri(text: str) -> URIRef:
    return URIRef(text)


@lru_cache(maxsize=_NAMES)
def literal(part: str, base: str, datatype: URIRef | None) -> Literal:
    """Make the literal of a plain cell; its lexical form is kept as written."""
    if base == "boolean":
        return Literal("true" if part == "yes" else "false", datatype=XSD.boolean)
    return Literal(part, datatype=datatype, normalize=False)


@dataclass(frozen=True, slots=True)
class Rows:
    """The checked rows of one sheet.

    Attributes
    ----------
    file
        Where they stand, relative to the collection.
    frame
        A string column for each column present, and `ROW`.
    expander
        How they become statements.
    held
        Statements made already, by row; a sheet of more than 100,000 rows holds none.
    """

    file: str
    frame: pl.DataFrame
    expander: RowReader
    held: dict[int, tuple[Triple, ...]] = field(default_factory=dict, compare=False, repr=False)
    columns: list[str] = field(default_factory=list, compare=False, repr=False)
    """The names of the frame's columns, once they were asked for: asking is dear."""

    def values(self, at: int) -> dict[str, str]:
        """Return the filled cells of a row, counted from 0, by column name."""
        if not self.columns:
            self.columns.extend(self.frame.columns)
        row = self.frame.row(at)
        return {
            name: cell for name, cell in zip(self.columns, row, strict=True) if cell and name != ROW
        }

    def statements(self, at: int, only: frozenset[str] | None = None) -> tuple[Triple, ...]:
        """Make the statements of a row, counted from 0; those of some properties if `only`."""
        held = self.held.get(at)
        if held is None:
            made = self.expander.statements(self.values(at), only)
            if only is None and self.frame.height <= _FEW:
                self.held[at] = made
            return made
        return held if only is None else tuple(t for t in held if str(t[1]) in only)


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row, that makes its statements when it is called."""

    rows: Rows
    at: int

    def __call__(self) -> tuple[Triple, ...]:
        """Make its statements."""
        return self.rows.statements(self.at)

    def saying(self, only: frozenset[str]) -> tuple[Triple, ...]:
        """Make its statements of some properties."""
        return self.rows.statements(self.at, only)

    def row(self) -> tuple[RowReader, dict[str, str]]:
        """Return its table, compiled, and its filled cells."""
        return self.rows.expander, self.rows.values(self.at)


def content_ids(table: TableDescription, frame: pl.DataFrame) -> pl.Series:
    """Reckon `glost.record.claims.content_id` for every row at once."""
    names = sorted(name for name in frame.columns if name not in (ROW, "claim"))
    parts = [
        pl.when(pl.col(name) == "")
        .then(pl.lit(""))
        .otherwise("\x1e" + name + "\x1f" + pl.col(name))
        for name in names
    ]
    texts = frame.select(pl.concat_str([pl.lit(table.name), *parts]).alias("text"))["text"]
    ids = [sha256(text.encode()).hexdigest()[:16] for text in texts]
    return pl.Series("id", ids, dtype=pl.String)


@dataclass(frozen=True)
class ClaimRows:
    """The checked rows of one sheet, each with what makes it a claim.

    Attributes
    ----------
    rows
        The rows.
    ids, sources
        Claim id and source IRI of each.
    base
        The collection's base IRI.
    certainties
        Concept of each degree of certainty, by id.
    """

    rows: Rows
    ids: pl.Series
    sources: pl.Series
    base: str
    certainties: Mapping[str, URIRef]

    @property
    def iris(self) -> pl.Series:
        """The claims' IRIs."""
        return (f"{self.base}claim/" + self.ids).alias("iri")

    @property
    def table(self) -> str:
        """Name of the table."""
        return self.rows.expander.table.name

    def cells(self, name: str) -> pl.Series:
        """Return a column of the sheet; empty cells if it has none of that name."""
        frame = self.rows.frame
        if name in frame.columns:
            return frame[name]
        return pl.Series(name, [""], dtype=pl.String).new_from_index(0, frame.height)

    def claim(self, at: int) -> Claim:
        """Make the claim of a row, counted from 0."""
        return self._claim(at, {}, *(column[at] for column in self._columns))

    def claims(self) -> list[Claim]:
        """Make the claims of all rows, in order; those that rest on one passage share it."""
        return list(chain.from_iterable(self.in_parts(len(self.ids) or 1)))

    def in_parts(self, size: int) -> Iterator[list[Claim]]:
        """Make the same, so many at a time."""
        passages: dict[tuple[str, str, str], Passage] = {}
        every = enumerate(zip(*(column.to_list() for column in self._columns), strict=True))
        while part := [self._claim(at, passages, *cells) for at, cells in islice(every, size)]:
            yield part

    @cached_property
    def _columns(self) -> list[pl.Series]:
        kept = [name for name in PROVENANCE if name not in ("source", "claim")]
        return [self.ids, self.sources, self.rows.frame[ROW], *map(self.cells, kept)]

    def _claim(
        self,
        at: int,
        passages: dict[tuple[str, str, str], Passage],
        name: str,
        source: str,
        row: int,
        locator: str,
        region: str,
        certainty: str,
        by: str,
        on: str,
        note: str,
    ) -> Claim:
        passage = passages.get((source, locator, region))
        if passage is None:
            passage = Passage(URIRef(source), locator, region)
            passages[source, locator, region] = passage
        return Claim(
            URIRef(f"{self.base}claim/{name}"),
            passage,
            self.certainties.get(certainty),
            by,
            on,
            note,
            Origin(self.rows.file, row, self.table),
            TableRow(self.rows, at),
        )
