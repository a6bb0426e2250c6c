"""Whether a ware form and what came instead of it were both to be had for a time."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product

from rdflib import URIRef

from glost.names import GLOST
from glost.record.claims import Claim, in_order
from glost.trade.assortments.having import Had, Having, How
from glost.trade.assortments.lists import Article, Assortment, before
from glost.trade.times import Chronology
from glost.verdicts import Verdict

BOTH = "a list that offers both"


@dataclass(frozen=True, slots=True)
class SideBySide:
    """Whether two forms, of which one came instead of the other, were offered side by side.

    Attributes
    ----------
    substitution
        What says that the one came instead of the other.
    verdict
        Yes, if a list offers both; no, if of any two shapes that may have had them one lacked its
        form, by a statement or a complete list, or was gone before the other came.
    disputed
        Whether sources contradict one another on whether a shape had a form, or on when the shapes
        that keep the two apart were made.
    claims
        What it rests on.
    """

    substitution: URIRef
    verdict: Verdict
    disputed: bool
    claims: tuple[Claim, ...]

    @property
    def deciding(self) -> str:
        """What would decide it; empty if it is decided or nothing bears on it."""
        return BOTH if self.verdict == Verdict.POSSIBLY else ""


def side_by_side(having: Having, times: Chronology) -> Iterator[SideBySide]:
    """Judge every form that is said to have come instead of another, sorted.

    Parameters
    ----------
    having
        Which shape had what.
    times
        The chronology of the same belief.
    """
    belief = having.lists.belief
    for iri in belief.having(GLOST.substituteForm):
        came = belief.named(iri, GLOST.substituteForm)
        gone = belief.named(iri, GLOST.insteadOfForm)
        within = belief.named(iri, GLOST.inAssortmentsOf)
        if came and gone:
            of = within[0] if within else None
            yield _Replaced(having, times, iri, came[0], gone[0], of).judged()


class _Replaced:
    """One form that came instead of another."""

    def __init__(
        self,
        having: Having,
        times: Chronology,
        iri: URIRef,
        came: URIRef,
        gone: URIRef,
        within: URIRef | None,
    ) -> None:
        self._having, self._times, self._iri = having, times, iri
        self._came, self._gone = Article(came), Article(gone)
        shapes = having.lists.shapes if within is None else having.scope(within)
        self._lists = [each for shape in shapes for each in having.lists.of(shape)]
        self._since = times.reading_bounds(URIRef(f"{iri}#begin"))
        self._new = [having.of(shape, self._came) for shape in shapes]
        self._old = [having.of(shape, self._gone) for shape in shapes]

    def judged(self) -> SideBySide:
        """Judge whether both were offered side by side."""
        both = self._offering_both()
        if both:
            return SideBySide(self._iri, Verdict.YES, False, both)
        lacking = [had for had in self._new if self._lacked(had, self._too_early)]
        lacking += [had for had in self._old if self._lacked(had, self._too_late)]
        new = [had for had in self._new if had not in lacking]
        old = [had for had in self._old if had not in lacking]
        apart = {(one.shape, other.shape): self._apart(one.shape, other.shape)
                 for one, other in product(new, old)}  # fmt: skip
        if (lacking and not apart) or (apart and all(apart.values())):
            claims = [claim for had in lacking for claim in had.claims]
            claims += [c for pair in apart for c in self._order_claims(*pair)]
            points = {point for found in apart.values() for ends in found for point in ends}
            disputed = any(self._times.reading_bounds(point).disputed for point in sorted(points))
            return SideBySide(self._iri, Verdict.NO, disputed, in_order(claims))
        speaking = [had for had in (*self._new, *self._old) if had.speaking]
        claims = [claim for had in speaking for claim in had.claims]
        disputed = any(had.disputed for had in speaking)
        verdict = Verdict.POSSIBLY if speaking else Verdict.NOT_KNOWN
        return SideBySide(self._iri, verdict, disputed, in_order(claims))

    def _offering_both(self) -> tuple[Claim, ...]:
        """Return the claims of the lists that offer both, whatever the shape."""
        found: list[Claim] = []
        for source in dict.fromkeys(each.list for each in self._lists):
            offers = [offer for each in self._lists if each.list == source for offer in each.offers]
            sides = [
                [offer for offer in offers if offer.article.form == form]
                for form in (self._came.form, self._gone.form)
            ]
            if all(sides):
                found += [claim for side in sides for offer in side for claim in offer.claims]
        return in_order(found)

    def _lacked(self, had: Had, expected: Callable[[Assortment], bool]) -> bool:
        """Say whether a shape certainly never had a form.

        A complete list proves nothing where it would lack the form anyhow: the new one before it
        came, the old one when it had gone.
        """
        if had.verdict != Verdict.NO:
            return False
        return any(
            ground.how != How.WHOLE or (ground.listed is not None and not expected(ground.listed))
            for ground in had.against
        )

    def _too_early(self, each: Assortment) -> bool:
        """Say whether a list may be of a time before the new form came."""
        came = [
            other.latest
            for other in self._lists
            if any(offer.article.form == self._came.form for offer in other.offers)
        ]
        if each.earliest is None:
            return True
        by = [day for day in (*came, self._since.latest) if day is not None]
        return not by or before(each.earliest, min(by))

    def _too_late(self, each: Assortment) -> bool:
        """Say whether a list may be of a time when, by the days given, the old form had gone."""
        since = self._since
        return since[:2] != (None, None) and not before(each.latest, since.earliest)

    def _apart(self, new: URIRef, old: URIRef) -> list[tuple[URIRef, URIRef]]:
        """Return the beginnings of either shape that certainly follow the end of the other."""
        ends = [(URIRef(f"{one}#begin"), URIRef(f"{other}#end"))
                for one, other in ((new, old), (old, new))]  # fmt: skip
        return [(begin, end) for begin, end in ends if self._after(begin, end)]

    def _after(self, begin: URIRef, end: URIRef) -> bool:
        """Say whether one point certainly follows another, by bounds or by an order of events."""
        latest = self._times.reading_bounds(end).latest
        by_days = before(latest, self._times.reading_bounds(begin).earliest)
        return by_days or end in self._times.ahead_of(begin, (end,))

    def _order_claims(self, new: URIRef, old: URIRef) -> Iterator[Claim]:
        for begin, end in self._apart(new, old):
            facts = (*self._times.reading_facts(begin, late=False),
                     *self._times.reading_facts(end, late=True))  # fmt: skip
            for fact in facts:
                yield from self._times.belief.rests_on(fact)
        yield from self._having.order.relating(new, [old])
