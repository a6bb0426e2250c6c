"""The terms of very many statements, by number.

A term's key is its IRI, or a literal's text in quotation marks with what Turtle writes behind them
(a datatype's IRI bare). Terms are numbered in the order of their keys; those that come later, as
they come.
"""

from functools import cached_property

import numpy as np
import polars as pl
from numpy.typing import NDArray
from rdflib import Literal, URIRef
from rdflib.term import Node

from glost.record.columns import literal

Ints = NDArray[np.int64]


class TermNumbers:
    """Terms by number, and numbers by term.

    Parameters
    ----------
    keys
        The key of each term, sorted, each once.
    """

    def __init__(self, keys: pl.Series) -> None:
        self._first = keys
        self._keys: list[str] = keys.to_list()

    @cached_property
    def _number(self) -> dict[str, int]:
        return {key: number for number, key in enumerate(self._keys)}

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self._keys)

    def __getitem__(self, number: int) -> Node:
        """Return a term."""
        key = self._keys[number]
        if not key.startswith('"'):
            return URIRef(key)
        text, _, kind = key[1:].rpartition('"')
        if kind.startswith("@"):
            return Literal(text, lang=kind[1:])
        return Literal(text, datatype=URIRef(kind[2:]) if kind else None, normalize=False)

    def text(self, number: int) -> str:
        """Return the text of a term: its IRI, or what a literal says."""
        key = self._keys[number]
        return key[1:].rpartition('"')[0] if key.startswith('"') else key

    def texts(self, numbers: Ints) -> pl.Series:
        """Return the IRIs of many terms that are IRIs."""
        later = pl.Series(self._keys[len(self._first) :], dtype=pl.String)
        return pl.concat([self._first, later]).gather(numbers)

    def find(self, term: Node) -> int:
        """Return the number of a term; -1 if it has none."""
        return self._number.get(key_of(term), -1)

    def add(self, term: Node) -> int:
        """Return the number of a term, new if need be."""
        number = self.find(term)
        if number < 0:
            number = self._number[key_of(term)] = len(self._keys)
            self._keys.append(key_of(term))
        return number

    def add_all(self, iris: pl.Series) -> Ints:
        """Return the numbers of many IRIs, new if need be."""
        asked = iris.alias("key").to_frame()
        known = self._first.alias("key").to_frame().with_row_index("number")
        found = asked.join(known, on="key", how="left", maintain_order="left")["number"]
        numbers: Ints = found.cast(pl.Int64).fill_null(-1).to_numpy(writable=True)
        for place in np.flatnonzero(numbers < 0).tolist():
            numbers[place] = self.add(URIRef(iris[place]))
        return numbers


def key_of(term: Node) -> str:
    """Return the key of a term."""
    kind = literal(term)
    return str(term) if kind is None else f'"{term}"{kind}'


def keys_of(frame: pl.DataFrame) -> pl.Series:
    """Return the keys of the objects of a frame of `glost.record.columns`."""
    quoted = pl.concat_str(pl.lit('"'), "object", pl.lit('"'), "literal")
    return frame.select(pl.when(pl.col("literal").is_null()).then("object").otherwise(quoted))[
        "object"
    ]


def numbered(columns: list[pl.Series]) -> tuple[TermNumbers, list[Ints]]:
    """Give numbers to keys.

    Parameters
    ----------
    columns
        Columns of keys.

    Returns
    -------
    tuple
        The terms, and each column as numbers.
    """
    every = pl.concat([pl.Series([], dtype=pl.String), *columns])
    coded = every.cast(pl.Categorical(pl.Categories.random()))
    found = coded.unique()
    keys = pl.DataFrame({"key": found.cast(pl.String), "code": found.to_physical()}).sort("key")
    number = np.zeros(keys.height, np.int64)
    number[keys["code"].to_numpy()] = np.arange(keys.height)
    ends = np.cumsum([len(column) for column in columns])
    return TermNumbers(keys["key"]), np.split(number[coded.to_physical().to_numpy()], ends[:-1])
