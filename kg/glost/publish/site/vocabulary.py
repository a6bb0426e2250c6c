"""The vocabulary's own documentation, under what a reader looks for: topics, lists, policies."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import DCTERMS, OWL, RDF, RDFS, SDO, SKOS
from rdflib.term import Node

from glost.data import vocabulary
from glost.names import GLOST, SCHEMES
from glost.publish.pictures.svg import svg
from glost.publish.site.entities import Entities
from glost.publish.site.paths import root, vocabulary_page
from glost.publish.site.vocabulary_map import vocabulary_map
from glost.report.things.said import VOCABULARY
from glost.report.tree import (
    Column,
    Group,
    Picture,
    Ref,
    Report,
    Row,
    Section,
    Sentence,
    Statement,
    Table,
)
from glost.words.labels import label

_VANN = "http://purl.org/vocab/vann/"
_VS = "http://www.w3.org/2003/06/sw-vocab-status/ns#"
_SHOWN = (
    (RDFS.subClassOf, "narrower than"), (RDFS.subPropertyOf, "narrower than"),
    (RDFS.domain, "said of"), (SDO.domainIncludes, "said of"), (RDFS.range, "its value is"),
    (SDO.rangeIncludes, "its value is"), (GLOST.valuesFrom, "chosen from"),
    (OWL.inverseOf, "the inverse of"), (OWL.disjointWith, "never also"),
    (GLOST.singleValued, "has one true value"), (DCTERMS.source, "defined after"),
    (DCTERMS.isReplacedBy, "now"), (URIRef(f"{_VS}term_status"), "status"),
)  # fmt: skip
_OF_CONCEPT = (
    (SKOS.notation, "a cell holds"), (SKOS.altLabel, "also"), (SKOS.broader, "a kind of"),
    (SKOS.narrower, "its kinds"), (GLOST.usualParts, "usual number of parts"),
    (SKOS.closeMatch, "close to"), (SKOS.exactMatch, "close to"),
    (DCTERMS.source, "definition after"), (DCTERMS.bibliographicCitation, "the work"),
)  # fmt: skip
_USUAL = URIRef(f"{SCHEMES}ground/common-practice")
"""What definitions rest on unless something else is told, as each scheme says."""
_SECTION = "Vocabulary"
_INDEX = "vocabulary/index.html"
_CRUMB = (("Vocabulary", _INDEX),)
_LEAD = (
    "The words in which this collection's data speaks, under what a reader looks for. "
    "Every term is defined in a sentence, with an example."
)
_TOPICS = ("shapes", "lists", "decoration", "marks", "pieces", "firms", "kilns", "time",
           "evidence", "links", "public-statements", "description")  # fmt: skip
"""The topics in the order in which a reader comes to them."""
_MAP = Picture("vocabulary/map.svg", "The chief classes and what leads from one to another")


@dataclass(frozen=True)
class _Terms:
    """The vocabulary's own terms, those in use and those that were renamed."""

    classes: tuple[URIRef, ...]
    properties: tuple[URIRef, ...]
    former: tuple[URIRef, ...]
    schemes: tuple[URIRef, ...]


def _terms(words: Graph) -> _Terms:
    every = sorted(
        term
        for term in set(words.subjects(RDFS.isDefinedBy))
        if isinstance(term, URIRef) and term.startswith(GLOST)
    )
    former = tuple(t for t in every if (t, OWL.deprecated, None) in words)
    classes = tuple(t for t in every if (t, RDF.type, OWL.Class) in words and t not in former)
    return _Terms(
        classes,
        tuple(t for t in every if t not in classes and t not in former),
        former,
        tuple(
            sorted(
                each
                for each in words.subjects(RDF.type, SKOS.ConceptScheme)
                if isinstance(each, URIRef)
            )
        ),
    )


def vocabulary_pages(entities: Entities) -> Iterator[tuple[str, bytes]]:
    """Make the pages of the vocabulary."""
    words = vocabulary()
    terms = _terms(words)

    def drawn(picture: Picture) -> str:
        canvas, told = vocabulary_map(words)
        here = root(_INDEX)

        def leading(iri: str) -> str | None:
            page = vocabulary_page(iri)
            return page and here + page

        return f'<div class="wide">{svg(canvas, picture.alternative, told, leading, "-map")}</div>'

    index = _index(terms, words)
    yield from entities.told(index, _INDEX, _SECTION, drawn=drawn)
    reports = [
        *((topic, _topic(topic, terms, words)) for topic in _topics(words)),
        *((term, _term(term, words, "Class")) for term in terms.classes),
        *((term, _term(term, words, "Property")) for term in terms.properties),
        *((term, _term(term, words, "Former name")) for term in terms.former),
        *((scheme, _scheme(scheme, words)) for scheme in terms.schemes),
    ]
    for term, report in reports:
        page = vocabulary_page(str(term))
        if page is not None:
            yield from entities.told(report, page, _SECTION, _CRUMB)


def _index(terms: _Terms, words: Graph) -> Report:
    """Tell what there is, topic by topic."""
    lead = "Each box leads to its class, each arrow to its property."
    sections = [Section("map", "Map", (_MAP,), lead)]
    for topic in _topics(words):
        _, name = topic.rsplit("/", 1)
        lines = [
            _line(topic, words),
            *(_line(t, words) for t in _under(topic, terms.classes, words)),
        ]
        sections.append(Section(name, label(topic, words), (Group(tuple(lines)),)))
    schemes = Group(tuple(_line(each, words) for each in terms.schemes))
    former = Group(tuple(_line(each, words) for each in terms.former))
    sections.append(Section("schemes", "Concept schemes", (schemes,)))
    sections.append(Section("policies", "How the vocabulary is kept", tuple(_policies(words))))
    sections.append(Section("former", "Former names", (former,), "Nothing writes these any more."))
    return Report("", "Vocabulary", (_told(_LEAD),), tuple(sections))


def _topics(words: Graph) -> list[URIRef]:
    """Return the topics in the order in which a reader comes to them."""
    found = {URIRef(str(each)) for each in words.objects(None, DCTERMS.subject)}
    return sorted(found, key=lambda topic: _TOPICS.index(topic.rsplit("/", 1)[1]))


def _under(topic: URIRef, terms: Iterable[URIRef], words: Graph) -> list[URIRef]:
    return [each for each in terms if (each, DCTERMS.subject, topic) in words]


def _topic(topic: URIRef, terms: _Terms, words: Graph) -> Report:
    """Tell the classes and properties of a topic."""
    sections = []
    if classes := _under(topic, terms.classes, words):
        lines = Group(tuple(_line(each, words) for each in classes))
        sections.append(Section("classes", "Classes", (lines,)))
    if properties := _under(topic, terms.properties, words):
        sections.append(Section("properties", "Properties", (_table(properties, words),)))
    lead = (_told(_text(topic, SKOS.definition, words)),)
    return Report("", label(topic, words), lead, tuple(sections), kind="Topic")


def _table(properties: Iterable[URIRef], words: Graph) -> Table:
    """Tell properties in a table: what each is called, means, is said of, and leads to."""
    columns = (Column("term", "property"), Column("means", "meaning"), Column("of", "said of"),
               Column("value", "its value is"))  # fmt: skip
    rows = []
    for term in properties:
        of = _all(words, term, RDFS.domain, SDO.domainIncludes)
        values = _all(words, term, GLOST.valuesFrom)
        values = values or _all(words, term, RDFS.range, SDO.rangeIncludes)
        meaning = _text(term, SKOS.definition, words)
        cells = ((_ref(term, words),), meaning, _listed(of, words), _listed(values, words))
        rows.append(Row(cells, (VOCABULARY,)))
    return Table(columns, tuple(rows))


def _policies(words: Graph) -> Iterator[Group]:
    whole = URIRef(str(GLOST).rstrip("#"))
    facts = [
        _told(", ".join(sorted(map(str, words.objects(whole, predicate)))), (name,))
        for predicate, name in (
            (OWL.versionInfo, "version"), (OWL.priorVersion, "version before"),
            (URIRef(f"{_VANN}changes"), "bring older data to it"),
        )
    ]  # fmt: skip
    yield Group(tuple(facts))
    notes = [text.partition(": ") for text in _texts(whole, URIRef(f"{_VANN}usageNote"), words)]
    yield Group(tuple(_told(text, (name,)) for name, _, text in notes))


def _all(words: Graph, term: URIRef, *relations: URIRef) -> tuple[Node, ...]:
    found = {value for each in relations for value in words.objects(term, each)}
    return tuple(sorted((each for each in found if not _nameless(each)), key=str))


def _listed(values: Iterable[Node], words: Graph) -> Sentence | None:
    sentence: list[str | Ref] = []
    for value in values:
        sentence += [", "] if sentence else []
        sentence.append(_ref(value, words))
    return tuple(sentence) or None


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
    notes += [_told(text) for text in _texts(term, SKOS.historyNote, words)]
    notes += [_told(f"For example: {text}") for text in _texts(term, SKOS.example, words)]
    parts = (*((Group(tuple(notes)),) if notes else ()), Group(tuple(facts)))
    lead = (_told(_text(term, SKOS.definition, words)),)
    sections = (Section("term", "", parts),)
    return Report("", label(term, words), lead, sections, kind=kind)


def _facts(term: URIRef, words: Graph) -> Iterator[Statement]:
    for predicate, name in _SHOWN:
        yield from _named(name, words.objects(term, predicate), words)
    yield from _named("wider than", words.subjects(RDFS.subClassOf, term), words)
    for relation in (RDFS.domain, SDO.domainIncludes):
        yield from _named("may have", words.subjects(relation, term), words)


def _named(name: str, found: Iterable[Node], words: Graph) -> Iterator[Statement]:
    """Tell what a term is in some way: all it is in one line."""
    sentence = _listed(sorted((each for each in found if not _nameless(each)), key=str), words)
    if sentence:
        yield Statement(sentence, (VOCABULARY,), _name=(name,))


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
    name, id_ = label(concept, words), concept.rsplit("/", 1)[1]
    told = [_told(text) for text in _texts(concept, SKOS.definition, words)]
    told += [_told(text) for text in _texts(concept, SKOS.scopeNote, words)]
    for predicate, says in _OF_CONCEPT:
        values = {value for value in words.objects(concept, predicate) if value != _USUAL}
        if predicate != SKOS.notation or id_ != name.replace(" ", "-"):
            told += _named(says, values, words)
    if habits := [label(each, words) for each in _all(words, concept, GLOST.sizedBy)]:
        sizes = sorted(_texts(concept, GLOST.usualSize, words), key=lambda size: (len(size), size))
        told.append(
            _told(", ".join(habits) + (f": {', '.join(sizes)}" if sizes else ""), ("sized",))
        )
    return Section(id_, name, (Group(tuple(told)),))


def _nameless(term: Node) -> bool:
    return not isinstance(term, URIRef | Literal)


def _texts(term: URIRef, predicate: URIRef, words: Graph) -> list[str]:
    return sorted(str(value) for value in words.objects(term, predicate))


def _text(term: URIRef, predicate: URIRef, words: Graph) -> str:
    return " ".join(_texts(term, predicate, words))
