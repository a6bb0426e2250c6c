"""A result as a reader sees it: its first rows, and the names of the things in them."""

import json
from dataclasses import dataclass, field
from typing import Any

import pyoxigraph as ox

from glost.answer.sparql import Result

ROWS = 500
"""Rows, or statements, that a page shows."""

_LABELS = (
    "http://www.w3.org/2004/02/skos/core#prefLabel",
    "http://www.w3.org/2000/01/rdf-schema#label",
    "http://purl.org/dc/terms/title",
)


@dataclass(frozen=True, slots=True)
class Shown:
    """What a page shows of a result.

    Attributes
    ----------
    gives
        What the query gave.
    total
        How many rows or statements there are.
    variables
        The columns of a table.
    rows
        Its first rows, each cell as in SPARQL 1.1 Query Results JSON, None where empty.
    names
        Names of the things in them by IRI.
    answer
        Of ASK.
    turtle
        The first statements.
    """

    gives: str
    total: int
    variables: tuple[str, ...] = ()
    rows: list[list[Any]] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)
    answer: bool = False
    turtle: str = ""


def show(result: Result, store: ox.Store) -> Shown:
    """Return what a page shows of a result.

    Parameters
    ----------
    result
        The whole result.
    store
        The dataset, for names.
    """
    if result.form == "statements":
        lines = result.written.splitlines(keepends=True)
        first = Result(result.form, (), b"".join(lines[:ROWS]))
        return Shown(result.form, len(lines), turtle=first.write("turtle"))
    if result.form == "yes or no":
        return Shown(result.form, 1, answer=bool(result))
    bindings = json.loads(result.written)["results"]["bindings"]
    rows = [[row.get(name) for name in result.variables] for row in bindings[:ROWS]]
    return Shown(result.form, len(bindings), result.variables, rows, _names(rows, store))


def _names(rows: list[list[Any]], store: ox.Store) -> dict[str, str]:
    iris = {
        cell["value"] for row in rows for cell in row if cell is not None and cell["type"] == "uri"
    }
    return {iri: name for iri in sorted(iris) if (name := _name(iri, store))}


def _name(iri: str, store: ox.Store) -> str:
    """Return the first name of a thing in the order of `_LABELS`, then of the alphabet."""
    thing = ox.NamedNode(iri)
    for label in _LABELS:
        quads = store.quads_for_pattern(thing, ox.NamedNode(label), None, ox.DefaultGraph())
        names = sorted(quad.object.value for quad in quads if isinstance(quad.object, ox.Literal))
        if names:
            return names[0]
    return ""
