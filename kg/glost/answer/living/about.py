"""What the record says of its claims, kept up to date: their sources, passages and recorders."""

from collections import Counter
from collections.abc import Iterable, Iterator
from functools import partial
from typing import Any

from rdflib import RDF, Graph, URIRef
from rdflib.namespace import DCTERMS

from glost.names import GLOST, OA
from glost.record.belief import Belief
from glost.record.claims import Claim, Passage, Triple
from glost.record.later import LaterStore, filled, filling
from glost.record.patching import Shift
from glost.record.provenance import claim_triples, shared_triples, target_triples
from glost.record.record import Record
from glost.record.targets import Targets, shown_by

Beliefs = tuple[Belief, Belief]
"""What was believed before a change, and what is after it."""


class About:
    """The record's graph, made when it is first looked at.

    Parameters
    ----------
    record
        The record.
    belief
        What is believed of it.
    """

    def __init__(self, record: Record, belief: Belief) -> None:
        self._day = belief.as_of.isoformat() if belief.as_of else ""
        self._shared: Counter[Triple] = Counter()
        self._targets = Targets(record.collection, {})
        # Neither changes: a change makes a record and a belief of its own.
        self.graph = Graph(LaterStore(partial(self._told, record, belief)), bind_namespaces="none")

    def _told(self, record: Record, belief: Belief) -> Iterator[Triple]:
        self._targets = Targets(record.collection, shown_by(belief))
        for claim in self._there(record.claims):
            self._shared.update(shared_triples(claim, self._targets))
            yield from claim_triples(belief, claim)
        yield from self._shared

    def ready(self) -> None:
        """Make it, if that was not done."""
        filled(self.graph)

    def readying(self) -> Iterator[None]:
        """Do the same, a part at each step."""
        return filling(self.graph)

    def changing(
        self, old: Iterable[Claim], new: Iterable[Claim], beliefs: Beliefs, shift: Shift
    ) -> tuple[tuple[Triple, ...], tuple[Triple, ...]]:
        """Return the statements that come, and those that go, if claims are told otherwise.

        Parameters
        ----------
        old, new
            The claims of which something else is told, as they were and as they are.
        beliefs
            What was believed, and what is.
        shift
            What the second says that the first did not, and the other way round.
        """
        self.ready()
        before, after = beliefs
        gone = {t for claim in self._there(old) for t in claim_triples(before, claim)}
        come = {t for claim in self._there(new) for t in claim_triples(after, claim)}
        count, _ = self._moved(old, new, shift)
        come |= {t for t, more in count.items() if more > 0 and not self._shared[t]}
        gone |= {t for t, more in count.items() if more < 0 and self._shared[t] + more == 0}
        return tuple(come - gone), tuple(gone - come)

    def change(
        self, old: Iterable[Claim], new: Iterable[Claim], beliefs: Beliefs, shift: Shift
    ) -> None:
        """Tell claims otherwise; see `changing`."""
        come, gone = self.changing(old, new, beliefs, shift)
        count, self._targets = self._moved(old, new, shift)
        self._shared.update(count)
        for triple in gone:
            self.graph.remove(triple)
        for triple in come:
            self.graph.add(triple)

    def _there(self, claims: Iterable[Claim]) -> list[Claim]:
        return [each for each in claims if not self._day or each.recorded_on <= self._day]

    def _moved(
        self, old: Iterable[Claim], new: Iterable[Claim], shift: Shift
    ) -> tuple["Counter[Triple]", Targets]:
        """Count what is said more, or less, of passages and recorders, which claims may share.

        What another image is known to show has its passages told anew, whoever rests on them.
        """
        targets, pictured = self._targets.changed(shift.stated, shift.unstated)
        less = self._counted(old, self._targets)
        count = self._counted(new, targets)
        for source in sorted(pictured):
            for iri in self.graph.subjects(DCTERMS.isPartOf, source):
                part = (iri, DCTERMS.isPartOf, source)
                staying = self._shared[part] - less[part]
                passage = self._passage(iri, source)
                for where, each in ((targets, staying), (self._targets, -staying)):
                    for triple in target_triples(iri, passage, where):  # type: ignore[arg-type]
                        count[triple] += each
        count.subtract(less)
        return count, targets

    def _passage(self, iri: Any, source: URIRef) -> Passage:
        """Return a passage as the graph tells it, without its locator."""
        selector = self.graph.value(iri, OA.hasSelector)
        region = self.graph.value(selector, RDF.value) if selector is not None else None
        file = self.graph.value(selector, GLOST.onImage) if selector is not None else None
        return Passage(source, region=f"{file}#{region}" if file else str(region or ""))

    def _counted(self, claims: Iterable[Claim], targets: Targets) -> "Counter[Triple]":
        return Counter(t for claim in self._there(claims) for t in shared_triples(claim, targets))
