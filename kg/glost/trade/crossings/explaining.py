"""What may account for a treatment seen away from home."""

from collections import deque
from collections.abc import Callable, Iterable

from rdflib import URIRef

from glost.record.claims import Claim
from glost.record.dates import calendar_day
from glost.trade.crossings.facts import Facts
from glost.trade.crossings.model import Explanation

_DOUBT = ("possible", "doubtful")


class Explainer:
    """Explains crossings, remembering what it found for each pair of shapes.

    Parameters
    ----------
    facts
        What crossings are reckoned from.
    is_flatware
        Says whether a form is flatware.
    """

    def __init__(self, facts: Facts, is_flatware: Callable[[str], bool]) -> None:
        self._facts = facts
        self._is_flatware = is_flatware
        self._flat: dict[str, bool] = {}
        self._shared: dict[tuple[str, str], tuple[str, tuple[Claim, ...]] | None] = {}
        self._reissues: dict[tuple[str, str], tuple[Explanation, ...]] = {}
        self._ended: dict[tuple[str, str], Explanation | None] = {}
        self._found: dict[tuple[object, ...], tuple[Explanation, ...]] = {}
        self._links: dict[str, dict[str, list[Claim]]] = {}
        for one, other, at in facts.columns["sharesFlatwareWith"].rows():
            for a, b in ((one, other), (other, one)):
                self._links.setdefault(a, {}).setdefault(b, []).append(facts.claims[at])
        self._dated = set(facts.columns["date"]["subject"].to_list())
        self._users: dict[str, list[str]] = {}
        for treatment, decal, _ in facts.columns["usesDecal"].sort("subject", "object").rows():
            if treatment not in self._users.setdefault(decal, []):
                self._users[decal].append(treatment)

    def explain(
        self, treatment: str, home: str, shape: str, where: str, form: str | None
    ) -> tuple[Explanation, ...]:
        """Return every explanation of a sighting, in the order in which they are looked for."""
        flat = form is not None and self.flat(form)
        late = self._late(home, shape, where)
        key = (treatment, home, shape, flat, form is None, late)
        if key not in self._found:
            found = list(self._sharing(home, shape, flat, form is None))
            found += self._reissued(treatment, shape)
            found += [late] if late else []
            self._found[key] = tuple(found) or (Explanation("none", "stated", None, ()),)
        return self._found[key]

    def flat(self, form: str) -> bool:
        """Say whether a form is flatware, asking once."""
        if form not in self._flat:
            self._flat[form] = self._is_flatware(form)
        return self._flat[form]

    def _sharing(self, home: str, shape: str, flat: bool, unsaid: bool) -> Iterable[Explanation]:
        if not flat and not unsaid:
            return
        if (home, shape) not in self._shared:
            self._shared[home, shape] = self._path(home, shape)
        found = self._shared[home, shape]
        if found is not None:
            kind = "shared-flatware" if flat else "shared-if-flatware"
            yield Explanation(kind, found[0], None, found[1])

    def _path(self, home: str, shape: str) -> tuple[str, tuple[Claim, ...]] | None:
        """Find the shortest way from one shape to another by shared flatware."""
        back: dict[str, str] = {home: ""}
        waiting = deque([home])
        while waiting and shape not in back:
            at = waiting.popleft()
            for other in sorted(self._links.get(at, ())):
                if other not in back:
                    back[other] = at
                    waiting.append(other)
        if shape not in back:
            return None
        steps, at = [], shape
        while back[at]:
            steps.append(self._links[back[at]][at])
            at = back[at]
        claims = tuple(dict.fromkeys(claim for step in reversed(steps) for claim in step))
        doubted = any(_doubted(step) for step in steps)
        return ("doubted" if doubted else "stated" if len(steps) == 1 else "followed"), claims

    def _reissued(self, treatment: str, shape: str) -> tuple[Explanation, ...]:
        key = (treatment, shape)
        if key not in self._reissues:
            self._reissues[key] = tuple(self._same_decal(treatment, shape))
        return self._reissues[key]

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

    def _late(self, home: str, shape: str, where: str) -> Explanation | None:
        """Find that the home shape ended in an earlier year than the other began, or the piece."""
        for point in (f"{shape}#begin", f"{where}#made", f"{where}#decorated"):
            if point not in self._dated:
                continue
            key = (home, point)
            if key not in self._ended:
                self._ended[key] = self._after(home, point)
            if self._ended[key] is not None:
                return self._ended[key]
        return None

    def _after(self, home: str, point: str) -> Explanation | None:
        facts = self._facts
        ended, began = facts.latest(f"{home}#end"), facts.earliest(point)
        if ended is None or began is None or calendar_day(ended)[0] >= calendar_day(began)[0]:
            return None
        ends = [claim for _, claim in facts.dates(f"{home}#end")]
        begins = [claim for _, claim in facts.dates(point)]
        doubted = _doubted(ends) or _doubted(begins)
        claims = tuple(dict.fromkeys([*ends, *begins]))
        return Explanation("late-reissue", "doubted" if doubted else "followed", None, claims)


def _doubted(claims: Iterable[Claim]) -> bool:
    """Say whether every claim is marked possible or doubtful."""
    return all(str(c.certainty or "").rsplit("/", 1)[-1] in _DOUBT for c in claims)
