"""N-Quads text to codes, without a Python object for each term.

Lines are split and terms coded by polars, in parallel; one dictionary holds the terms of all
files.  The text must be as canonical serialisers write it: one statement a line, terms separated
by one space, `` .`` at the end, no comments.
"""

import re
from collections.abc import Iterable
from itertools import count
from pathlib import Path

import polars as pl
from rdflib import BNode, Literal, URIRef
from rdflib.plugins.parsers.ntriples import unquote
from rdflib.term import Node

from glost.reason.coding import Quads

_numbers = count()
_GRAPH = r' (<[^ "]*>|_:[^ "]+)$'
_WELL_FORMED = {
    "s": r"^(<[^ ]*>|_:[^ ]+)$",
    "p": r"^<[^ ]*>$",
    "o": r'^(<[^ ]*>|_:[^ ]+|".*"(@[A-Za-z0-9-]+|\^\^<[^ ]*>)?)$',
}
_LITERAL = re.compile(r'"(.*)"(?:@([A-Za-z0-9-]+)|\^\^<([^ ]*)>)?', re.DOTALL)
_ESCAPES = str.maketrans({"\\": r"\\", '"': r"\"", "\n": r"\n", "\r": r"\r"})
_SHOWN = 20


class TextTerms:
    """A dictionary of terms as N-Triples writes them, kept as categories of polars."""

    def __init__(self) -> None:
        self._categories = pl.Categories(f"glost-{next(_numbers)}")
        self.dtype = pl.Categorical(self._categories)
        self._held = pl.Series([""], dtype=self.dtype)  # categories nobody holds are forgotten
        self._codes: dict[Node, int] = {}
        self._texts = pl.Series([], dtype=pl.String)

    def code(self, term: Node) -> int:
        """Return the code of a term, giving it one if it has none."""
        known = self._codes.get(term)
        if known is None:
            category = int(pl.Series([_text(term)], dtype=self.dtype).to_physical()[0])
            known = self._codes[term] = -1 - category if isinstance(term, Literal) else category
        return known

    def term(self, code: int) -> Node:
        """Return the term of a code."""
        place = code if code >= 0 else -1 - code
        if place >= len(self._texts):
            self._texts = self._categories.to_series()
        found = _parse(self._texts[place])
        self._codes.setdefault(found, code)
        return found


def _text(term: Node) -> str:
    """Write a term as canonical N-Triples does."""
    if not isinstance(term, Literal):
        return str(term.n3())
    quoted = f'"{str(term).translate(_ESCAPES)}"'
    if term.language:
        return f"{quoted}@{term.language}"
    return f"{quoted}^^<{term.datatype}>" if term.datatype else quoted


def _parse(text: str) -> Node:
    if text.startswith("<"):
        return URIRef(unquote(text[1:-1]))
    if text.startswith("_:"):
        return BNode(text[2:])
    found = _LITERAL.fullmatch(text)
    if found is None:
        raise ValueError(f"not a term of N-Triples: {text}")
    value, language, datatype = found.groups()
    return Literal(unquote(value), lang=language, datatype=datatype and URIRef(datatype))


def _lines(path: Path) -> pl.LazyFrame:
    return pl.scan_csv(
        path, separator="\x01", quote_char=None, has_header=False, new_columns=["line"]
    )


def _simple(path: Path) -> pl.LazyFrame:
    """Split lines at every space; right unless the object is a literal with spaces.

    The column ``simple`` tells which lines those are.
    """
    parts = pl.col("line").str.splitn(" ", 5).struct.rename_fields(["s", "p", "o", "g", "end"])
    g, end = pl.col("g"), pl.col("end")
    triple = end.is_null() & (g == ".")
    literal = pl.col("o").str.starts_with('"')
    quad = (end == ".") & (~literal | ~g.str.contains('"', literal=True))
    return (
        _lines(path)
        .select(parts.struct.unnest())
        .select(
            "s",
            "p",
            "o",
            g=pl.when(~triple).then(g),
            simple=(triple | quad).fill_null(False),
            ended=pl.lit(True),
        )
    )


def _careful(path: Path) -> pl.LazyFrame:
    """Split lines at the first two spaces and before a graph; always right."""
    parts = pl.col("line").str.splitn(" ", 3).struct.rename_fields(["s", "p", "rest"])
    rest = pl.col("rest").str.strip_suffix(" .")
    graph = rest.str.extract(_GRAPH, 1)
    object_ = (
        pl.when(graph.is_null())
        .then(rest)
        .otherwise(rest.str.head(-(graph.str.len_chars().cast(pl.Int64) + 1)))
    )
    return (
        _lines(path)
        .select(parts.struct.unnest())
        .select(
            "s",
            "p",
            o=object_,
            g=graph,
            simple=pl.lit(False),
            ended=pl.col("rest").str.ends_with(" .").fill_null(False),
        )
    )


def _rows(path: Path, chosen: list[pl.Expr]) -> pl.DataFrame:
    """Return expressions over the terms of each line, the simple lines first."""
    first = _simple(path).select(*chosen, "simple").collect()
    if first["simple"].all():
        return first.drop("simple")
    known = first["simple"]
    rest = _careful(path).with_columns(known.alias("known")).filter(~pl.col("known")).select(chosen)
    return pl.concat([first.filter(pl.col("simple")).drop("simple"), rest.collect()])


def _looks_well() -> pl.Expr:
    """Return the quick check of a line, by the first letters of its terms."""
    return (
        pl.col("ended")
        & pl.col("s").str.contains("^[<_]")
        & pl.col("p").str.starts_with("<")
        & pl.col("o").str.contains('^[<_"]')
    )


def _faults(path: Path) -> list[str]:
    """Return what is wrong with the lines of a file, the first few of each."""
    whole = pl.col("ended")
    for column, pattern in _WELL_FORMED.items():
        whole = whole & pl.col(column).str.contains(pattern).fill_null(False)
    wrong = _careful(path).with_row_index("row", 1).filter(~whole).select("row").collect()["row"]
    listed = [
        f"{path}, line {row}: not a statement of N-Quads; write one statement on a line, "
        "its terms separated by one space and ended by ' .'"
        for row in wrong.head(_SHOWN).to_list()
    ]
    if len(wrong) > _SHOWN:
        listed.append(f"{path}: {len(wrong) - _SHOWN} more lines like these")
    return listed


def read_quads(paths: Iterable[Path], terms: TextTerms | None = None) -> Quads:
    """Read N-Triples or N-Quads files into codes.

    Parameters
    ----------
    paths
        The files, in any order.
    terms
        A dictionary to go on with; a new one if not given.

    Returns
    -------
    Quads
        What several graphs hold is there once.

    Raises
    ------
    ValueError
        If lines cannot be read; it names the file and the line of each, the first few of
        each file.
    """
    terms = terms or TextTerms()
    used = [path for path in sorted(paths) if path.stat().st_size]
    objects = pl.col("o").cast(terms.dtype).to_physical().cast(pl.Int32)
    signed = pl.when(pl.col("o").str.starts_with('"')).then(-1 - objects).otherwise(objects)
    chosen = [_code("s", terms), _code("p", terms), signed.alias("o"), _looks_well().alias("well")]
    frames, faults = [pl.DataFrame(schema=dict.fromkeys("spo", pl.Int32))], []
    for path in used:
        frame = _rows(path, chosen)
        if not frame["well"].fill_null(False).all():
            faults += _faults(path)
        frames.append(frame.drop("well"))
    if faults:
        raise ValueError("\n".join(faults))
    facts = pl.concat(frames).unique(maintain_order=True)
    return Quads(*(facts[name].rechunk().to_numpy() for name in "spo"), terms)


def _code(column: str, terms: TextTerms) -> pl.Expr:
    return pl.col(column).cast(terms.dtype).to_physical().cast(pl.Int32)
