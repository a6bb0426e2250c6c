"""What it costs to set a statement aside: from certainty, from the trust in its sources."""

import tomllib
from collections.abc import Mapping
from functools import cache, cached_property
from pathlib import Path
from typing import Any

from rdflib import URIRef

from glost.names import DATED
from glost.record.claims import Claim
from glost.record.dates import DateError
from glost.record.dates import read as read_date
from glost.trade.times.statements import TimeStatements


@cache
def _figures() -> dict[str, Any]:
    text = Path(__file__).with_name("weights.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


class Weights:
    """The weights of grounds.

    The weight of a claim is a figure for its certainty times the trust in its source, and less
    for a date marked uncertain. A statement weighs as much as the witnesses who make it: claims
    of one source, or of a source with those it repeats and those known only as it quotes them, are
    one witness and count with the weightiest of them. An order from which years are counted cannot
    be set aside without them, so it costs as much as both; the years alone cost less.

    Parameters
    ----------
    statements
        The grounds.
    trust
        How far a source is trusted, by its id; 1 for all others.
    one_witness
        False to count every claim by itself.
    """

    def __init__(
        self, statements: TimeStatements, trust: Mapping[str, float], *, one_witness: bool
    ) -> None:
        self._statements = statements
        self._trust = trust
        self._one_witness = one_witness
        self._leader: dict[int, int] = {}
        for work, earlier, _ in statements.where("repeats").sort("subject", "object").iter_rows():
            self._leader[self._first(work)] = self._first(earlier)
        for quoted, work, _ in statements.where("quotedIn").sort("subject", "object").iter_rows():
            if self._first(quoted) != self._first(work):
                self._leader[self._first(quoted)] = self._first(work)

    def __call__(self, ground: int) -> float:
        """Return what it costs to set a ground aside with all that rests on it, more than 0."""
        return sum(map(self._own, (ground, *self.resting(ground))))

    def resting(self, ground: int) -> tuple[int, ...]:
        """Return the grounds that say nothing without another: the years counted from an order."""
        return self._years.get(ground, ())

    @cached_property
    def _years(self) -> dict[int, tuple[int, ...]]:
        where = self._statements.where
        counted: dict[int, list[int]] = {}
        for subject, _, ground in where("yearsAtLeast", "yearsAtMost").sort("ground").iter_rows():
            counted.setdefault(subject, []).append(ground)
        orders = where("timeRelation").iter_rows()
        return {ground: tuple(counted.get(subject, ())) for subject, _, ground in orders}

    def _own(self, ground: int) -> float:
        share = self._share(ground)
        if not self._one_witness:
            return sum(self.claim(claim) for claim in self._statements.claims_of(ground)) * share
        best: dict[object, float] = {}
        for claim in self._statements.claims_of(ground):
            witness = self.witness(claim.passage.source)
            best[witness] = max(best.get(witness, 0.0), self.claim(claim))
        return sum(best[witness] for witness in sorted(best, key=str)) * share

    def claim(self, claim: Claim) -> float:
        """Return the weight of a claim: of its certainty times that of its source."""
        figures = _figures()
        name = str(claim.certainty).rsplit("/", 1)[-1] if claim.certainty is not None else ""
        certainty = float(figures["certainty"].get(name, figures["unsaid"]["weight"]))
        return certainty * self._trust.get(str(claim.passage.source).rsplit("/", 1)[-1], 1.0)

    def witness(self, source: URIRef) -> URIRef:
        """Return the source that stands for all that repeat one another."""
        number = self._statements.terms.find(source)
        if number < 0:
            return source
        return self._statements.iri(self._first(number))

    def _first(self, source: int) -> int:
        while self._leader.get(source, source) != source:
            source = self._leader[source]
        return source

    def _share(self, ground: int) -> float:
        if ground >= self._statements.count:
            return 1.0
        _, verb, value = self._statements.triple(ground)
        if verb not in DATED:
            return 1.0
        try:
            uncertain = read_date(str(value)).uncertain
        except DateError:
            return 1.0
        return float(_figures()["uncertain"]["factor"]) if uncertain else 1.0
