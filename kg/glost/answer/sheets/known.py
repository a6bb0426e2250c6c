"""What claims say of a thing, and of other things about it."""

import csv
from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from rdflib import Graph, URIRef
from rdflib.namespace import DCTERMS, OWL, RDF, RDFS, SKOS
from rdflib.term import Node

from glost.answer.sheets.model import Group, Note, Statement
from glost.answer.sheets.notes import notes_of
from glost.data import vocabulary
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Triple
from glost.trade.assortments.lists import Complete, Lists
from glost.words.labels import called, label
from glost.words.sentences import FRAME, POINTS, phrase, value_in_words

_SEEN_ELSEWHERE = {GLOST.image}
_STANDING = {
    Complete.YES: "stated to be complete",
    Complete.NO: "stated to be incomplete",
    Complete.UNSAID: "not said to be complete",
    Complete.DISPUTED: "of which it is disputed whether it is complete",
}
_FIRST = (RDFS.label, DCTERMS.title, SKOS.altLabel, GLOST.treatmentNumber, GLOST.wording)


@dataclass(frozen=True, slots=True)
class NamedBy:
    """How things that name a thing are told on its sheet.

    Attributes
    ----------
    property_
        The property by which they name it.
    heading
        What stands above them.
    tell
        Properties of theirs that are told with them.
    short
        Whether their names may run on in one paragraph.
    """

    property_: URIRef
    heading: str
    tell: tuple[URIRef, ...]
    short: bool


@cache
def links() -> dict[str, tuple[NamedBy, ...]]:
    """Read how things that name a thing are told, by the local name of its class."""
    text = files("glost.answer.sheets").joinpath("linked.csv").read_text(encoding="utf-8")
    found: dict[str, list[NamedBy]] = defaultdict(list)
    for row in csv.DictReader(text.splitlines()):
        tell = tuple(GLOST[name] for name in row["tell"].split("|") if name)
        link = NamedBy(GLOST[row["property"]], row["heading"], tell, row["short"] == "yes")
        found[row["kind"]].append(link)
    return {kind: tuple(some) for kind, some in found.items()}


def own(belief: Belief, thing: URIRef) -> list[Triple]:
    """Return what is believed of a thing and of the points of its life, sorted for reading."""
    graph = belief.graph
    points = [thing, *(URIRef(f"{thing}#{point}") for point in POINTS)]
    triples: list[Triple] = [t for point in points for t in graph.triples((point, None, None))]
    kept = [t for t in triples if t[1] not in FRAME | {RDF.type} | _SEEN_ELSEWHERE]
    return sorted(kept, key=_reading_order)


def _reading_order(triple: Triple) -> tuple[int, str, str, str]:
    subject, predicate, value = triple
    if predicate in _FIRST:
        rank = _FIRST.index(predicate)
    else:
        rank = len(_FIRST) + (predicate == DCTERMS.description) + ("#" not in str(subject))
    return rank, str(subject), str(predicate), str(value)


def known_groups(
    belief: Belief, graph: Graph, lists: Lists, thing: URIRef, disputed: Collection[Triple]
) -> Iterator[Group]:
    """Yield what claims say of a thing, what is in dispute left out, then what names it."""
    told = [
        Statement(phrase(triple, graph), notes_of(belief.rests_on(triple), graph))
        for triple in own(belief, thing)
        if triple not in disputed
    ]
    if told:
        yield Group("", tuple(told))
    if offered := tuple(_lists(lists, graph, thing)):
        yield Group("Offered in", offered)
    for kind in kinds(belief, thing):
        for link in links().get(kind, ()):
            if found := tuple(_linked(belief, graph, thing, link)):
                yield Group(link.heading, found, link.short)


def kinds(belief: Belief, thing: URIRef) -> tuple[str, ...]:
    """Return the local names of the classes a thing is said to be of, and those above them."""
    found = set()
    for kind in belief.graph.objects(thing, RDF.type):
        for above in vocabulary().transitive_objects(kind, RDFS.subClassOf):
            if isinstance(above, URIRef) and above != OWL.Thing and above.startswith(GLOST):
                found.add(str(above).removeprefix(GLOST))
    return tuple(sorted(found))


def kind_statements(belief: Belief, graph: Graph, thing: URIRef) -> tuple[Statement, ...]:
    """Say what a thing is, in the narrowest words that claims use."""
    said = set(belief.graph.objects(thing, RDF.type))
    above = {
        wider
        for kind in said
        for wider in vocabulary().transitive_objects(kind, RDFS.subClassOf)
        if wider != kind
    }
    return tuple(
        Statement(label(kind, graph), notes_of(belief.rests_on((thing, RDF.type, kind)), graph))
        for kind in sorted(said - above, key=str)
    )


def _linked(belief: Belief, graph: Graph, thing: URIRef, link: NamedBy) -> Iterator[Statement]:
    def order(subject: Node) -> tuple[str, str]:
        first = (
            min(map(str, belief.graph.objects(subject, link.tell[0])), default="")
            if link.tell
            else ""
        )
        return first, str(subject)

    for subject in sorted(set(belief.graph.subjects(link.property_, thing)), key=order):
        triple = (subject, link.property_, thing)
        claims = list(belief.rests_on(triple))
        said = []
        for property_ in link.tell:
            for value in belief.values(subject, property_):
                claims.extend(belief.rests_on((subject, property_, value)))
                said.append(f"{label(property_, graph)} {value_in_words(value, graph)}")
        name = called(subject, graph)
        text = f"{name}: {', '.join(said)}" if said else name
        yield Statement(text, notes_of(claims, graph))


def _lists(lists: Lists, graph: Graph, shape: URIRef) -> Iterator[Statement]:
    """Tell in which lists a shape was offered, and with how many articles."""
    for each in lists.of(shape):
        claims = [claim for offer in each.offers for claim in offer.claims]
        if not claims:
            continue
        count = len(each.articles)
        years = f" ({each.years})" if each.years else ""
        name = f"{label(each.list, graph)}{years}, {_STANDING[each.complete]}"
        text = f"{name}: {count} article{'' if count == 1 else 's'}."
        how = Note("Counted from the rows, each form and trade size once", "reckoned")
        yield Statement(text, [*notes_of([*claims, *each.grounds], graph), how])
