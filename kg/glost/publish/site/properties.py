"""What is told of a thing, claim by claim: values with what each rests on."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from markupsafe import Markup
from rdflib import URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.names import GLOST
from glost.publish.site.holdings import SiteContents
from glost.publish.site.links import Links
from glost.record.claims import Claim, Triple
from glost.record.index import whole
from glost.words.sentences import FRAME, POINTS

_BLANK = Markup(" ")


@dataclass(frozen=True, slots=True)
class ClaimUnder:
    """One claim under a value.

    Attributes
    ----------
    claim
        The claim.
    href
        Its page.
    source, place
        What it rests on: the source as a link, locator and region.
    key
        The source's short name; empty if the thing itself is the source.
    status
        ``current``, ``disputed`` or ``withdrawn``.
    certainty
        The certainty it states; empty if none.
    """

    claim: Claim
    href: str
    source: Markup
    key: str
    place: str
    status: str
    certainty: str


@dataclass(slots=True)
class Value:
    """A value with the claims that give it.

    Attributes
    ----------
    shown
        The value.
    grounds
        The claims, those that hold first.
    """

    shown: Markup
    grounds: list[ClaimUnder]

    @property
    def status(self) -> str:
        """``disputed`` if any claim is, ``current`` if any holds, else ``withdrawn``."""
        found = {ground.status for ground in self.grounds}
        return next(s for s in ("disputed", "current", "withdrawn") if s in found)


@dataclass(slots=True)
class Property:
    """A property of a thing with its values.

    Attributes
    ----------
    name
        What it is called, a link to its definition.
    values
        Its values, those that hold first.
    """

    name: Markup
    values: list[Value]


class Teller:
    """Tells what claims say.

    Parameters
    ----------
    holdings
        What the site is made of.
    links
        Makes links.
    """

    def __init__(self, holdings: SiteContents, links: Links) -> None:
        self.holdings = holdings
        self.links = links
        self._sentences: dict[tuple[Triple, str], Markup] = {}

    def ground(
        self, claim: Claim, root: str, triples: Iterable[Triple], thing: str = ""
    ) -> ClaimUnder:
        """Tell what a claim rests on, and how it stands with statements it makes."""
        held, triples = self.holdings, tuple(triples)
        against = held.snapshot.belief.against
        gone = claim.iri in held.withdrawn or (
            bool(triples) and all(against(claim.iri, t) for t in triples)
        )
        if gone:
            status = "withdrawn"
        elif str(claim.iri) in held.disputes and any(held.disputed(claim, t) for t in triples):
            status = "disputed"
        else:
            status = "current"
        passage = claim.passage
        own = str(passage.source) == thing
        return ClaimUnder(
            claim=claim,
            href=self.links.href(claim.iri, root),
            source=self.links.a(passage.source, root),
            key="" if own else str(passage.source).removeprefix(held.base).rpartition("/")[2],
            place=passage.locator,
            status=status,
            certainty=held.words.label(claim.certainty) if claim.certainty is not None else "",
        )

    def told(self, thing: str, root: str) -> list[Property]:
        """Tell every property that claims give a thing, in the order in which they first come."""
        groups: dict[tuple[str, Node], dict[Node, dict[URIRef, Triple]]] = {}
        by_iri: dict[URIRef, Claim] = {}
        for claim in self.holdings.about.get(thing, ()):
            by_iri[claim.iri] = claim
            for triple in self.holdings.statements[claim.iri]:
                subject, predicate, value = triple
                if whole(subject) != thing or predicate in FRAME or predicate == RDF.type:
                    continue
                group = groups.setdefault((str(subject).partition("#")[2], predicate), {})
                group.setdefault(value, {})[claim.iri] = triple
        found = []
        for (point, predicate), values in groups.items():
            told = [
                Value(
                    self.links.a(value, root),
                    sorted(
                        (self.ground(by_iri[c], root, [t], thing) for c, t in claims.items()),
                        key=lambda ground: ground.status == "withdrawn",
                    ),
                )
                for value, claims in values.items()
            ]
            told.sort(key=lambda value: value.status == "withdrawn")
            found.append(Property(self._verb(point, predicate, root), told))
        return found

    def _verb(self, point: str, predicate: Node, root: str) -> Markup:
        if predicate == GLOST.date and point in POINTS:
            to = self.links.href(GLOST.date, root)
            return Markup('<a href="{}">{}</a>').format(to, POINTS[point])
        name = self.links.a(predicate, root)
        return Markup("{} ({})").format(name, point) if point else name

    def sentence(self, triple: Triple, root: str) -> Markup:
        """Say a statement in words, with links: ``Alder: made by Harrow Pottery``."""
        found = self._sentences.get((triple, root))
        if found is None:
            found = self._sentences[triple, root] = self._said(triple, root)
        return found

    def _said(self, triple: Triple, root: str) -> Markup:
        subject, predicate, value = triple
        point = str(subject).partition("#")[2]
        if predicate == GLOST.date and point in POINTS:
            parts = (self.links.a(URIRef(whole(subject)), root), self._verb(point, predicate, root))
            return _BLANK.join((*parts, self.links.a(value, root)))
        name = self.links.a(subject, root)
        if predicate == RDF.type:
            return Markup(f"{name} is of kind {self.links.a(value, root)}")
        verb = self.links.a(predicate, root)
        return Markup(f"{name}: {verb} {self.links.a(value, root)}")

    def says(self, claim: Claim, root: str) -> Iterator[Markup]:
        """Say each statement of a claim; its kinds only if it says nothing else."""
        yield from self._sentences_of(self.holdings.graphs[claim.iri], root)

    def lost(self, claim: Claim, root: str) -> Iterator[tuple[Claim, list[Markup]]]:
        """Say what was withdrawn of a claim by itself, with each correction that did it."""
        for part in self.holdings.snapshot.belief.parts.get(claim.iri, ()):
            yield part.correction, list(self._sentences_of(part.statements, root))

    def _sentences_of(self, statements: Iterable[Triple], root: str) -> Iterator[Markup]:
        triples = [t for t in statements if t[1] not in FRAME]
        told = [t for t in triples if t[1] != RDF.type] or triples
        for triple in told:
            yield self.sentence(triple, root)
