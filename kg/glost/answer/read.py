"""What a named question reads: by which properties it goes, in its query and for its evidence.

It is read off the text, which takes a hundredth of the time of parsing it: every IRI there may be a
property that it goes by. A test compares this with the queries' algebra.
"""

import re
from collections.abc import Iterator
from functools import cache
from typing import TypeAlias

import pyoxigraph as ox
from rdflib import URIRef
from rdflib.namespace import PROV, RDF

from glost.answer.evidence import DERIVED
from glost.answer.questions import catalogue
from glost.names import GLOST

Reading: TypeAlias = tuple[URIRef | None, URIRef | None]
"""A property, None for any; and of ``rdf:type`` the class, None for any."""

_OF_GROUPS = {(GLOST.hasMember, None), (GLOST.leavesOut, None), (RDF.type, GLOST.Group)}
"""What may be read where a group stands for its members."""

_PREFIX = re.compile(r"PREFIX\s+(\w*):\s*<([^>]*)>", re.I)
_BESIDE = re.compile(r"^#.*$|\s#\s.*$|\"(?:[^\"\\]|\\.)*\"|PREFIX\s+\w*:\s*<[^>]*>", re.I | re.M)
_VALUES = re.compile(r"VALUES\s*(\?\w+|\([^)]*\))\s*\{[^{}]*\}", re.I)
_GRAPH, _RECORD = re.compile(r"\bGRAPH\s+(\S+)\s*\{", re.I), "?record"
_IRI = re.compile(r"<([^>\s]*)>|\b(\w*):([A-Za-z][\w-]*)")
_WITHIN = re.compile(r"\([^(){}]*\)")
_SELECT = re.compile(r"\bSELECT\b[^{]*")
_AFTER = re.compile(r"\b(ORDER|GROUP|HAVING|LIMIT)\b[^{}]*")
_WORDS = re.compile(
    r"\b(FILTER|NOT|EXISTS|OPTIONAL|MINUS|UNION|BIND|WHERE|AS\s+\?\w+|GRAPH\s+[?\w:]+)\b(?!:)", re.I
)
_PATH = re.compile(r"[\w:|/^*+!-]*")
_PARTS = re.compile(r"([{}.;,])(?=\s|$)")


@cache
def reads(name: str) -> frozenset[Reading]:
    """Return what a question reads of what is believed, follows and is worked out.

    What there is of what it is asked about is not among it.
    """
    question = catalogue()[name]
    found: set[Reading] = set(_OF_GROUPS)
    for of in (question.header, question.left_out):
        if of is not None:
            found |= set(read(of.query))
            given = _given(of.query)
            for _, verb, value in (each for group in of.evidence for each in group):
                if f"?{getattr(verb, 'value', '')}" not in given:
                    found.add(_reading(_plain(verb), _plain(value)))
                if verb == DERIVED:  # perhaps from claims gathered
                    found.add((PROV.hadMember, None))
    return frozenset(found)


@cache
def claims_read(name: str) -> frozenset[URIRef | None]:
    """Return the properties by which a question reads what single claims say; None among them: any.

    What the record says it reads of the same claims, or else of any.
    """
    question = catalogue()[name]
    found: set[URIRef | None] = set()
    for query in (of.query for of in (question.header, question.left_out) if of is not None):
        bare = _BESIDE.sub(" ", query)
        graphs = [(each[1], _within(bare, each.end())) for each in _GRAPH.finditer(bare)]
        if not graphs:
            continue
        told = {part.split()[0] for graph, text in graphs if graph == _RECORD
                for part in re.split(r"\.\s", text) if part.strip()}  # fmt: skip
        if not told <= {graph for graph, _ in graphs}:
            found.add(None)
        some = [each[0] for pattern in (_PREFIX, _VALUES) for each in pattern.finditer(query)]
        said = " . ".join(text for graph, text in graphs if graph != _RECORD)
        found |= {verb for verb, _ in read(f"{' '.join(some)} {{ {said} }}")}
    return frozenset(found)


def _within(text: str, start: int) -> str:
    """Return what stands from somewhere to the bracket that closes it."""
    deep = 1
    for each in re.finditer(r"[{}]", text[start:]):
        deep += 1 if each[0] == "{" else -1
        if not deep:
            return text[start : start + each.start()]
    raise ValueError(f"a bracket is not closed in {text}")


def read(query: str) -> Iterator[Reading]:
    """Yield what a query reads, and perhaps more: a property may be one of those a list gives."""
    spaces: dict[str, str] = dict(_PREFIX.findall(query))
    given, bare = _given(query), _BESIDE.sub(" ", query)
    lists, text = [each[0] for each in _VALUES.finditer(bare)], _VALUES.sub(" ", bare)

    def iri(word: str) -> URIRef | None:
        match = _IRI.fullmatch(word)
        if match is None:
            return RDF.type if word == "a" else None
        return URIRef(match[1] if match[2] is None else f"{spaces[match[2]]}{match[3]}")

    for match in _IRI.finditer(bare if given else text):
        found = iri(match[0])
        if found != RDF.type:
            yield found, None
    for verb, value in _verbs(text):
        if verb.startswith("?"):
            if verb not in given:
                yield None, None
        elif iri(verb) == RDF.type and value in given:
            yield from ((RDF.type, iri(match[0])) for match in _IRI.finditer(" ".join(lists)))
        elif iri(verb) == RDF.type:
            yield RDF.type, iri(value)
        elif re.search(r"(?<![\w:])a(?![\w:])|\brdf:type\b", verb):
            yield RDF.type, None


def _given(query: str) -> frozenset[str]:
    """Return the variables to which a list within a query gives IRIs."""
    lists = _VALUES.finditer(_BESIDE.sub(" ", query))
    names = (re.findall(r"\?\w+", each[1]) for each in lists if _IRI.search(each[0]))
    return frozenset(name for each in names for name in each)


def _verbs(text: str) -> Iterator[tuple[str, str]]:
    """Yield what stands where a property does, or a path, and the value after it."""
    while (bare := _WITHIN.sub(_path, text)) != text:
        text = bare
    text = _WORDS.sub(" ", _AFTER.sub(" ", _SELECT.sub(" ", text)))
    text = text.replace("(", " ").replace(")", " ")  # of what holds a group
    before = "{"
    for at, part in enumerate(_PARTS.split(text)):
        if at % 2:
            before = part
            continue
        words = part.split()
        if before != ",":
            words = words[0 if before == ";" else 1 :]
            if len(words) > 1:
                yield words[0], words[-1]


def _path(within: re.Match[str]) -> str:
    """Return what to leave of what stands in round brackets: of a path its properties."""
    inside = "".join(within[0][1:-1].split())
    return f"{inside} " if ":" in inside and _PATH.fullmatch(inside) else " "


def _reading(verb: URIRef | None, value: URIRef | None) -> Reading:
    return verb, value if verb == RDF.type else None


def _plain(slot: object) -> URIRef | None:
    return URIRef(slot.value) if isinstance(slot, ox.NamedNode) else None
