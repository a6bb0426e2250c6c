"""A result as a reader sees it: its first rows, and the names of the things in them."""

import json
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


def show(result: Result, store: ox.Store) -> bytes:
    """Return what a page shows of a result, as JSON.

    Parameters
    ----------
    result
        The whole result.
    store
        The dataset, for names.

    Returns
    -------
    bytes
        An object with ``gives``, ``variables``, ``total`` (rows or statements), ``rows`` (of a
        table: each cell as in SPARQL 1.1 Query Results JSON, null where empty), ``answer`` (of
        ASK), ``turtle`` (of statements) and ``names`` by IRI.
    """
    told: dict[str, Any] = {"gives": result.form, "variables": list(result.variables)}
    if result.form == "statements":
        lines = result.written.splitlines(keepends=True)
        first = Result(result.form, (), b"".join(lines[:ROWS]))
        told |= {"total": len(lines), "turtle": first.write("turtle")}
    elif result.form == "yes or no":
        told |= {"total": 1, "answer": bool(result)}
    else:
        bindings = json.loads(result.written)["results"]["bindings"]
        rows = [[row.get(name) for name in result.variables] for row in bindings[:ROWS]]
        told |= {"total": len(bindings), "rows": rows, "names": _names(rows, store)}
    return json.dumps(told, ensure_ascii=False).encode()


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
