"""Why a statement holds: its shortest proof, down to the passages; and what falls with a claim."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from hashlib import sha256

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import OWL, PROV, RDF, RDFS
from rdflib.term import Node

from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.data import vocabulary
from glost.findings import Side
from glost.names import GLOST, SCHEMES, bind
from glost.reason.closure import ProofTree
from glost.record.claims import Triple
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.trade.linking.links import LinkKind, links_in
from glost.words.labels import Words, label
from glost.words.sentences import sentence, sides

_PROPERTIES = (RDF.Property, OWL.ObjectProperty, OWL.DatatypeProperty, OWL.AnnotationProperty)
_W3C = "https://www.w3.org/TR/2012/REC-owl2-profiles-20121211/#"


@dataclass(frozen=True, slots=True)
class ProofStep:
    """One step of a proof in words.

    Attributes
    ----------
    depth
        How far below the statement asked about; 0 is that statement.
    says
        The statement.
    rule
        The W3C rule that gives it from the steps one deeper; empty if claims state it.
    sides
        The claims that state it, if any do.
    """

    depth: int
    says: str
    rule: str
    sides: tuple[Side, ...]


def statement(snapshot: Snapshot, subject: str, property_: str, value: str) -> Triple:
    """Read a statement as a user writes it.

    Parameters
    ----------
    snapshot
        The collection.
    subject
        A thing, as `glost.answer.showing.find_thing` takes it.
    property_
        A property's local name (``appearsOn``) or label (``appears on``); or a kind of link
        (``same``, ``part-of``, ``not-the-same``), for which the statement is that of the link.
    value
        A thing, a concept (``form/plate``), a class of the vocabulary by label, or a text.

    Raises
    ------
    RecordErrors
        If one of them is not known; says what comes nearest.
    """
    errors: list[RecordError] = []
    if (linked := _linked(snapshot, subject, property_, value)) is not None:
        return linked
    verb = _tried(errors, lambda: _property(snapshot, property_))
    thing = _tried(errors, lambda: find_thing(snapshot.record, subject))
    end: Node | None = None
    if verb is not None and thing is not None:
        end = next(
            (o for o in _values(snapshot, thing, verb) if _is(o, value, snapshot.words)), None
        )
    if end is None and (URIRef(SCHEMES + value), None, None) in vocabulary():
        end = URIRef(SCHEMES + value)
    if end is None:
        end = _tried(errors, lambda: find_thing(snapshot.record, value))
    if verb is None or thing is None or end is None:
        raise RecordErrors(errors)
    return thing, verb, end


def _linked(snapshot: Snapshot, subject: str, kind: str, value: str) -> Triple | None:
    """Return what a link of two things says, if they are linked in that way."""
    meant = _link_kind(kind)
    if meant is None:
        return None
    try:
        one, other = (find_thing(snapshot.record, each) for each in (subject, value))
    except RecordErrors:
        return None
    for link in links_in(snapshot.belief).between(one, other):
        if link.kind is meant and (meant.mutual or link.one == one):
            return link.iri, GLOST.linkKind, meant.iri
    return None


def _tried(errors: list[RecordError], find: Callable[[], URIRef]) -> URIRef | None:
    """Find something, or add to the errors why it cannot be found."""
    try:
        return find()
    except RecordErrors as bad:
        errors += bad.errors
        return None


def _is(term: Node, text: str, graph: Graph | Words) -> bool:
    return text in (str(term), label(term, graph))


def _values(snapshot: Snapshot, thing: URIRef, verb: URIRef) -> list[Node]:
    own = set(snapshot.belief.graph.objects(thing, verb))
    own.update(o for s, p, o in snapshot.closure.inferred if (s, p) == (thing, verb))
    return sorted(own, key=repr)


def _property(snapshot: Snapshot, text: str) -> URIRef:
    names: dict[str, URIRef] = {}
    declared = (s for kind in _PROPERTIES for s in vocabulary().subjects(RDF.type, kind))
    for predicate in {*snapshot.belief.graph.predicates(), *declared}:
        if isinstance(predicate, URIRef):
            names[str(predicate).replace("#", "/").rsplit("/", 1)[-1]] = predicate
            if str(predicate).startswith(GLOST):
                names.setdefault(label(predicate, vocabulary()), predicate)
    if text in names:
        return names[text]
    where = str(snapshot.record.collection.path)
    if _link_kind(text):
        message, remedy = (
            f"no link of the two says: {text}",
            "glost show prints the links of a thing",
        )
    else:
        message = f'there is no property "{text}"'
        remedy = suggestion(text, names, "see the vocabulary for its properties")
    raise RecordErrors([RecordError(where, message, remedy)])


def _link_kind(text: str) -> LinkKind | None:
    name = text.replace(" ", "-")
    return LinkKind(name) if name in set(LinkKind) else None


def why(snapshot: Snapshot, triple: Triple) -> tuple[ProofStep, ...]:
    """Give the shortest proof of a statement, from the statement down to the claims.

    Raises
    ------
    RecordErrors
        If it does not hold.
    """
    return tuple(_steps(snapshot, proof(snapshot, triple), 0, set()))


def proof(snapshot: Snapshot, triple: Triple) -> ProofTree:
    """Return the shortest proof as the closure gives it; see `why`."""
    try:
        return snapshot.closure.why(triple)
    except KeyError:
        message = f"nothing says and nothing implies: {sentence(triple, snapshot.words)}"
        where = str(snapshot.record.collection.path)
        remedy = "glost show prints what follows for a thing"
        raise RecordErrors([RecordError(where, message, remedy)]) from None


def _steps(
    snapshot: Snapshot, each: ProofTree, depth: int, told: set[Triple]
) -> Iterator[ProofStep]:
    given = not each.premises
    claims = snapshot.belief.rests_on(each.conclusion) if given else ()
    says = sentence(each.conclusion, snapshot.words)
    rule = "" if given else each.rule
    yield ProofStep(depth, says, rule, sides(claims, snapshot.words, [each.conclusion]))
    if each.conclusion in told:
        return
    told.add(each.conclusion)
    for premise in each.premises:
        yield from _steps(snapshot, premise, depth + 1, told)


def supports(snapshot: Snapshot, triple: Triple, cap: int) -> tuple[list[list[Side]], bool]:
    """Give every minimal set of statements that by itself makes a statement hold, as claims.

    Parameters
    ----------
    snapshot
        The collection.
    triple
        The statement.
    cap
        How many sets to look for.

    Returns
    -------
    list of list of Side
        For each set the claims that make its statements; smaller sets first.
    bool
        Whether the search was cut at the cap.
    """
    proof(snapshot, triple)
    found = snapshot.closure.supports(triple, cap)
    graph = snapshot.words
    sets = []
    for facts in found.sets:
        ordered = sorted(facts, key=repr)
        claims = [claim for fact in ordered for claim in snapshot.belief.rests_on(fact)]
        sets.append(list(sides(claims, graph, ordered)))
    return sets, found.cut


def falls(snapshot: Snapshot, claims: Iterable[str]) -> tuple[str, ...]:
    """Say what would no longer hold if claims were withdrawn; nothing is changed.

    A statement that another claim makes too stays.
    """
    named = set(claims)
    chosen = [claim for claim in snapshot.belief.claims if str(claim.iri) in named]
    lost = {
        triple
        for claim in chosen
        for triple in claim.statements
        if all(str(other.iri) in named for other in snapshot.belief.rests_on(triple))
    }
    return tuple(sorted({sentence(t, snapshot.words) for t in snapshot.closure.falls(lost)}))


def prov_graph(snapshot: Snapshot, triple: Triple) -> Graph:
    """Give the shortest proof as PROV-O: an entity a statement, an activity a use of a rule."""
    graph = bind(Graph())
    for each in proof(snapshot, triple).steps():
        entity = _entity(snapshot, each.conclusion)
        graph.add((entity, RDF.type, PROV.Entity))
        graph.add((entity, RDFS.label, Literal(sentence(each.conclusion, snapshot.words))))
        if not each.premises:
            for claim in snapshot.belief.rests_on(each.conclusion):
                graph.add((entity, PROV.wasQuotedFrom, claim.iri))
                graph.add((claim.iri, PROV.hadPrimarySource, claim.passage.source))
            continue
        activity = URIRef(f"{entity}.{each.rule}")
        graph.add((entity, PROV.wasGeneratedBy, activity))
        graph.add((activity, RDF.type, PROV.Activity))
        graph.add((activity, RDFS.label, Literal(each.rule)))
        graph.add((activity, RDFS.seeAlso, URIRef(_W3C + each.rule)))
        for premise in each.premises:
            graph.add((activity, PROV.used, _entity(snapshot, premise.conclusion)))
            graph.add((entity, PROV.wasDerivedFrom, _entity(snapshot, premise.conclusion)))
    return graph


def _entity(snapshot: Snapshot, triple: Triple) -> URIRef:
    text = "\x1f".join(term.n3() if hasattr(term, "n3") else str(term) for term in triple)
    return URIRef(f"{snapshot.record.base}statement/{sha256(text.encode()).hexdigest()[:16]}")
