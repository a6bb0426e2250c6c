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
            for _, verb, value in (each for group in of.evidence for each in group):
                found.add(_reading(_plain(verb), _plain(value)))
                if verb == DERIVED:  # perhaps from claims gathered
                    found.add((PROV.hadMember, None))
    return frozenset(found)


@cache
def reads_claims(name: str) -> bool:
    """Say whether a question reads what single claims say, or what the record says of them."""
    question = catalogue()[name]
    queries = (of.query for of in (question.header, question.left_out) if of is not None)
    return any(re.search(r"\bGRAPH\b", _BESIDE.sub(" ", query)) for query in queries)


def read(query: str) -> Iterator[Reading]:
    """Yield what a query reads, and perhaps more."""
    spaces: dict[str, str] = dict(_PREFIX.findall(query))
    text = _VALUES.sub(" ", _BESIDE.sub(" ", query))

    def iri(word: str) -> URIRef | None:
        match = _IRI.fullmatch(word)
        if match is None:
            return RDF.type if word == "a" else None
        return URIRef(match[1] if match[2] is None else f"{spaces[match[2]]}{match[3]}")

    for match in _IRI.finditer(text):
        found = iri(match[0])
        if found != RDF.type:
            yield found, None
    for verb, value in _verbs(text):
        if verb.startswith("?"):
            yield None, None
        elif iri(verb) == RDF.type:
            yield RDF.type, iri(value)
        elif re.search(r"(?<![\w:])a(?![\w:])|\brdf:type\b", verb):
            yield RDF.type, None


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
    return f"{inside} " if _PATH.fullmatch(inside) else " "


def _reading(verb: URIRef | None, value: URIRef | None) -> Reading:
    return verb, value if verb == RDF.type else None


def _plain(slot: object) -> URIRef | None:
    return URIRef(slot.value) if isinstance(slot, ox.NamedNode) else None
