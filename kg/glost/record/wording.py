"""Things and statements in words: labels from the record, verbs from the vocabulary."""

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from urllib.parse import unquote

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import DCTERMS, RDF, RDFS, SKOS, TIME
from rdflib.term import Node

from glost.findings import Side
from glost.names import GLOST, SCHEMES
from glost.record.claims import Claim, Triple

_NAMES = (RDFS.label, SKOS.prefLabel, DCTERMS.title)
_FRAME = {GLOST.run, GLOST.made, GLOST.decorated, TIME.hasBeginning, TIME.hasEnd}
_POINTS = {"begin": "began", "end": "ended", "made": "was made", "decorated": "was decorated"}
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


def first(graph: Graph | Words, term: Node, property_: URIRef) -> Node | None:
    """Return a value of a property, the same one whatever the order in which they were recorded."""
    return min(graph_of(graph).objects(term, property_), key=repr, default=None)


def _kind(term: URIRef) -> tuple[str, str]:
    if "#" in term:
        return "", unquote(str(term).rsplit("#", 1)[1])
    parts = str(term).rsplit("/", 2)
    kind = parts[-2] if len(parts) > 2 and not str(term).startswith((SCHEMES, str(DCTERMS))) else ""
    return kind, unquote(parts[-1])


def sentence(triple: Triple, graph: Graph | Words) -> str:
    """Say a statement in words: ``Alder: made by Harrow Pottery``, ``Alder began 1908~``."""
    return f"{_subject(triple, graph)}{_rest(triple, graph)}"


def _subject(triple: Triple, graph: Graph | Words) -> str:
    subject, predicate, _ = triple
    whole, _, point = str(subject).partition("#")
    if predicate == GLOST.date and point in _POINTS:
        return label(URIRef(whole), graph) + " "
    return label(subject, graph) + ": "


def _rest(triple: Triple, graph: Graph | Words) -> str:
    subject, predicate, value = triple
    point = str(subject).partition("#")[2]
    if predicate == GLOST.date and point in _POINTS:
        return f"{_POINTS[point]} {value}"
    if predicate == RDF.type:
        return f"is of kind {label(value, graph)}"
    return f"{label(predicate, graph)} {label(value, graph)}"


def says(statements: Iterable[Triple], graph: Graph | Words) -> str:
    """Say several statements together, subject by subject, those that only hold others left out."""
    told: dict[str, list[str]] = {}
    kinds: dict[str, list[str]] = {}
    for triple in statements:
        if triple[1] in _FRAME:
            continue
        where = kinds if triple[1] == RDF.type else told
        subject = _subject(triple, graph)
        rest = _rest(triple, graph)
        found = where.setdefault(subject, [])
        if rest not in found:
            found.append(rest)
    chosen = told or kinds
    return "; ".join(subject + ", ".join(rests) for subject, rests in chosen.items())


def side(claim: Claim, graph: Graph | Words, statements: Iterable[Triple] | None = None) -> Side:
    """Tell a claim as one side of a finding.

    Parameters
    ----------
    claim
        The claim.
    graph
        What is believed, with the vocabulary.
    statements
        Those of its statements that matter; all of them if None.
    """
    passage = claim.passage
    place = passage.place
    return Side(
        says=says(claim.statements if statements is None else statements, graph),
        claim=str(claim.iri),
        source=_source(passage.source, graph),
        passage=place,
        read_from=str(claim.origin),
        certainty=label(claim.certainty, graph) if claim.certainty is not None else "",
    )


def _source(source: URIRef, graph: Graph | Words) -> str:
    """Return the title of a source, with the one it is known from if that is another."""
    quoted = graph_of(graph).objects(source, GLOST.quotedIn)
    through = sorted(label(other, graph) for other in quoted)
    return label(source, graph) + (f" (as quoted in {', '.join(through)})" if through else "")


def sides(
    claims: Iterable[Claim], graph: Graph | Words, statements: Iterable[Triple]
) -> tuple[Side, ...]:
    """Tell claims as sides, each with what it makes of `statements`, sorted by file and row."""
    wanted = list(statements)
    ordered = sorted(set(claims), key=lambda c: (c.origin.file, c.origin.row, c.iri))
    found = []
    for claim in ordered:
        own = set(claim.statements)
        found.append(side(claim, graph, [t for t in wanted if t in own] or None))
    return tuple(found)


_HOW = {"transcription": "Withdrawn, written down wrongly", "undoing": "Taken back"}
"""What a correction does, in words, by its kind."""


def correction_kind(correction: Claim) -> str:
    """Return the id of the kind of a correction; empty if none is given."""
    kinds = (str(o) for _, p, o in correction.statements if p == GLOST.correctionKind)
    return next((kind.rsplit("/", 1)[-1] for kind in kinds), "")


def withdrawal(correction: Claim) -> str:
    """Say why something was withdrawn: the kind of the correction, and its reason."""
    reasons = " ".join(str(o) for _, p, o in correction.statements if p == GLOST.reason)
    return f"{_HOW.get(correction_kind(correction), 'Withdrawn')}: {reasons}"
