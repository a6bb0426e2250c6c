"""What very many claims say of some properties, as columns, without making a term for each.

Rows of one sheet are taken together: their templates are filled in for all of them at once. Few
rows, rows with a cell that would have to be quoted in an IRI, partial rows, claims of which a part
is withdrawn, and claims that were not read from a table are taken one by one.

`glost.record.rows` makes the same of one row by itself, by the same compiled description. Neither
will do for both: of the pieces of an example one row takes 8 ms together and 0.02 ms by itself,
100,000 take 0.17 s together and 2.2 s one by one. A test of random cells holds one against the
other.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import chain
from operator import or_
from typing import Protocol, TypeAlias

import polars as pl
from rdflib import Literal
from rdflib.namespace import XSD
from rdflib.term import Node

from glost.record.claims import Claim, Triple
from glost.record.rows import RowColumn, RowReader
from glost.record.sequence import ClaimSequence
from glost.record.sheets import ROW
from glost.record.tables import PARTIAL, SEPARATOR, tables
from glost.record.templates import LEAD, Template

SCHEMA = pl.Schema(
    {
        "subject": pl.String(),
        "object": pl.String(),
        "literal": pl.String(),
        "claim": pl.Int64(),
    }
)
"""`literal` tells what the object is: null for an IRI; for a literal what Turtle writes behind the
quotation marks, with the datatype's IRI bare: nothing, ``@en`` or ``^^http://…#gYear``."""
NOTHING = pl.DataFrame(schema=SCHEMA)
"""What nobody says."""
PLACE = "\x00place"
"""The column of the place of a row's claim among some claims."""
FEW = 100
"""So few rows of a sheet are read sooner one by one than together."""
_OWN = "\x00plain"
_PLAIN = r"^[A-Za-z0-9._~-]*$"
_OPEN = r"^[A-Za-z0-9._~:/?#\[\]@!$&'()*+,;=-]*$"


class NumberedClaims(Protocol):
    """Claims by number."""

    def __len__(self) -> int:
        """Return a number above that of every claim."""

    def __getitem__(self, number: int, /) -> Claim:
        """Return a claim."""

    def places(self, iris: Iterable[str]) -> dict[str, int]:
        """Return the number of those that bear one of some IRIs."""


@dataclass(frozen=True)
class StatementTable:
    """What is believed of some properties, whether it lies in memory or in a store.

    Attributes
    ----------
    claims
        The claims that make the statements.
    of
        The statements of each property, by its IRI: ``subject`` and ``object`` as texts, what
        ``literal`` the object is, and ``claim``, its number among `claims`; in no particular order.
    """

    claims: NumberedClaims
    of: Mapping[str, pl.DataFrame]


Sheet: TypeAlias = tuple[RowReader, pl.DataFrame]
"""How the rows of a sheet become statements, and the rows, each with its claim's place, `PLACE`."""

Said: TypeAlias = tuple[str, pl.DataFrame]
"""A property, by its IRI, and statements of it."""


Texts: TypeAlias = tuple[str, str, str, str | None]
"""A property, subject and object of a statement, and what `literal` the object is."""


class StatementMaker(Protocol):
    """Makes statements of the rows of sheets: on this machine, or on a cluster."""

    def __call__(self, sheets: Sequence[Sheet], properties: frozenset[str]) -> Iterable[Said]:
        """Yield what the rows say of some properties."""


def columns(
    claims: ClaimSequence, properties: frozenset[str], make: StatementMaker | None = None
) -> dict[str, pl.DataFrame]:
    """Return what claims say of some properties.

    Parameters
    ----------
    claims
        The claims.
    properties
        IRIs of the properties.
    make
        What makes statements of rows; if None, as the environment has it, see
        `glost.record.partitioned.chosen`.

    Returns
    -------
    dict
        For each property ``subject`` and ``object`` as texts, what ``literal`` the object is, and
        ``claim``, the place of the claim among `claims`, counted from 0; in no particular order.
        The same as the claims' statements give.
    """
    from glost.record.partitioned import chosen

    frames: dict[str, list[pl.DataFrame]] = {name: [] for name in properties}
    parts, single = claims.parts()
    sheets = [
        (part.rows.expander, part.rows.frame[part.at].with_columns(pl.Series(PLACE, part.places)))
        for part in parts
        if any(giver.column.property in properties for giver in part.rows.expander.givers)
    ]
    told = ((at, claims[at].saying(properties)) for at in single)
    for name, found in chain((make or chosen())(sheets, properties), _one_by_one(told)):
        frames[name].append(found)
    return {name: pl.concat(found) if found else NOTHING for name, found in frames.items()}


def every_statement(
    claims: ClaimSequence, make: StatementMaker | None = None
) -> tuple[Iterable[Said], list[Triple]]:
    """Return all that claims say: what rows say as columns, and statements of all other claims.

    The columns are made as they are taken, and held by nobody else.

    Parameters are those of `columns`.
    """
    from glost.record.partitioned import chosen

    parts, single = claims.parts()
    properties = frozenset(c.property for table in tables().values() for c in table.giving)
    sheets = [
        (part.rows.expander, part.rows.frame[part.at].with_columns(pl.Series(PLACE, part.places)))
        for part in parts
    ]
    told = [triple for at in single for triple in claims[at].statements]
    return (make or chosen())(sheets, properties), told


def made_here(sheets: Iterable[Sheet], properties: frozenset[str]) -> Iterator[Said]:
    """Make statements of rows on this machine: a `StatementMaker`."""
    for reader, frame in sheets:
        yield from said_in(reader, frame, properties)


def said_in(reader: RowReader, frame: pl.DataFrame, properties: frozenset[str]) -> Iterator[Said]:
    """Yield what rows of one sheet say of some properties.

    Templates are filled in for all rows at once, but for those with a cell that has to be quoted in
    an IRI and for partial rows, which are read one by one, as all are where they are few.
    """
    others = frame
    if len(frame) > FEW:
        givers = [giver for giver in reader.givers if giver.column.property in properties]
        frame = frame.with_columns(pl.col(pl.String).fill_null(""))
        frame = frame.with_columns(_plain(givers, frame).alias(_OWN))
        plain, others = frame.filter(pl.col(_OWN)), frame.filter(~pl.col(_OWN))
        said = pl.collect_all(_said(giver, plain) for giver in givers)
        for giver, found in zip(givers, said, strict=True):
            yield giver.column.property, found
    rows = others.drop(_OWN, PLACE, ROW, strict=False).iter_rows(named=True)
    filled = ({name: cell for name, cell in row.items() if cell} for row in rows)
    told = (reader.statements(values, properties) for values in filled)
    yield from _one_by_one(zip(others[PLACE], told, strict=True))


def literal(term: Node) -> str | None:
    """Return what a term has in the column `literal`."""
    if not isinstance(term, Literal):
        return None
    if term.language:
        return f"@{term.language}"
    return f"^^{term.datatype}" if term.datatype is not None else ""


def _one_by_one(told: Iterable[tuple[int, Iterable[Triple]]]) -> Iterator[Said]:
    return in_columns((at, in_texts(statements)) for at, statements in told)


def in_texts(statements: Iterable[Triple]) -> list[Texts]:
    """Return statements as texts, as they stand in columns."""
    return [(str(p), str(s), str(o), literal(o)) for s, p, o in statements]


def in_columns(told: Iterable[tuple[int, Iterable[Texts]]]) -> Iterator[Said]:
    """Yield, for each property, what claims say of it, each with its claim's place."""
    said: dict[str, list[tuple[str, str, str | None, int]]] = defaultdict(list)
    for at, statements in told:
        for name, subject, value, kind in statements:
            said[name].append((subject, value, kind, at))
    for name, found in said.items():
        yield name, pl.DataFrame(dict(zip(SCHEMA, zip(*found, strict=True), strict=True)), SCHEMA)


def _templates(giver: RowColumn) -> list[Template]:
    return [giver.about] + ([giver.value] if giver.value is not None else [])


def _plain(givers: Sequence[RowColumn], frame: pl.DataFrame) -> pl.Expr:
    """Say of every row whether all templates can be filled in with its cells as they stand."""
    looked_at: dict[tuple[str, str, bool], None] = {}
    for giver in givers:
        for template in _templates(giver):
            for part in template.parts:
                if isinstance(part, str):
                    continue
                allowed = _OPEN if part[0] == "+" else _PLAIN
                for name in part[1]:
                    many = name == giver.column.name and giver.column.many
                    looked_at[name, allowed, many] = None
    plain = _cell(PARTIAL, frame) != "yes"
    for name, allowed, many in looked_at:
        if name in frame.columns:
            cells = pl.col(name)
            cells = cells.str.replace_all(SEPARATOR, "", literal=True) if many else cells
            plain &= cells.str.contains(allowed)
    return plain


def _cell(name: str, frame: pl.DataFrame) -> pl.Expr:
    return pl.col(name) if name in frame.columns else pl.lit("")


def _filled(template: Template, frame: pl.DataFrame) -> pl.Expr:
    out: list[pl.Expr] = [pl.lit("")]
    for part in template.parts:
        if isinstance(part, str):
            out.append(pl.lit(part))
            continue
        for name in part[1]:
            cell, lead = _cell(name, frame), LEAD.get(part[0], "").format(name)
            led = pl.when(cell != "").then(pl.lit(lead) + cell).otherwise(pl.lit(""))
            out.append(led if lead else cell)
    return pl.concat_str(out)


def _said(giver: RowColumn, frame: pl.DataFrame) -> pl.LazyFrame:
    column = giver.column
    if not column.virtual and column.name not in frame.columns:
        return NOTHING.lazy()
    rows = frame.lazy().with_columns(_filled(giver.about, frame).alias("claim subject"))
    if not column.virtual:
        rows = rows.filter(pl.col(column.name) != "")
        if column.many:
            rows = rows.with_columns(pl.col(column.name).str.split(SEPARATOR)).explode(column.name)
    elif column.when:
        rows = rows.filter(reduce(or_, [_cell(name, frame) != "" for name in column.when]))
    value, kind = _value(giver, frame)
    return rows.select(
        pl.col("claim subject").alias("subject"),
        value.alias("object"),
        kind.alias("literal"),
        pl.col(PLACE).alias("claim"),
    ).cast(SCHEMA)


def _value(giver: RowColumn, frame: pl.DataFrame) -> tuple[pl.Expr, pl.Expr]:
    """Return the objects of a column, and what literals they are."""
    cell = _cell(giver.column.name, frame)
    kind = pl.lit(None, dtype=pl.String)
    if giver.value is not None:
        value = _filled(giver.value, frame)
    elif giver.column.base == "boolean":
        value = pl.when(cell == "yes").then(pl.lit("true")).otherwise(pl.lit("false"))
        kind = pl.lit(f"^^{XSD.boolean}")
    else:
        value = cell
        kind = pl.lit("" if giver.datatype is None else f"^^{giver.datatype}")
    if giver.concepts:
        known = {name: str(iri) for name, iri in giver.concepts.items()}
        named = cell.replace_strict(
            list(known), list(known.values()), default=None, return_dtype=pl.String
        )
        kind = pl.when(named.is_null()).then(kind)
        value = pl.coalesce(named, value)
    return value, kind
