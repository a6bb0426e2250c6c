"""What the record says of its claims, kept up to date: their sources, passages and recorders."""

from collections import Counter
from collections.abc import Iterable

from rdflib import Graph

from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.provenance import claim_triples, shared_triples
from glost.record.record import Record


class About:
    """The record's graph.

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
        self.graph = Graph("SimpleMemory", bind_namespaces="none")
        for claim in self._there(record.claims):
            self._shared.update(shared_triples(claim))
            for triple in claim_triples(belief, claim):
                self.graph.add(triple)
        for triple in self._shared:
            self.graph.add(triple)

    def changing(
        self, old: Iterable[Claim], new: Iterable[Claim], before: Belief, after: Belief
    ) -> tuple[tuple[Triple, ...], tuple[Triple, ...]]:
        """Return the statements that come, and those that go, if claims are told otherwise.

        Parameters
        ----------
        old, new
            The claims of which something else is told, as they were and as they are.
        before, after
            What was believed, and what is.
        """
        gone = {t for claim in self._there(old) for t in claim_triples(before, claim)}
        come = {t for claim in self._there(new) for t in claim_triples(after, claim)}
        count = self._counted(new)
        count.subtract(self._counted(old))
        come |= {t for t, more in count.items() if more > 0 and not self._shared[t]}
        gone |= {t for t, more in count.items() if more < 0 and self._shared[t] + more == 0}
        return tuple(come - gone), tuple(gone - come)

    def change(
        self, old: Iterable[Claim], new: Iterable[Claim], before: Belief, after: Belief
    ) -> None:
        """Tell claims otherwise; see `changing`."""
        come, gone = self.changing(old, new, before, after)
        self._shared.update(self._counted(new))
        self._shared.subtract(self._counted(old))
        for triple in gone:
            self.graph.remove(triple)
        for triple in come:
            self.graph.add(triple)

    def _there(self, claims: Iterable[Claim]) -> list[Claim]:
        return [each for each in claims if not self._day or each.recorded_on <= self._day]

    def _counted(self, claims: Iterable[Claim]) -> "Counter[Triple]":
        """Count what is said of passages and recorders, which claims may share."""
        return Counter(triple for claim in self._there(claims) for triple in shared_triples(claim))
