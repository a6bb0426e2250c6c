"""What things are called: labels from the record and the vocabulary."""

from collections.abc import Callable, Mapping
from functools import cached_property
from urllib.parse import unquote

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import DCTERMS, RDFS, SKOS
from rdflib.term import Node

from glost.names import GLOST, SCHEMES

_NAMES = (RDFS.label, SKOS.prefLabel, DCTERMS.title)
_OF_POINT = {"begin": "begin of ", "end": "end of ", "made": "making of ",
             "decorated": "decorating of ", "run": "run of ", "region": "region of "}  # fmt: skip
_COMPOSED: dict[str, tuple[str, ...]] = {
    "article": (GLOST.ofShape, GLOST.form, GLOST.tradeSize, GLOST.variant),
    "assortment": (GLOST.ofShape, GLOST.offeredIn),
    "offering": (GLOST.offersArticle, GLOST.itemNumber),
    "zone": (GLOST.zoneKind, GLOST.zoneOf),
    "role": (GLOST.holder, GLOST.role),
    "public-statement": (GLOST.saidIn, GLOST.saidSo),
    "erratum": ("erratum to", GLOST.putsRight),
    "substitution": (
        GLOST.substitute,
        GLOST.substituteForm,
        "instead of",
        GLOST.insteadOf,
        GLOST.insteadOfForm,
    ),
    "absence": (GLOST.statedOf, GLOST.form, GLOST.tradeSize),
    "superlative": (GLOST.statedOf, GLOST.superlative, GLOST.form, GLOST.tradeSize),
    "total": (GLOST.statedOf, GLOST.counted, GLOST.form),
}


class Words:
    """What things are called in a graph, each looked up once.

    It may stand wherever a function of this module takes a graph.

    Parameters
    ----------
    graph
        What is believed, with the vocabulary; it must not change any more. Or what gives it, asked
        for the first thing that is not among those known.
    known
        What is known already: labels by IRI.
    """

    def __init__(
        self, graph: Graph | Callable[[], Graph], known: Mapping[str, str] | None = None
    ) -> None:
        self._graph = graph
        self._known = known or {}
        self._labels: dict[Node, str] = {}

    def label(self, term: Node) -> str:
        """Return what a thing is called; see `label`."""
        if term not in self._labels:
            self._labels[term] = self._found(term)
        return self._labels[term]

    def _found(self, term: Node) -> str:
        if not isinstance(term, URIRef):
            return str(term)
        known = self._known.get(str(term))
        return label(term, self.graph) if known is None else known

    @cached_property
    def graph(self) -> Graph:
        """What is believed, with the vocabulary."""
        return self._graph if isinstance(self._graph, Graph) else self._graph()


def graph_of(words: Graph | Words) -> Graph:
    """Return what is believed, with the vocabulary, from what stands where a graph may."""
    return words.graph if isinstance(words, Words) else words


def labels(graph: Graph) -> dict[str, str]:
    """Return what everything in a graph is called, by IRI."""
    terms = {term for triple in graph for term in triple if isinstance(term, URIRef)}
    return {str(term): label(term, graph) for term in sorted(terms)}


def label(term: Node, graph: Graph | Words) -> str:
    """Return what a thing is called.

    Parameters
    ----------
    term
        A thing, a concept, a class, a property or a literal.
    graph
        What is believed, with the vocabulary.

    Returns
    -------
    str
        Its name; for a treatment its number with its name; for a thing known only by its parts
        (an article, an offering, a zone) these; else its kind and id. A literal as it stands.
    """
    if not isinstance(term, URIRef):
        return str(term)
    if isinstance(graph, Words):
        return graph.label(term)
    whole, _, point = str(term).partition("#")
    if point in _OF_POINT and whole != str(GLOST).rstrip("#"):
        return _OF_POINT[point] + label(URIRef(whole), graph)
    name = _name(term, graph)
    number = first(graph, term, GLOST.treatmentNumber)
    if number is not None:
        return f"{number} ({name})" if name else str(number)
    if name:
        return name
    kind, slug = _kind(term)
    return _composed(kind, term, graph) or f"{kind} {slug}".strip()


def _composed(kind: str, term: URIRef, graph: Graph) -> str:
    """Put together the parts by which a thing is known, and the words between them."""
    said, known = [], False
    for part in _COMPOSED.get(kind, ()):
        if not isinstance(part, URIRef):
            said.append(part)
        elif (value := first(graph, term, part)) is not None:
            said.append(label(value, graph))
            known = True
    return " ".join(said) if known else ""


def _name(term: URIRef, graph: Graph) -> str:
    for property_ in _NAMES:
        found = sorted(graph.objects(term, property_), key=lambda o: (not _english(o), str(o)))
        if found:
            return str(found[0])
    return ""


def _english(node: Node) -> bool:
    return isinstance(node, Literal) and (node.language or "en").startswith("en")


def called(thing: Node, graph: Graph | Words) -> str:
    """Return what a thing is called: for a mark without a name its wording, else its label."""
    said = graph_of(graph)
    wordings = sorted(map(str, said.objects(thing, GLOST.wording)))
    named = next(said.objects(thing, RDFS.label), None)
    return f"“{wordings[0]}”" if wordings and named is None else label(thing, graph)


def first(graph: Graph | Words, term: Node, property_: URIRef) -> Node | None:
    """Return a value of a property, the same one whatever the order in which they were recorded."""
    return min(graph_of(graph).objects(term, property_), key=repr, default=None)


def _kind(term: URIRef) -> tuple[str, str]:
    if "#" in term:
        return "", unquote(str(term).rsplit("#", 1)[1])
    parts = str(term).rsplit("/", 2)
    kind = parts[-2] if len(parts) > 2 and not str(term).startswith((SCHEMES, str(DCTERMS))) else ""
    return kind, unquote(parts[-1])
