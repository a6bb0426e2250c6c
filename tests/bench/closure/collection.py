"""An invented collection of any size for the real ontology, as N-Quads text or as codes.

Run as a program, it writes a file: ``python collection.py TRIPLES FILE``.
"""

import sys
from pathlib import Path

import numpy as np
import polars as pl
from numpy.typing import NDArray
from rdflib import Literal, URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.reason.coding import Quads

GLOST = "https://w3id.org/glost/ontology#"
BASE = "https://example.org/bench/"
PER_CLAIM = 3

Column = NDArray[np.int64]
Block = tuple[str, Column, str, str, Column]
"""Kind and numbers of the subjects, property, kind and numbers of the objects."""


def blocks(triples: int) -> list[Block]:
    """Return about so many triples: pieces of shapes with treatments, made by potteries."""
    draw = np.random.default_rng(1)
    pieces = max(8, round(triples / 3.76))
    shapes, treatments = max(4, pieces // 40), max(8, pieces // 8)
    potteries, decals = max(1, shapes // 40), max(4, treatments // 3)
    piece, shape, treatment = (np.arange(k) for k in (pieces, shapes, treatments))
    decal, pottery = np.arange(decals), np.arange(potteries)

    def typed(kind: str, numbers: Column, name: str) -> Block:
        return kind, numbers, "type", name, np.zeros(len(numbers), np.int64)

    shared, copied, redesigned = (
        shape[shape % 4 == 1],
        shape[shape % 10 > 3],
        shape[shape % 5 == 3],
    )
    return [
        typed("pottery", pottery, "Pottery"),
        typed("shape", shape, "Shape"),
        typed("treatment", treatment, "Treatment"),
        typed("decal", decal, "Decal"),
        typed("piece", piece, "Piece"),
        ("shape", shape, "madeBy", "pottery", shape % potteries),
        ("shape", shared, "sharesFlatwareWith", "shape", shared - 1),
        ("shape", copied, "copiedFrom", "shape", copied - 1),
        ("shape", redesigned, "redesignedFrom", "shape", redesigned - 2),
        ("treatment", treatment, "usesDecal", "decal", treatment % decals),
        ("treatment", treatment, "issuedBy", "pottery", treatment % potteries),
        ("treatment", treatment, "treatmentNumber", "text", treatment),
        ("piece", piece, "ofShape", "shape", draw.integers(0, shapes, pieces)),
        ("piece", piece, "bearsTreatment", "treatment", draw.integers(0, treatments, pieces)),
    ]


def _link(name: str) -> str:
    return str(RDF.type) if name == "type" else GLOST + name


def write(triples: int, path: Path, graphs: bool = True) -> int:
    """Write a collection as N-Quads, a few quads to a claim; return how many."""
    rows = 0
    with path.open("wb") as out:
        for kind, numbers, link, other, objects in blocks(triples):
            end = f"<{BASE}claim{{}}> ." if graphs else "."
            target = {"text": '"N{}"'}.get(other, f"<{BASE}{other}{{}}>")
            frame = pl.DataFrame(
                {"s": numbers, "o": objects, "row": np.arange(len(numbers)) + rows}
            )
            columns: list[str | pl.Expr] = ["s", "o"]
            if link == "type":
                target, columns = f"<{GLOST}{other}>", ["s"]
            if graphs:
                columns.append(pl.col("row") // PER_CLAIM)
            line = pl.format(f"<{BASE}{kind}{{}}> <{_link(link)}> {target} {end}", *columns)
            frame.select(line).write_csv(out, include_header=False, quote_style="never")
            rows += len(numbers)
    return rows


class Numbered:
    """A dictionary whose codes are reckoned, not looked up; for more terms than memory holds."""

    def __init__(self, starts: dict[str, int]) -> None:
        self._starts = starts
        self._next = max(starts.values(), default=0)
        self._codes: dict[Node, int] = {}
        self._terms: dict[int, Node] = {}

    def code(self, term: Node) -> int:
        """Return the code of a term, giving it one if it has none."""
        if term not in self._codes and (reckoned := self._reckoned(term)) is not None:
            self._codes[term] = reckoned
        elif term not in self._codes:
            code = self._next = self._next + 1
            if isinstance(term, Literal):
                code = -code
            self._codes[term], self._terms[code] = code, term
        return self._codes[term]

    def _reckoned(self, term: Node) -> int | None:
        if not isinstance(term, URIRef) or not term.startswith(BASE):
            return None
        name = term.removeprefix(BASE)
        kind = name.rstrip("0123456789")
        return self._starts[kind] + int(name.removeprefix(kind))

    def term(self, code: int) -> Node:
        """Return the term of a code."""
        if code in self._terms:
            return self._terms[code]
        kind = max((k for k, v in self._starts.items() if v <= abs(code)), key=self._starts.get)
        number = abs(code) - self._starts[kind]
        made = Literal(f"N{number}") if code < 0 else URIRef(f"{BASE}{kind}{number}")
        self._codes.setdefault(made, code)
        return made


def coded(triples: int) -> Quads:
    """Return a collection in codes, made without any text."""
    made = blocks(triples)
    starts, top = {}, 1
    for kind in ("pottery", "shape", "treatment", "decal", "piece", "text"):
        starts[kind] = top
        top += 1 + max((int(b[4].max()) for b in made if b[3] == kind and len(b[4])), default=0)
        top += max((len(b[1]) for b in made if b[0] == kind), default=0)
    terms = Numbered({**starts, "": top})
    s, p, o = [], [], []
    for kind, numbers, link, other, objects in made:
        s.append((numbers + starts[kind]).astype(np.int32))
        p.append(np.full(len(numbers), terms.code(URIRef(_link(link))), np.int32))
        if link == "type":
            o.append(np.full(len(numbers), terms.code(URIRef(GLOST + other)), np.int32))
        else:
            sign = -1 if other == "text" else 1
            o.append((sign * (objects + starts[other])).astype(np.int32))
    return Quads(np.concatenate(s), np.concatenate(p), np.concatenate(o), terms)


if __name__ == "__main__":
    print(write(int(sys.argv[1]), Path(sys.argv[2])), "quads")
