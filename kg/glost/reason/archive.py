"""A closure put away in a file, and taken out again as it was.

Rows and terms are Parquet, the rules and the rest JSON, together in a ZIP archive: whatever is
read is data, and nothing that is read is run. A hash before it tells what was changed since.
"""

import io
import json
import zipfile
from collections.abc import Iterable, Sequence
from hashlib import sha256
from itertools import chain
from pathlib import Path
from typing import Any

import polars as pl
from numpy.typing import NDArray
from rdflib import BNode, Graph, Literal, URIRef
from rdflib.term import Node

from glost.reason.closure import Closure
from glost.reason.coding import Terms
from glost.reason.compiler import Program
from glost.reason.engine import Engine
from glost.reason.executor import embedded
from glost.reason.labels import Labels
from glost.reason.rules import Atom, FactRule, Triple, Var
from glost.reason.sql import SqlTable

_FRAMES = _TERMS, _ASSERTED, _ROWS = "terms.parquet", "asserted.parquet", "rows.parquet"
_REST = "rest.json"
_HASH = sha256().digest_size


def save(closure: Closure, file: Path) -> None:
    """Write a closure to a file: its tables, its terms and its rules.

    Parameters
    ----------
    closure
        As it was when its rules had run; changes made since are not looked for.
    file
        Where to; one that is there is written over.

    Raises
    ------
    TypeError
        If its terms are not held as `glost.reason.closure.close` holds them.
    """
    engine = closure.engine
    if not isinstance(engine.terms, Terms):
        raise TypeError("only a closure of rdflib terms can be put away")
    read = engine.executor.read
    words = _Words()
    rest = {
        "program": _program(engine.program, words),
        "same": list(engine.same.groups()),
        "step": engine.step,
        "state": [
            [words(rel), engine.count[rel], engine.newest[rel], sorted(engine.steps[rel])]
            for rel in engine.steps
        ],
        "words": words.said,
    }
    rows = [_frame(read(f"SELECT * FROM {engine.names[rel]}")) for rel in engine.steps]
    rows = [frame.with_columns(of=pl.lit(n, pl.Int32)) for n, frame in enumerate(rows)]
    frames = {
        _ASSERTED: _frame(read("SELECT * FROM asserted")),
        _ROWS: pl.concat([_NOTHING, *rows], how="diagonal"),
        _TERMS: _spelt(chain(*engine.terms.all)),
    }
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w") as archive:
        for name, frame in frames.items():
            with archive.open(name, "w", force_zip64=True) as part:
                frame.write_parquet(part, compression="lz4")
        archive.writestr(_REST, json.dumps(rest))
    with file.open("wb") as out:
        out.write(sha256(whole.getbuffer()).digest())
        out.write(whole.getbuffer())


def load(file: Path) -> Closure:
    """Read a closure that was put away.

    Raises
    ------
    OSError, ValueError, KeyError, TypeError, IndexError, zipfile.BadZipFile, PolarsError
        If the file does not hold what `save` wrote.
    """
    data = memoryview(file.read_bytes())
    if sha256(data[_HASH:]).digest() != data[:_HASH]:
        raise ValueError(f"{file} has changed since it was written")
    with zipfile.ZipFile(io.BytesIO(data[_HASH:])) as archive:
        frames = {name: pl.read_parquet(archive.read(name)) for name in _FRAMES}
        rest = json.loads(archive.read(_REST))
    words = [_term(each) for each in rest["words"]]
    executor, terms = embedded(len(frames[_ASSERTED])), _read_terms(frames[_TERMS])
    engine = Engine(_read_program(rest["program"], words), terms, executor)
    engine.step = rest["step"]
    for root, names in rest["same"]:
        for name in names:
            engine.same.union(root, name)
    executor.load("asserted", _arrays(frames[_ASSERTED]))
    rows = frames[_ROWS].partition_by("of", as_dict=True, include_key=False)
    for number, (named, count, newest, steps) in enumerate(rest["state"]):
        link, kind = named
        rel = SqlTable(words[link], None if kind is None else words[kind])
        columns = engine.columns(rel)
        executor.create(engine.names[rel], columns)
        if (number,) in rows:
            executor.load(engine.names[rel], _arrays(rows[number,].select(columns)))
        engine.count[rel], engine.newest[rel], engine.steps[rel] = count, newest, set(steps)
    return Closure(engine)


# -- rows ----------------------------------------------------------------------------------------

_NOTHING = pl.DataFrame(
    schema={"s": pl.Int32, "o": pl.Int32, "step": pl.Int32, "base": pl.Boolean, "of": pl.Int32}
)


def _frame(columns: dict[str, NDArray[Any]]) -> pl.DataFrame:
    kinds = {name: pl.Boolean if name == "base" else pl.Int32 for name in columns}
    return pl.DataFrame(columns, schema=kinds)


def _arrays(frame: pl.DataFrame) -> dict[str, NDArray[Any]]:
    return {column.name: column.to_numpy() for column in frame}


# -- terms ---------------------------------------------------------------------------------------

_Spelt = tuple[str, str, str, str]
"""A kind of term, its text, its datatype and its language."""


def _spell(term: Node) -> _Spelt:
    if isinstance(term, Literal):
        return "literal", str(term), str(term.datatype or ""), term.language or ""
    return "blank" if isinstance(term, BNode) else "name", str(term), "", ""


def _term(spelt: Sequence[str]) -> Node:
    kind, text, datatype, language = spelt
    if kind == "name":
        return URIRef(text)
    if kind == "blank":
        return BNode(text)
    if kind != "literal":
        raise ValueError(f"{kind} is no kind of term")
    return Literal(
        text,
        datatype=URIRef(datatype) if datatype else None,
        lang=language or None,
        normalize=False,
    )


def _spelt(terms: Iterable[Node]) -> pl.DataFrame:
    return pl.DataFrame(
        [_spell(term) for term in terms],
        schema=dict.fromkeys(("kind", "text", "datatype", "language"), pl.String),
        orient="row",
    )


def _read_terms(frame: pl.DataFrame) -> Terms:
    literal = pl.col("kind") == "literal"
    names, literals = frame.filter(~literal), frame.filter(literal)
    if names["kind"].eq("name").all():
        return Terms.of(list(map(URIRef, names["text"])), list(map(_term, literals.iter_rows())))
    return Terms.of(*(list(map(_term, part.iter_rows())) for part in (names, literals)))


class _Words:
    """Terms and variables by number, each written once."""

    def __init__(self) -> None:
        self.said: list[_Spelt] = []
        self._numbers: dict[Node, int] = {}

    def word(self, term: Node | Var) -> int | str:
        """Return the number of a term, or the name of a variable."""
        if isinstance(term, Var):
            return term.name
        if term not in self._numbers:
            self._numbers[term] = len(self.said)
            self.said.append(_spell(term))
        return self._numbers[term]

    def __call__(self, terms: Iterable[Node | Var | None]) -> list[int | str | None]:
        """Return the numbers of several terms; None stands for itself."""
        return [None if term is None else self.word(term) for term in terms]


# -- rules ---------------------------------------------------------------------------------------


def _program(program: Program, words: _Words) -> dict[str, Any]:
    def rule(each: FactRule) -> list[Any]:
        body, source = [words(atom) for atom in each.body], [words(t) for t in each.source]
        return [each.name, body, each.head and words(each.head), source]

    return {
        "rules": [rule(each) for each in program.rules],
        "clashes": [rule(each) for each in program.clashes],
        "given": [[words(fact), rule(each)] for fact, each in program.given.items()],
        "ranges": [[*words((p, kind)), words(said)] for p, kind, said in program.ranges],
        "schema": [words(triple) for triple in program.labels.schema],
    }


def _read_program(told: dict[str, Any], words: list[Node]) -> Program:
    def triple(numbers: list[int]) -> Triple:
        s, p, o = (words[number] for number in numbers)
        return s, p, o

    def atom(numbers: list[int | str]) -> Atom:
        return Atom(*(Var(n) if isinstance(n, str) else words[n] for n in numbers))

    def rule(said: list[Any]) -> FactRule:
        name, body, head, source = said
        atoms = tuple(map(atom, body))
        return FactRule(name, atoms, head and atom(head), tuple(map(triple, source)))

    schema = Graph("SimpleMemory")
    for numbers in told["schema"]:
        schema.add(triple(numbers))
    return Program(
        tuple(map(rule, told["rules"])),
        tuple(map(rule, told["clashes"])),
        {triple(fact): rule(said) for fact, said in told["given"]},
        tuple((words[p], words[kind], triple(said)) for p, kind, said in told["ranges"]),
        Labels(schema),
    )
