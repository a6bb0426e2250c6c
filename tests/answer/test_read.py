"""What a question reads, read off its text, against the algebra that rdflib makes of it."""

from collections.abc import Iterator
from typing import Any

from rdflib import URIRef
from rdflib.namespace import RDF
from rdflib.paths import MulPath, NegatedPath, Path
from rdflib.plugins.sparql.algebra import translateQuery
from rdflib.plugins.sparql.parser import parseQuery
from rdflib.plugins.sparql.parserutils import CompValue
from rdflib.term import Node

from glost.answer.questions import catalogue
from glost.answer.read import read, reads_claims

_HARD = ("articles-compared", "corrections", "crossings", "family", "kiln-figures", "redesigns")
"""Questions with every way of writing there is: to parse all forty takes three seconds."""


def _read(part: Any) -> Iterator[tuple[URIRef | None, URIRef | None]]:
    if isinstance(part, CompValue):
        for key, each in part.items():
            if key == "triples":
                for row in each:
                    for at in range(0, len(row), 3):
                        for verb in _verbs(row[at + 1]):
                            yield _reading(verb, row[at + 2])
            yield from _read(each)
    elif isinstance(part, list | tuple | set):
        for each in part:
            yield from _read(each)


def _verbs(verb: Any) -> Iterator[object]:
    if isinstance(verb, CompValue):
        for each in verb.values():
            yield from _verbs(each)
    elif isinstance(verb, list):
        for each in verb:
            yield from _verbs(each)
    elif isinstance(verb, NegatedPath):
        yield None
    elif isinstance(verb, MulPath):
        yield from _verbs(verb.path)
    elif isinstance(verb, Path):
        for each in getattr(verb, "args", None) or (verb.arg,):
            yield from _verbs(each)
    elif isinstance(verb, Node):
        yield verb


def _reading(verb: object, value: object) -> tuple[URIRef | None, URIRef | None]:
    if not isinstance(verb, URIRef):
        return None, None
    return verb, value if verb == RDF.type and isinstance(value, URIRef) else None


def test_what_a_query_goes_by_is_read_off_its_text() -> None:
    """Nothing that the algebra goes by is missing, and nothing is read of all if it is not."""
    for question in (catalogue()[name] for name in _HARD):
        for of in (question.header, question.left_out):
            if of is None:
                continue
            wanted = set(_read(translateQuery(parseQuery(of.query)).algebra))
            found = set(read(of.query))
            if (RDF.type, None) in found:
                wanted = {each for each in wanted if each[0] != RDF.type}
            assert wanted <= found, (question.name, wanted - found)
            assert ((None, None) in found) == ((None, None) in wanted), question.name


def test_what_is_read_of_claims_is_told() -> None:
    """A question that looks into named graphs is known, and none that does not."""
    assert reads_claims("corrections")
    assert not reads_claims("in-production")
