"""The vocabulary's own documentation: every class, property and concept scheme."""

from collections.abc import Iterator

from markupsafe import Markup
from rdflib import Graph, URIRef
from rdflib.namespace import DCTERMS, OWL, RDF, RDFS, SKOS
from rdflib.term import Node

from glost.data import vocabulary
from glost.names import GLOST, SCHEMES
from glost.publish.site.entities import Entities
from glost.publish.site.frame import fill
from glost.publish.site.paths import vocabulary_page
from glost.words.labels import label

_SHOWN = (
    (RDFS.subClassOf, "narrower than"), (RDFS.subPropertyOf, "narrower than"),
    (RDFS.domain, "said of"), (RDFS.range, "its value is"), (OWL.inverseOf, "the inverse of"),
    (OWL.disjointWith, "never also"), (GLOST.singleValued, "has one true value"),
    (DCTERMS.source, "defined after"),
)  # fmt: skip


def vocabulary_pages(entities: Entities) -> Iterator[tuple[str, bytes]]:
    """Make the pages of the vocabulary."""
    words = vocabulary()
    terms = sorted(t for t in set(words.subjects(RDFS.isDefinedBy)) if isinstance(t, URIRef))
    classes = [t for t in terms if str(t).startswith(GLOST) and (t, RDF.type, OWL.Class) in words]
    properties = [t for t in terms if str(t).startswith(GLOST) and t not in classes]
    schemes = sorted(
        s for s in words.subjects(RDF.type, SKOS.ConceptScheme) if isinstance(s, URIRef)
    )
    yield fill(
        "vocabulary.html", "vocabulary/index.html", entities.frame, title="Vocabulary",
        section="Vocabulary", classes=[_line(t, words) for t in classes],
        properties=[_line(t, words) for t in properties],
        schemes=[_line(s, words) for s in schemes],
    )  # fmt: skip
    for term in (*classes, *properties):
        page = vocabulary_page(str(term))
        if page is not None:
            yield fill(
                "term.html", page, entities.frame, title=label(term, words), section="Vocabulary",
                term=_term(entities, term, words, page), iri=str(term), is_class=term in classes,
            )  # fmt: skip
    for scheme in schemes:
        page = vocabulary_page(str(scheme))
        if page is not None:
            concepts = sorted(
                (c for c in words.subjects(SKOS.inScheme, scheme) if isinstance(c, URIRef)),
                key=lambda c: label(c, words),
            )
            yield fill(
                "scheme.html", page, entities.frame, title=label(scheme, words), iri=str(scheme),
                section="Vocabulary", definition=_text(scheme, SKOS.definition, words),
                notes=_texts(scheme, SKOS.note, words),
                concepts=[_concept(entities, c, words) for c in concepts],
            )  # fmt: skip


def _line(term: URIRef, words: Graph) -> dict[str, str]:
    return {
        "name": label(term, words),
        "href": vocabulary_page(str(term)) or "",
        "definition": _text(term, SKOS.definition, words),
    }


def _term(entities: Entities, term: URIRef, words: Graph, page: str) -> dict[str, object]:
    root = "../" * page.count("/")
    facts = []
    for predicate, name in _SHOWN:
        values = sorted((v for v in words.objects(term, predicate) if not _nameless(v)), key=str)
        if values:
            facts.append((name, [entities.links.a(value, root) for value in values]))
    narrower = sorted(
        (s for s in words.subjects(RDFS.subClassOf, term) if not _nameless(s)), key=str
    )
    if narrower:
        facts.append(("wider than", [entities.links.a(value, root) for value in narrower]))
    used = sorted((p for p in words.subjects(RDFS.domain, term) if not _nameless(p)), key=str)
    if used:
        facts.append(("may have", [entities.links.a(value, root) for value in used]))
    return {
        "definition": _text(term, SKOS.definition, words),
        "notes": _texts(term, SKOS.scopeNote, words),
        "examples": _texts(term, SKOS.example, words),
        "facts": facts,
    }


def _concept(entities: Entities, concept: URIRef, words: Graph) -> dict[str, object]:
    def links(predicate: URIRef) -> list[Markup]:
        return [
            entities.links.a(value, "../../")
            for value in sorted(words.objects(concept, predicate), key=str)
        ]

    return {
        "id": str(concept).removeprefix(SCHEMES).partition("/")[2],
        "name": label(concept, words),
        "definition": _text(concept, SKOS.definition, words),
        "others": _texts(concept, SKOS.altLabel, words),
        "broader": links(SKOS.broader),
        "matches": links(SKOS.closeMatch) + links(SKOS.exactMatch),
    }


def _nameless(term: Node) -> bool:
    return not isinstance(term, URIRef) and not hasattr(term, "datatype")


def _texts(term: URIRef, predicate: URIRef, words: Graph) -> list[str]:
    return sorted(str(value) for value in words.objects(term, predicate))


def _text(term: URIRef, predicate: URIRef, words: Graph) -> str:
    return " ".join(_texts(term, predicate, words))
