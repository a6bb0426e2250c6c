"""What very many claims say of some properties, as columns, without making a term for each.

Rows of one sheet are taken together: their templates are filled in for all of them at once. Rows
with a cell that would have to be quoted in an IRI, and claims that were not read from a table, are
taken one by one.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import reduce
from operator import and_, or_

import polars as pl

from glost.record.claims import Claim
from glost.record.rows import Giver, Row, Rows
from glost.record.tables import SEPARATOR
from glost.record.templates import Template

SCHEMA = pl.Schema({"subject": pl.String(), "object": pl.String(), "claim": pl.Int64()})
_PLAIN = r"^[A-Za-z0-9._~-]*$"
_OPEN = r"^[A-Za-z0-9._~:/?#\[\]@!$&'()*+,;=-]*$"


def columns(claims: Sequence[Claim], properties: frozenset[str]) -> dict[str, pl.DataFrame]:
    """Return what claims say of some properties.

    Parameters
    ----------
    claims
        The claims.
    properties
        IRIs of the properties.

    Returns
    -------
    dict
        For each property ``subject`` and ``object`` as texts, and ``claim``, the place of the
        claim among `claims`, counted from 0; in no particular order. The same as the claims'
        statements give.
    """
    frames: dict[str, list[pl.DataFrame]] = {name: [] for name in properties}
    sheets: dict[int, tuple[Rows, list[int], list[int]]] = {}
    single = []
    for at, claim in enumerate(claims):
        row = claim.expand
        if isinstance(row, Row):
            _, places, numbers = sheets.setdefault(id(row.rows), (row.rows, [], []))
            places.append(row.at)
            numbers.append(at)
        else:
            single.append(at)
    for rows, places, numbers in sheets.values():
        givers = [g for g in rows.expander.givers if g.column.property in properties]
        if not givers:
            continue
        frame = rows.frame[places].with_columns(pl.Series("claim number", numbers, dtype=pl.Int64))
        frame = frame.with_columns(pl.col(pl.String).fill_null(""))
        plain = reduce(and_, [_plain(giver, frame) for giver in givers])
        single += frame.filter(~plain)["claim number"].to_list()
        for giver in givers:
            frames[giver.column.property].append(_said(giver, frame.filter(plain)))
    for name, found in _one_by_one(claims, single, properties):
        frames[name].append(found)
    return {
        name: pl.concat([pl.DataFrame(schema=SCHEMA), *found]) for name, found in frames.items()
    }


def _one_by_one(
    claims: Sequence[Claim], places: Sequence[int], properties: frozenset[str]
) -> Iterator[tuple[str, pl.DataFrame]]:
    said: dict[str, list[tuple[str, str, int]]] = defaultdict(list)
    for at in places:
        for subject, predicate, value in claims[at].saying(properties):
            said[str(predicate)].append((str(subject), str(value), at))
    for name, found in said.items():
        yield name, pl.DataFrame(found, schema=SCHEMA, orient="row")


def _templates(giver: Giver) -> list[Template]:
    return [giver.about] + ([giver.value] if giver.value is not None else [])


def _plain(giver: Giver, frame: pl.DataFrame) -> pl.Expr:
    """Say of every row whether the templates can be filled in with its cells as they stand."""
    said = [pl.lit(True)]
    for template in _templates(giver):
        for part in template.parts:
            if isinstance(part, str):
                continue
            allowed = _OPEN if part[0] == "+" else _PLAIN
            for name in part[1]:
                cells = _cell(name, frame)
                if name == giver.column.name and giver.column.many:
                    cells = cells.str.replace_all(SEPARATOR, "", literal=True)
                said.append(cells.str.contains(allowed))
    return reduce(and_, said)


def _cell(name: str, frame: pl.DataFrame) -> pl.Expr:
    return pl.col(name) if name in frame.columns else pl.lit("")


def _filled(template: Template, frame: pl.DataFrame) -> pl.Expr:
    out: list[pl.Expr] = [pl.lit("")]
    for part in template.parts:
        if isinstance(part, str):
            out.append(pl.lit(part))
            continue
        for name in part[1]:
            cell = _cell(name, frame)
            dotted = pl.when(cell != "").then(pl.lit(".") + cell).otherwise(pl.lit(""))
            out.append(dotted if part[0] == "." else cell)
    return pl.concat_str(out)


def _said(giver: Giver, frame: pl.DataFrame) -> pl.DataFrame:
    column = giver.column
    frame = frame.with_columns(_filled(giver.about, frame).alias("claim subject"))
    if column.virtual:
        if column.when:
            given = [_cell(name, frame) != "" for name in column.when]
            frame = frame.filter(reduce(or_, given))
    elif column.name not in frame.columns:
        return pl.DataFrame(schema=SCHEMA)
    else:
        frame = frame.filter(pl.col(column.name) != "")
        if column.many:
            frame = frame.with_columns(pl.col(column.name).str.split(SEPARATOR)).explode(
                column.name
            )
    value = _value(giver, frame)
    return frame.select(
        pl.col("claim subject").alias("subject"),
        value.alias("object"),
        pl.col("claim number").alias("claim"),
    ).cast(SCHEMA)


def _value(giver: Giver, frame: pl.DataFrame) -> pl.Expr:
    cell = _cell(giver.column.name, frame)
    if giver.value is not None:
        value = _filled(giver.value, frame)
    elif giver.column.base == "boolean":
        value = pl.when(cell == "yes").then(pl.lit("true")).otherwise(pl.lit("false"))
    else:
        value = cell
    if giver.concepts:
        known = {name: str(iri) for name, iri in giver.concepts.items()}
        named = cell.replace_strict(
            list(known), list(known.values()), default=None, return_dtype=pl.String
        )
        value = pl.coalesce(named, value)
    return value
