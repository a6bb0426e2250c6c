"""A collection indexed for pages: who says what of which thing, and where that stands."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import chain

from rdflib import URIRef
from rdflib.namespace import RDF, RDFS

from glost.answer.answers import Answers
from glost.answer.remarks import Remark, remarks
from glost.answer.snapshot import Snapshot
from glost.data import vocabulary
from glost.findings import Finding
from glost.names import GLOST
from glost.publish.site.paths import KIND, OWN, Addresses
from glost.record.claims import Claim, Passage, Triple
from glost.record.index import whole
from glost.record.provenance import keeper_base, passage_iri, recorder_iri
from glost.record.spelling import id_of
from glost.report.things.basis import Whole, by_whole, finding_name
from glost.words.labels import Words

GRAPHS = ("inferred", "reckoned", "record")
"""The named graphs of a collection that are no claims."""


@dataclass(frozen=True)
class SiteContents:
    """What a site is made of.

    Attributes
    ----------
    snapshot
        The collection.
    findings
        Everything found wrong with it.
    """

    snapshot: Snapshot
    findings: tuple[Finding, ...]

    def complete(self) -> None:
        """Work out all that is here, so that processes forked then have it."""
        for name, each in vars(type(self)).items():
            if isinstance(each, cached_property):
                getattr(self, name)
        self.snapshot.closure.complete()
        self.snapshot.belief.rests_on((RDF.nil, RDF.type, RDF.List))
        _ = self.addresses.stems
        self.basis.complete()

    @cached_property
    def basis(self) -> Whole:
        """What reports of things are made from."""
        return Whole(self.snapshot, self.findings)

    @property
    def base(self) -> str:
        """The base IRI."""
        return self.snapshot.record.base

    @property
    def words(self) -> Words:
        """What things are called."""
        return self.snapshot.words

    @cached_property
    def answers(self) -> Answers:
        """Answers questions, from memory: so many are quicker asked there than of what is kept."""
        return Answers(lambda: self.snapshot.contents, self.snapshot.record.base)

    def forget_answers(self) -> None:
        """Give back the memory of the dataset that questions are put to."""
        vars(self).pop("answers", None)

    @cached_property
    def claims(self) -> tuple[Claim, ...]:
        """Every claim known on the day, withdrawn ones too, by IRI."""
        return self.snapshot.contents.claims

    @property
    def withdrawn(self) -> Mapping[URIRef, Claim]:
        """Each withdrawn claim's IRI, with the correction that withdraws it."""
        return self.snapshot.belief.withdrawn

    @cached_property
    def graphs(self) -> dict[URIRef, tuple[Triple, ...]]:
        """The named graphs of the claims: what is left of each, and what was withdrawn of it."""
        return dict(self.snapshot.contents.said())

    @property
    def _in_order(self) -> tuple[Claim, ...]:
        return self.basis.in_order

    @property
    def statements(self) -> Mapping[URIRef, tuple[Triple, ...]]:
        """The statements of each claim, those withdrawn of it too."""
        return self.basis.statements

    @property
    def about(self) -> Mapping[str, Sequence[Claim]]:
        """Of each thing, the claims with a statement about it, by file and row."""
        return self.basis.by_thing

    @cached_property
    def passages(self) -> dict[URIRef, tuple[Passage, list[Claim]]]:
        """Each passage with the claims that rest on it, sorted by IRI."""
        found: dict[URIRef, tuple[Passage, list[Claim]]] = {}
        names: dict[tuple[str, Passage], URIRef | None] = {}
        for claim in self._in_order:
            key = (keeper_base(claim), claim.passage)
            if key not in names:
                names[key] = passage_iri(*key)
            iri = names[key]
            if iri is not None:
                found.setdefault(iri, (claim.passage, []))[1].append(claim)
        return dict(sorted(found.items()))

    @cached_property
    def recorders(self) -> dict[URIRef, list[Claim]]:
        """Each person who recorded claims, with these."""
        found: dict[URIRef, list[Claim]] = defaultdict(list)
        for claim in self._in_order:
            if claim.recorded_by:
                found[recorder_iri(keeper_base(claim), claim.recorded_by)].append(claim)
        return dict(sorted(found.items()))

    @cached_property
    def inferred(self) -> dict[str, list[Triple]]:
        """Of each thing, the statements that follow, sorted by property and value."""
        return self._by_thing(self.snapshot.contents.inferred)

    @property
    def reckoned(self) -> Mapping[str, Sequence[Triple]]:
        """Of each thing, the statements reckoned, sorted by property and value."""
        return self.basis.reckoned

    @cached_property
    def recorded(self) -> Mapping[str, Sequence[Triple]]:
        """Of each claim, passage and the like, what the record says, sorted."""
        return by_whole(self.snapshot.contents.record)

    def _by_thing(self, triples: Iterable[Triple]) -> dict[str, list[Triple]]:
        found: dict[str, list[Triple]] = defaultdict(list)
        for triple in triples:
            found[whole(triple[0])].append(triple)
        for each in found.values():
            each.sort(key=lambda t: (str(t[1]), self.words.label(t[2]).casefold(), t))
        return dict(found)

    @cached_property
    def kinds(self) -> dict[str, tuple[URIRef, ...]]:
        """The classes each thing is said to be of, the narrowest first, by thing."""
        found: dict[str, set[URIRef]] = defaultdict(set)
        said = self.snapshot.belief.graph.triples((None, RDF.type, None))
        inferred = (each for each in self.snapshot.contents.inferred if each[1] == RDF.type)
        for subject, _, value in chain(said, inferred):
            if isinstance(value, URIRef) and "#" not in str(subject):
                found[str(subject)].add(value)
        return {thing: tuple(sorted(found[thing], key=_narrowness)) for thing in sorted(found)}

    @cached_property
    def things(self) -> tuple[str, ...]:
        """The IRI of every thing that claims speak of, sorted."""
        return tuple(sorted(self.about))

    @cached_property
    def addresses(self) -> Addresses:
        """Where the pages of things, claims, passages, recorders and graphs stand."""
        return Addresses(
            self.base,
            (
                *self.things,
                *(str(claim.iri) for claim in self.claims),
                *map(str, self.passages),
                *map(str, self.recorders),
                *(self.base + name for name in GRAPHS),
            ),
            {each.name: each.collection.base for each in self.snapshot.record.collection.members},
        )

    def kind(self, iri: str) -> str:
        """Return the step of an identifier that tells its kind; ``other`` if it is no fit name."""
        name = id_of(iri).partition("/")[0]
        return name if KIND.fullmatch(name) and name not in OWN else "other"

    @cached_property
    def finding_names(self) -> tuple[str, ...]:
        """A name for each finding that does not change when others come and go."""
        return tuple(map(finding_name, self.findings))

    @cached_property
    def remarks(self) -> tuple[Remark, ...]:
        """What was noted of claims that are left open or doubted."""
        return remarks(self.snapshot.belief)


@cache
def _narrowness(kind: URIRef) -> tuple[bool, int, str]:
    """Sort the vocabulary's own classes first, and of these the narrowest."""
    wider = len(set(vocabulary().transitive_objects(kind, RDFS.subClassOf)))
    return not kind.startswith(GLOST), -wider, str(kind)
