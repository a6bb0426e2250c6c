"""Statements and claims in words, verbs from the vocabulary."""

import re
from collections.abc import Iterable

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import DCTERMS, RDF, RDFS, SKOS, TIME
from rdflib.term import Node

from glost.findings import Side
from glost.names import DATED, EDTF, GLOST
from glost.record.claims import Claim, Triple
from glost.words.english import joined
from glost.words.labels import Words, date_in_words, label, words_of

FRAME = {GLOST.run, GLOST.made, GLOST.decorated, TIME.hasBeginning, TIME.hasEnd}
"""Properties that only tie a thing to the points of its life."""
POINTS = {"begin": "began", "end": "ended", "made": "was made", "decorated": "was decorated"}
"""What happened at a point of a thing's life."""
HAPPENED = {point: verb.removeprefix("was ").capitalize() for point, verb in POINTS.items()}


def sentence(triple: Triple, graph: Graph | Words) -> str:
    """Say a statement in words: ``Alder: made by Harrow Pottery``, ``Alder began 1908~``."""
    return f"{_subject(triple, graph)}{_rest(triple, graph)}"


def _subject(triple: Triple, graph: Graph | Words) -> str:
    subject, predicate, _ = triple
    whole, _, point = str(subject).partition("#")
    if predicate == GLOST.date and point in POINTS:
        return label(URIRef(whole), graph) + " "
    return label(subject, graph) + ": "


def _rest(triple: Triple, graph: Graph | Words) -> str:
    subject, predicate, value = triple
    point = str(subject).partition("#")[2]
    if predicate == GLOST.date and point in POINTS:
        return f"{POINTS[point]} {_when(value)}"
    if predicate == RDF.type:
        return f"is of kind {label(value, graph)}"
    if predicate in (RDFS.label, SKOS.prefLabel, DCTERMS.title):
        return f"called {value}"
    if predicate in DATED:
        return f"dated {value_in_words(value, graph)}"
    return f"{label(predicate, graph)} {value_in_words(value, graph)}"


def phrase(triple: Triple, graph: Graph | Words) -> str:
    """Say a statement of a thing without naming the thing: ``Rim: fluted``, ``Began about 1911``.

    A date is put into words, with the date as written beside it where the two differ.
    """
    subject, predicate, value = triple
    point = str(subject).partition("#")[2]
    text = value_in_words(value, graph)
    if predicate == GLOST.date and point in HAPPENED:
        return f"{HAPPENED[point]} {text}."
    if predicate in (RDFS.label, DCTERMS.title):
        return f"Called {text}."
    if predicate == SKOS.altLabel:
        return f"Also called {text}."
    if predicate == DCTERMS.description:
        return text
    name = label(predicate, graph)
    return f"{name[:1].upper()}{name[1:]}: {text.removesuffix('.')}."


_PLAIN = re.compile(r"-?\d{4}(-\d\d(-\d\d)?)?")


def _when(value: Node) -> str:
    """Say when something happened: ``in April 1933``, ``about 1905``."""
    plain = _PLAIN.fullmatch(str(value))
    preposition = "" if plain is None else "on " if plain[2] else "in "
    return preposition + date_in_words(value)


_BOX = re.compile(r"(?:, |^)[^\s,]*xywh=\S+")


def unboxed(place: str) -> str:
    """Name a place without the numbers of its region, which is seen on the page it leads to."""
    return _BOX.sub("", place) or ("a part of the page" if place else "")


def value_in_words(value: Node, graph: Graph | Words) -> str:
    """Say a value: a date in words, a truth value as yes or no, a thing by its name."""
    if isinstance(value, Literal) and value.datatype == EDTF:
        return date_in_words(value)
    if isinstance(value, Literal) and str(value) in ("true", "false"):
        return "yes" if str(value) == "true" else "no"
    return label(value, graph)


def says(statements: Iterable[Triple], graph: Graph | Words) -> str:
    """Say several statements together, subject by subject, those that only hold others left out."""
    told: dict[str, list[str]] = {}
    kinds: dict[str, list[str]] = {}
    for triple in statements:
        if triple[1] in FRAME:
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
        source=citation(passage.source, graph),
        passage=place,
        read_from=str(claim.origin),
        certainty=label(claim.certainty, graph) if claim.certainty is not None else "",
    )


def citation(source: URIRef, graph: Graph | Words, place: str = "") -> str:
    """Cite a source by short title, year and place: ``Catalogue No. 6, 1906, p. 11``.

    Parameters
    ----------
    source
        The source.
    graph
        What is believed, with the vocabulary.
    place
        Page, item or sheet.

    Returns
    -------
    str
        With the sources it repeats or is known from: they are one witness, not two.
    """
    words = words_of(graph)
    told = words.source(source)
    for property_, verb in ((GLOST.repeats, "repeats"), (GLOST.quotedIn, "as quoted in")):
        others = words.graph.objects(source, property_)
        cited = sorted(words.source(each) for each in others if isinstance(each, URIRef))
        told += f" ({verb} {joined(cited)})" if cited else ""
    return told + (f", {place}" if place else "")


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
