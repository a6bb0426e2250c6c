"""The vocabulary's own documentation: every class, property and concept scheme."""

from collections.abc import Iterable, Iterator

from rdflib import Graph, URIRef
from rdflib.namespace import DCTERMS, OWL, RDF, RDFS, SKOS
from rdflib.term import Node

from glost.data import vocabulary
from glost.names import GLOST, SCHEMES
from glost.publish.site.entities import Entities
from glost.publish.site.paths import vocabulary_page
from glost.report.things.said import VOCABULARY
from glost.report.tree import Group, Ref, Report, Section, Sentence, Statement
from glost.words.labels import label

_SHOWN = (
    (RDFS.subClassOf, "narrower than"), (RDFS.subPropertyOf, "narrower than"),
    (RDFS.domain, "said of"), (RDFS.range, "its value is"), (OWL.inverseOf, "the inverse of"),
    (OWL.disjointWith, "never also"), (GLOST.singleValued, "has one true value"),
    (DCTERMS.source, "defined after"),
)  # fmt: skip
_SECTION = "Vocabulary"
_CRUMB = (("Vocabulary", "vocabulary/index.html"),)
_LEAD = "The words in which this collection's data speaks. Every term is defined in a sentence."


def vocabulary_pages(entities: Entities) -> Iterator[tuple[str, bytes]]:
    """Make the pages of the vocabulary."""
    words = vocabulary()
    terms = sorted(t for t in set(words.subjects(RDFS.isDefinedBy)) if isinstance(t, URIRef))
    classes = [t for t in terms if str(t).startswith(GLOST) and (t, RDF.type, OWL.Class) in words]
    properties = [t for t in terms if str(t).startswith(GLOST) and t not in classes]
    schemes = sorted(
        s for s in words.subjects(RDF.type, SKOS.ConceptScheme) if isinstance(s, URIRef)
    )
    sections = tuple(
        Section(id_, f"{title} ({len(some)})", (Group(tuple(_line(t, words) for t in some)),))
        for title, id_, some in (
            ("Classes", "classes", classes),
            ("Properties", "properties", properties),
            ("Concept schemes", "schemes", schemes),
        )
    )
    index = Report("", "Vocabulary", (_told(_LEAD),), sections)
    yield from entities.told(index, "vocabulary/index.html", _SECTION)
    reports = [
        *((term, _term(term, words, "Class")) for term in classes),
        *((term, _term(term, words, "Property")) for term in properties),
        *((scheme, _scheme(scheme, words)) for scheme in schemes),
    ]
    for term, report in reports:
        page = vocabulary_page(str(term))
        if page is not None:
            yield from entities.told(report, page, _SECTION, _CRUMB)


def _told(text: str, name: Sentence = ()) -> Statement:
    return Statement((text,), (VOCABULARY,), _name=name)


def _ref(term: Node, words: Graph) -> str | Ref:
    return Ref(str(term), label(term, words)) if isinstance(term, URIRef) else str(term)


def _line(term: URIRef, words: Graph) -> Statement:
    return _told(_text(term, SKOS.definition, words) or label(term, words), (_ref(term, words),))


def _term(term: URIRef, words: Graph, kind: str) -> Report:
    facts = list(_facts(term, words))
    facts.append(_told(str(term), ("identifier",)))
    notes = [_told(text) for text in _texts(term, SKOS.scopeNote, words)]
    notes += [_told(f"For example: {text}") for text in _texts(term, SKOS.example, words)]
    parts = (*((Group(tuple(notes)),) if notes else ()), Group(tuple(facts)))
    lead = (_told(_text(term, SKOS.definition, words)),)
    sections = (Section("term", "", parts),)
    return Report("", label(term, words), lead, sections, kind=kind)


def _facts(term: URIRef, words: Graph) -> Iterator[Statement]:
    for predicate, name in _SHOWN:
        yield from _named(name, words.objects(term, predicate), words)
    yield from _named("wider than", words.subjects(RDFS.subClassOf, term), words)
    yield from _named("may have", words.subjects(RDFS.domain, term), words)


def _named(name: str, found: Iterable[Node], words: Graph) -> Iterator[Statement]:
    """Tell what a term is in some way: all it is in one line."""
    sentence: list[str | Ref] = []
    for value in sorted((each for each in found if not _nameless(each)), key=str):
        sentence += [", "] if sentence else []
        sentence.append(_ref(value, words))
    if sentence:
        yield Statement(tuple(sentence), (VOCABULARY,), _name=(name,))


def _scheme(scheme: URIRef, words: Graph) -> Report:
    concepts = sorted(
        (c for c in words.subjects(SKOS.inScheme, scheme) if isinstance(c, URIRef)),
        key=lambda c: label(c, words),
    )
    lead = (_text(scheme, SKOS.definition, words), *_texts(scheme, SKOS.note, words), str(scheme))
    return Report(
        "",
        label(scheme, words),
        tuple(_told(text) for text in lead if text),
        tuple(_concept(concept, words) for concept in concepts),
        kind=f"Concept scheme of {len(concepts)} terms",
    )


def _concept(concept: URIRef, words: Graph) -> Section:
    told = [_told(text) for text in _texts(concept, SKOS.definition, words)]
    if others := _texts(concept, SKOS.altLabel, words):
        told.append(_told(", ".join(others), ("also",)))
    told += _named("a kind of", words.objects(concept, SKOS.broader), words)
    for predicate in (SKOS.closeMatch, SKOS.exactMatch):
        told += _named("close to", words.objects(concept, predicate), words)
    id_ = str(concept).removeprefix(SCHEMES).partition("/")[2]
    return Section(id_, label(concept, words), (Group(tuple(told)),))


def _nameless(term: Node) -> bool:
    return not isinstance(term, URIRef) and not hasattr(term, "datatype")


def _texts(term: URIRef, predicate: URIRef, words: Graph) -> list[str]:
    return sorted(str(value) for value in words.objects(term, predicate))


def _text(term: URIRef, predicate: URIRef, words: Graph) -> str:
    return " ".join(_texts(term, predicate, words))
