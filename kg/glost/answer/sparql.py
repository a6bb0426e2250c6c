"""Free SPARQL 1.1 over the dataset: read-only, nothing fetched, and stoppable."""

import json
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal as Kind

import pyoxigraph as ox

from glost.answer.bounds import Graphs, Lines, Most, TooMuch
from glost.answer.refusals import QueryError, misread, refuse
from glost.names import PREFIXES

Form = Kind["table", "yes or no", "statements"]
"""What a query gives: SELECT a table, ASK yes or no, CONSTRUCT and DESCRIBE statements."""

_JSON = ox.QueryResultsFormat.JSON
_TSV = ox.QueryResultsFormat.TSV
_EVERYTHING = Graphs()
_FORMATS = {
    "csv": ox.QueryResultsFormat.CSV,
    "tsv": ox.QueryResultsFormat.TSV,
    "json": _JSON,
    "xml": ox.QueryResultsFormat.XML,
}
_GRAPH_FORMATS = {
    "nt": ox.RdfFormat.N_TRIPLES,
    "turtle": ox.RdfFormat.TURTLE,
    "json-ld": ox.RdfFormat.JSON_LD,
    "rdf-xml": ox.RdfFormat.RDF_XML,
}


@dataclass(frozen=True, slots=True)
class Result:
    """The result of a query, kept as SPARQL 1.1 Query Results JSON or as sorted N-Triples.

    Attributes
    ----------
    form
        What the query gave.
    variables
        The columns of a table, in the order of the query; empty otherwise.
    written
        The result as written in the one format for its form.
    """

    form: Form
    variables: tuple[str, ...]
    written: bytes

    def __bool__(self) -> bool:
        """Return the answer to ASK; of others, whether there is anything in the result."""
        if self.form == "yes or no":
            return bool(json.loads(self.written)["boolean"])
        return next(self.rows(), None) is not None

    def rows(self) -> Iterator[tuple[str, ...]]:
        """Yield the rows as plain text, an empty text for an empty cell; statements as triples."""
        if self.form == "statements":
            for triple in ox.parse(self.written, format=ox.RdfFormat.N_TRIPLES):
                yield tuple(_plain(t) for t in (triple.subject, triple.predicate, triple.object))
        elif self.form == "yes or no":
            yield ("yes" if self else "no",)
        else:
            parsed = ox.parse_query_results(self.written, format=_JSON)
            if isinstance(parsed, ox.QuerySolutions):
                for solution in parsed:
                    yield tuple(_plain(solution[name]) for name in self.variables)

    def write(self, form: str) -> str:
        """Write the result in a standard format.

        Parameters
        ----------
        form
            ``csv``, ``tsv``, ``json`` or ``xml`` (SPARQL 1.1 Query Results) for SELECT and ASK;
            ``nt``, ``turtle``, ``json-ld`` or ``rdf-xml`` for CONSTRUCT and DESCRIBE.

        Raises
        ------
        QueryError
            If the result cannot be written so.
        """
        statements = self.form == "statements"
        known = _GRAPH_FORMATS if statements else _FORMATS
        if form not in known:
            reason = f"{self.form} cannot be written as {form!r}"
            raise QueryError(reason, f"choose {', '.join(known)}", trouble="unwritable")
        if statements:
            triples = ox.parse(self.written, format=ox.RdfFormat.N_TRIPLES)
            prefixes = {name: str(iri) for name, iri in PREFIXES.items()}
            written = ox.serialize(triples, format=_GRAPH_FORMATS[form], prefixes=prefixes)
            return (written or b"").decode()
        parsed = ox.parse_query_results(self.written, format=_JSON)
        return (parsed.serialize(format=_FORMATS[form]) or b"").decode()


def run(
    store: ox.Store, text: str, *, seconds: float | None = None, folder: Path | None = None
) -> Result:
    """Answer a SPARQL 1.1 query: SELECT, ASK, CONSTRUCT or DESCRIBE.

    Parameters
    ----------
    store
        The dataset, as `glost.answer.store.store` loads it.
    text
        The query. The usual prefixes (``glost:``, ``skos:``, ``prov:`` …) need not be declared.
    seconds
        Stop after so long. The query then runs in a process of its own that can be ended; use
        it for queries of strangers.
    folder
        Where the store lies, for that process to open; without it the dataset is copied.

    Returns
    -------
    Result
        The whole result.

    Raises
    ------
    QueryError
        If the query is not well formed, asks another server (SERVICE), would change the record
        (INSERT, LOAD …), fails, or takes longer than `seconds`.
    """
    refuse(text)
    if seconds is None:
        return answer(store, text)
    return _in_child(store, text, seconds, folder)


def answer(
    store: ox.Store,
    text: str,
    graphs: Graphs = _EVERYTHING,
    most: Most | None = None,
    base: str | None = None,
) -> Result:
    """Answer a query that `refuse` lets pass, in this process.

    Parameters
    ----------
    store, text
        As for `run`.
    graphs
        The query's dataset.
    most
        How large the result may be; None for any size.
    base
        What relative IRIs stand under, where the query itself does not say; None refuses them.

    Raises
    ------
    QueryError
        As `run` does, and if the result is too large.
    """
    prefixes = {name: str(iri) for name, iri in PREFIXES.items()}
    try:
        default, named = graphs.nodes() if graphs else (None, None)
    except ValueError as error:
        reason = f"a graph of the dataset is no absolute IRI: {error}"
        raise QueryError(reason, trouble="malformed") from None
    try:
        found = store.query(
            text, base_iri=base, prefixes=prefixes, default_graph=default, named_graphs=named
        )
        return result_of(found, most)
    except SyntaxError as error:
        raise misread(str(error), text) from None
    except TooMuch as error:
        remedy = "ask for less at a time: name a thing, or add LIMIT and OFFSET"
        raise QueryError(str(error), remedy, trouble="stopped") from None
    except (OSError, RuntimeError, ValueError) as error:
        raise QueryError(f"the query failed: {error}") from None


def result_of(
    found: ox.QueryBoolean | ox.QueryTriples | ox.QuerySolutions, most: Most | None = None
) -> Result:
    """Keep what a store gave as a result; `most` is how large it may be."""
    if isinstance(found, ox.QueryBoolean):
        return Result("yes or no", (), found.serialize(format=_JSON) or b"")
    if isinstance(found, ox.QueryTriples):
        if most is None:
            lines = found.serialize(format=ox.RdfFormat.N_TRIPLES) or b""
        else:
            taken = Lines(most, header=False)
            found.serialize(taken, format=ox.RdfFormat.N_TRIPLES)
            lines = taken.getvalue()
        return Result("statements", (), b"".join(sorted(set(lines.splitlines(keepends=True)))))
    names = tuple(variable.value for variable in found.variables)
    if most is None:
        return Result("table", names, found.serialize(format=_JSON) or b"")
    taken = Lines(most, header=True)
    found.serialize(taken, format=_TSV)
    again = ox.parse_query_results(taken.getvalue(), format=_TSV)
    return Result("table", names, again.serialize(format=_JSON) or b"")


def _in_child(store: ox.Store, text: str, seconds: float, folder: Path | None) -> Result:
    statements = store.dump(format=ox.RdfFormat.N_QUADS) if folder is None else b""
    top = str(Path(__file__).resolve().parents[2])
    command = [sys.executable, "-c", _CHILD, top]
    asked = {"query": text, "folder": str(folder) if folder else ""}
    sent = json.dumps(asked).encode() + b"\n" + bytes(statements or b"")
    try:
        done = subprocess.run(command, input=sent, capture_output=True, timeout=seconds)
    except subprocess.TimeoutExpired:
        raise QueryError(
            f"the query was stopped after {seconds:g} seconds",
            "ask for less at a time: name a thing, or add LIMIT",
            trouble="stopped",
        ) from None
    if done.returncode != 0:
        if done.returncode < 0 or not done.stderr:
            raise QueryError("the query ended the process that was to answer it", _SIMPLER)
        told = done.stderr.decode(errors="replace").strip().splitlines()[-1]
        raise QueryError(f"the query's process failed: {told[:200]}", _SIMPLER)
    head, _, written = done.stdout.partition(b"\n")
    told = json.loads(head)
    if "reason" in told:
        raise QueryError(**told)
    return Result(told["form"], tuple(told["variables"]), written)


_SIMPLER = "ask for less at a time, in a query that is shorter and less deep"
_CHILD = (
    "import sys; sys.path.insert(0, sys.argv[1]); from glost.answer.sparql import serve; serve()"
)


def serve() -> None:
    """Answer the one query on standard input and end: the child process of `run`."""
    asked = json.loads(sys.stdin.buffer.readline())
    if asked["folder"]:
        store = ox.Store.read_only(asked["folder"])
    else:
        store = ox.Store()
        store.bulk_load(sys.stdin.buffer, format=ox.RdfFormat.N_QUADS)
    head: dict[str, object]
    written = b""
    try:
        result = answer(store, asked["query"])
        head = {"form": result.form, "variables": result.variables}
        written = result.written
    except QueryError as error:
        head = dict(error.as_dict())
    sys.stdout.buffer.write(json.dumps(head).encode() + b"\n" + written)


def _plain(term: object) -> str:
    if term is None:
        return ""
    return (
        f"_:{term.value}" if isinstance(term, ox.BlankNode) else str(getattr(term, "value", term))
    )
