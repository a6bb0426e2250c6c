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
from glost.answer.read import claims_read, read, reads
from glost.names import GLOST

_HARD = ("articles-compared", "corrections", "crossings", "family", "kiln-figures", "likenesses",
         "new-in-year", "pieces-showing", "redesigns")  # fmt: skip
"""Questions with every way of writing there is: to parse all forty takes three seconds."""


def _read(
    part: Any, given: frozenset[Node] = frozenset()
) -> Iterator[tuple[URIRef | None, URIRef | None]]:
    """Yield what is read, but of properties that a list gives, within which or beside it stands."""
    if isinstance(part, CompValue):
        given |= frozenset(_listed(part))
        for key, each in part.items():
            if key == "triples":
                for row in each:
                    for at in range(0, len(row), 3):
                        if row[at + 1] not in given:
                            for verb in _verbs(row[at + 1]):
                                if verb != RDF.type or row[at + 2] not in given:
                                    yield _reading(verb, row[at + 2])
            yield from _read(each, given)
    elif isinstance(part, list | tuple | set):
        for each in part:
            yield from _read(each, given)


def _listed(part: CompValue) -> Iterator[Node]:
    """Yield the variables that a list gives to all that a part joins."""
    if part.name == "ToMultiSet" and part.p.name == "values":
        for row in part.p.res:
            yield from (name for name, value in row.items() if isinstance(value, URIRef))
    elif part.name in ("Join", "LeftJoin", "Filter", "Extend"):
        sides = (part.p1, part.p2) if part.name == "Join" else (part.p1 or part.p,)
        for side in sides:
            yield from _listed(side)


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
    """Nothing that the algebra goes by is missing, and nothing is read of all if it is not.

    A property that a list within the query gives is one of those that stand in the list.
    """
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
    """By which properties a question looks into named graphs; of some claims it reads any."""
    assert not claims_read("in-production")
    assert claims_read("dates-given") == {GLOST.date, GLOST.sourceDate}
    assert claims_read("family") >= {GLOST.copiedFrom, GLOST.redesignedFrom}, "of the list"
    assert None not in claims_read("family")
    used = "of a claim that is used it reads no more than what the record says"
    assert None in claims_read("public-statements"), used
    assert None in claims_read("source-supports"), "whatever a claim says"


def test_which_questions_read_any_property() -> None:
    """Those whose property is free; not those that choose from a list, nor that compare texts."""
    anything = {name for name in catalogue() if (None, None) in reads(name)}
    assert anything == {"corrections", "one-witness", "source-supports"}
    assert (GLOST.peakTemperature, None) in reads("kiln-figures"), "it stands in the list"
    assert (RDF.type, GLOST.Kiln) in reads("new-in-year"), "so does the class"
    assert (RDF.type, None) not in reads("new-in-year")
