"""What may account for a treatment seen away from home."""

from collections.abc import Callable, Iterable

from rdflib import URIRef

from glost.record.claims import Claim
from glost.trade.assortments.forms import Forms, WareClass
from glost.trade.crossings.facts import Facts
from glost.trade.crossings.model import Explanation, TimeOfCrossing
from glost.trade.crossings.timing import Clock
from glost.verdicts import Verdict

_DOUBT = ("possible", "doubtful")
_SHARED = {
    WareClass.FLATWARE: "shared-flatware",
    WareClass.HOLLOW: "shared-hollow",
    WareClass.UNTOLD: "shared-if-flatware",
}


class OnRecord:
    """The explanations that sources give, whenever it was: sharing of flatware, then reissues.

    Parameters
    ----------
    facts
        What crossings are reckoned from.
    class_of
        Says how the collection classes a ware form.
    """

    def __init__(self, facts: Facts, class_of: Callable[[URIRef], WareClass]) -> None:
        self._facts = facts
        self._class_of = class_of
        self._reissues: dict[tuple[str, str], tuple[Explanation, ...]] = {}
        self._links: dict[tuple[str, str], list[Claim]] = {}
        self._partners: dict[str, set[str]] = {}
        for one, other, at in facts.columns["sharesFlatwareWith"].rows():
            for pair in {(one, other), (other, one)}:
                self._links.setdefault(pair, []).append(facts.claims[at])
        self._users: dict[str, list[str]] = {}
        for treatment, decal, _ in facts.columns["usesDecal"].sort("subject", "object").rows():
            if treatment not in self._users.setdefault(decal, []):
                self._users[decal].append(treatment)

    def shared(self, home: str, shape: str) -> bool:
        """Say whether any source says that two shapes share flatware."""
        return (home, shape) in self._links

    def reaching(self, treatment: str, home: str) -> frozenset[str]:
        """Return every shape for which `explanations` has any, of a treatment and its home."""
        if not self._partners:
            for one, other in self._links:
                self._partners.setdefault(one, set()).add(other)
        facts = self._facts
        others = (o for decal in facts.values("usesDecal", treatment) for o in self._users[decal])
        reissued = (s for o in others if o != treatment for s in facts.values("homeShape", o))
        return frozenset({*self._partners.get(home, ()), *reissued})

    def explanations(
        self, treatment: str, home: str, shape: str, form: str | None, *, outside: bool = False
    ) -> Iterable[Explanation]:
        """Yield the explanations of a treatment on another shape than its home.

        Parameters
        ----------
        treatment, home, shape
            The treatment, its home, and the other shape.
        form
            The form seen; None if it is not said.
        outside
            Whether the sighting falls outside the years in which the two shared flatware.
        """
        claims = tuple(dict.fromkeys(self._links.get((home, shape), ())))
        if claims:
            case = "outside" if outside else "doubted" if _doubted(claims) else "stated"
            ware = WareClass.UNTOLD if form is None else self._class_of(URIRef(form))
            yield Explanation(_SHARED[ware], case, None, claims)
        key = (treatment, shape)
        if key not in self._reissues:
            self._reissues[key] = tuple(self._same_decal(treatment, shape))
        yield from self._reissues[key]

    def _same_decal(self, treatment: str, shape: str) -> Iterable[Explanation]:
        facts = self._facts
        by_other: dict[str, list[Claim]] = {}
        for decal in facts.values("usesDecal", treatment):
            for other in self._users[decal]:
                if other == treatment or shape not in facts.values("homeShape", other):
                    continue
                by_other.setdefault(other, []).extend(
                    facts.stating("usesDecal", treatment, decal)
                    + facts.stating("usesDecal", other, decal)
                )
        for other in sorted(by_other):
            said = facts.stating("reissueOf", other, treatment)
            said += facts.stating("reissueOf", treatment, other)
            doubted = _doubted(said) if said else any(_doubted([c]) for c in by_other[other])
            case = "doubted" if doubted else "stated" if said else "followed"
            claims = [*said, *by_other[other], *facts.stating("homeShape", other, shape)]
            yield Explanation("decal-reissued", case, URIRef(other), tuple(dict.fromkeys(claims)))


class Explainer:
    """Explains crossings by what is on record and by time.

    Parameters
    ----------
    facts
        What crossings are reckoned from.
    forms
        Ware forms as the collection classes them.
    clock
        Says what was so when a crossing was made.
    """

    def __init__(self, facts: Facts, forms: Forms, clock: Clock) -> None:
        self._on_record = OnRecord(facts, forms.class_of)
        self._clock = clock

    def explain(
        self, treatment: str, home: str, shape: str, where: str, form: str | None
    ) -> tuple[tuple[Explanation, ...], TimeOfCrossing]:
        """Return every explanation of a sighting, in the order in which they are looked for.

        Returns
        -------
        tuple
            The explanations, never none, and what was so at the time of the sighting.
        """
        timing = self._clock.timing(home, shape, where, shared=self._on_record.shared(home, shape))
        outside = timing.sharing == Verdict.NO
        found = list(self._on_record.explanations(treatment, home, shape, form, outside=outside))
        if timing.late == Verdict.YES:
            found.append(
                Explanation(
                    "late-reissue", "followed", None, self._clock.claims(home, shape, where)
                )
            )
        elif not found and timing.late == Verdict.POSSIBLY:
            found.append(
                Explanation(
                    "possible-late-reissue", "open", None, self._clock.claims(home, shape, where)
                )
            )
        elif not found:
            case = "ruled-out" if timing.late == Verdict.NO else "not-known"
            found.append(Explanation("none", case, None, ()))
        return tuple(found), timing


def _doubted(claims: Iterable[Claim]) -> bool:
    """Say whether every claim is marked possible or doubtful."""
    return all(str(c.certainty or "").rsplit("/", 1)[-1] in _DOUBT for c in claims)
