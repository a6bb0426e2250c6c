"""Which shape was the first, the last or the only one to have a form, and on what grounds.

Shapes are ordered by when they were brought in; where that is open, by the dates of the lists that
offer the form. Whether a shape had it is judged as in `glost.trade.assortments.having`.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from rdflib import URIRef

from glost.record.claims import Claim
from glost.trade.assortments.among import Among, Mask, Resting
from glost.trade.assortments.having import Had, Having, How
from glost.trade.assortments.lists import Article, Assortment, before
from glost.trade.assortments.stated import Best, Superlative
from glost.verdicts import Verdict
from glost.words.english import joined
from glost.words.labels import Words

_MANY = 4
"""So many names are told before the rest are counted."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """Whether a shape was the first, the last or the only one to have an article.

    Attributes
    ----------
    best
        First, last or only.
    among
        The pottery among whose shapes; None among all on record.
    article, shape
        The article and the shape.
    verdict
        Whether it was.
    because
        What the verdict rests on, in words.
    deciding
        What would decide it; empty if it is decided.
    disputed
        What of it is in dispute, in words; empty if nothing is.
    lists
        For the first, the earliest lists in which the shape offers it; for the last, the latest.
    resting
        What it rests on.
    """

    best: Best
    among: URIRef | None
    article: Article
    shape: URIRef
    verdict: Verdict
    because: str
    deciding: str
    disputed: str
    lists: tuple[Assortment, ...]
    resting: Resting = field(repr=False, compare=False)

    @property
    def claims(self) -> tuple[Claim, ...]:
        """The claims it rests on, in order."""
        return self.resting.claims


class Judge:
    """Judges who was first, last and alone.

    Parameters
    ----------
    having
        What is known of which shape had what.
    words
        What things are called.
    ignoring
        Kinds of statement that are not taken into account.
    apart_from
        Sources whose statements about lists are not.
    """

    def __init__(
        self,
        having: Having,
        words: Words,
        *,
        ignoring: Iterable[How] = (),
        apart_from: Collection[URIRef] = (),
    ) -> None:
        self.having, self.words = having, words
        self._ignoring, self._apart_from = frozenset(ignoring), apart_from

    def _had(self, shape: URIRef, article: Article) -> Had:
        if not self._ignoring and not self._apart_from:
            return self.having.had(shape, article)
        return self.having.of(shape, article, ignoring=self._ignoring, apart_from=self._apart_from)

    def every(self) -> Iterator[Judgement]:
        """Yield every judgement that is not "no", by form: among all, then within each pottery."""
        for form, among in self.groups():
            yield from self.of_group(form, among)

    def groups(self) -> Iterator[tuple[URIRef, URIRef | None]]:
        """Yield each form with each pottery a shape of which had it, None for all on record."""
        for form, shapes in self.having.forms.items():
            yield form, None
            for pottery, own in self.having.lists.makers.items():
                if not set(own).isdisjoint(shapes):
                    yield form, pottery

    def of_group(self, form: URIRef, among: URIRef | None) -> Iterator[Judgement]:
        """Yield the judgements of a form that are not "no", in a pottery or among all on record."""
        lists = self.having.lists
        shapes = lists.shapes if among is None else lists.makers.get(among, ())
        found = self._among(shapes, Article(form))
        alone = among is not None and len(shapes) > 1
        for best in (Best.FIRST, Best.LAST, *((Best.ONLY,) if alone else ())):
            for at in np.flatnonzero(self._contending(best, found)).tolist():
                judged = self._judged(best, among, at, found)
                if judged.verdict != Verdict.NO:
                    yield judged

    def _among(self, shapes: Iterable[URIRef], article: Article) -> Among:
        return Among((self._had(shape, article) for shape in shapes), self.having.order)

    def _contending(self, best: Best, found: Among) -> Mask:
        """Leave out the shapes that plain bounds put after, or before, one that surely had it."""
        sure = found.speaking & ~found.disputed
        out = np.zeros_like(sure)
        if best == Best.FIRST:
            out = found.earliest > found.latest[sure].min(initial=np.inf)
        elif best == Best.LAST:
            out = found.latest < found.earliest[sure].max(initial=-np.inf)
        for each in self.having.stated.superlatives:
            if each.of in found.place:
                out[found.place[each.of]] = False
        return found.speaking & ~out

    def judge(
        self, best: Best, among: URIRef | None, shapes: Sequence[URIRef], article: Article
    ) -> tuple[Judgement, ...]:
        """Judge each shape of which something says that it had an article.

        Parameters
        ----------
        best
            First, last or only.
        among
            The pottery whose shapes they are; None for all.
        shapes
            The shapes among which it is asked.
        article
            The article; without a size, its form in any size.
        """
        found = self._among(shapes, article)
        places = np.flatnonzero(found.speaking).tolist()
        return tuple(self._judged(best, among, at, found) for at in places)

    def _judged(self, best: Best, among: URIRef | None, at: int, found: Among) -> Judgement:
        judge = self._alone if best == Best.ONLY else self._ranked
        return judge(best, among, at, found)

    def _said(self, best: Best, article: Article) -> dict[URIRef, list[Superlative]]:
        """Return the superlatives that say so of an article, by shape."""
        said: dict[URIRef, list[Superlative]] = {}
        for each in () if How.BEST in self._ignoring else self.having.stated.superlatives:
            if each.best == best and each.article == article:
                said.setdefault(each.of, []).append(each)
        return said

    def _ranked(self, best: Best, among: URIRef | None, at: int, found: Among) -> Judgement:
        first, own = best == Best.FIRST, found.had[at]
        earlier, later = found.before(at), found.after(at)
        won_by, won = (earlier, later) if first else (later, earlier)
        rivals = found.speaking & ~found.only(at)
        ahead, beaten = rivals & won_by, rivals & won
        beside = rivals & ~ahead & ~beaten
        unknown, lacking = found.unknown & ~won, found.lacking & ~won
        every = self._said(best, own.article)
        said = every.get(own.shape, [])
        said_of = np.zeros_like(beside)
        for shape in every.keys() & found.place.keys():
            said_of[found.place[shape]] = beside[found.place[shape]]
        surely, doubtful = ahead & ~found.disputed, ahead & found.disputed
        when = "earlier" if first else "later"
        past, behind = ("before", "after") if first else ("after", "before")
        told, deciding = [self._known(own)], []
        disputed = self._disputes(at, doubtful, found)
        doubted = [*_places(doubtful), *([at] if own.disputed else [])]
        besides = [at, *_places(beside)]
        if (rivals.any() or unknown.any()) and found.order.disputed(own.shape):
            disputed.append(f"when {self._names([at], found)} was brought in")
        if surely.any():
            verdict = Verdict.POSSIBLY if said else Verdict.NO
            told.append(
                f"brought in {found.order.words(own.shape)}, {behind} "
                f"{self._each_when(_places(surely), found)}"
            )
            if said:
                disputed.append(f"{self._sources(said)} says that it was the {best}")
        elif said:
            verdict = Verdict.POSSIBLY if own.disputed or doubtful.any() else Verdict.YES
            told.append(f"{self._sources(said)} says that it was the {best}")
        elif said_of.any():
            verdict = Verdict.NO
            told.append(f"{self._names(_places(said_of), found)} is said to be the {best}")
        elif beside.any():
            listed = _listed_beyond(best, own, beside, found)
            verdict = Verdict.POSSIBLY if listed else Verdict.NOT_KNOWN
            names = self._names(_places(beside), found)
            if listed:
                told.append(f"{names} had it too, in lists that are all "
                            f"{'later' if first else 'earlier'}")  # fmt: skip
            else:
                told.append(f"{names} had it too")
            deciding.append(
                f"which of {self._names(besides, found)} was brought in {when} "
                f"({self._dates(besides, found)})"
            )
        else:
            settled = not (doubtful.any() or unknown.any() or own.disputed)
            verdict = Verdict.YES if settled else Verdict.POSSIBLY
        if verdict in (Verdict.YES, Verdict.POSSIBLY) and not surely.any():
            if beaten.any():
                told.append(
                    f"brought in {found.order.words(own.shape)}, {past} "
                    f"{self._each_when(_places(beaten), found)}"
                )
            if lacking.any() and not said:
                told.append(f"{self._names(_places(lacking), found)} had it not")
            if not rivals.any():
                told.append("no other shape is known to have had it")
        if unknown.any() and not said and not surely.any() and not said_of.any():
            deciding.append(f"whether {self._names(_places(unknown), found)} had it: "
                            f"{_why_open(unknown, found)}")  # fmt: skip
        if doubted:
            deciding.append(
                f"whether {self._names(doubted, found)} had it, of which sources differ"
            )
        placed = ahead | beaten
        more = [c for each in said for c in each.claims]
        more += [c for at_ in _places(said_of) for s in every[found.had[at_].shape]
                 for c in s.claims]  # fmt: skip
        for shape, claims in found.order.related(own.shape).items():
            more += claims if shape in found.place and placed[found.place[shape]] else []
        resting = Resting(
            found,
            {
                "had": found.only(at) | surely | doubtful | beside | beaten | lacking,
                "late": placed & earlier | found.only(at) & (placed & later).any(),
                "early": placed & later | found.only(at) & (placed & earlier).any(),
            },
            tuple(more),
        )
        return Judgement(
            best, among, own.article, own.shape, verdict, "; ".join(told),
            "; ".join(deciding) if verdict in (Verdict.POSSIBLY, Verdict.NOT_KNOWN) else "",
            "; ".join(disputed), _ends(best, own.lists), resting,
        )  # fmt: skip

    def _alone(self, best: Best, among: URIRef | None, at: int, found: Among) -> Judgement:
        own, rivals = found.had[at], found.speaking & ~found.only(at)
        surely, doubtful = rivals & ~found.disputed, rivals & found.disputed
        unknown, lacking = found.unknown, found.lacking
        doubted = [*_places(doubtful), *([at] if own.disputed else [])]
        told, deciding = [self._known(own)], []
        if surely.any():
            verdict = Verdict.NO
            told.append(f"{self._names(_places(surely), found)} had it too")
        elif doubted:
            verdict = Verdict.POSSIBLY
            deciding.append(
                f"whether {self._names(doubted, found)} had it, of which sources differ"
            )
        elif unknown.any():
            some = bool((unknown & found.in_any_list).any()) and not own.by_pieces_alone
            verdict = Verdict.POSSIBLY if some else Verdict.NOT_KNOWN
        else:
            verdict = Verdict.YES
        if lacking.any():
            told.append(f"{self._names(_places(lacking), found)} had it not")
        if unknown.any() and not surely.any():
            deciding.append(f"whether {self._names(_places(unknown), found)} had it: "
                            f"{_why_open(unknown, found)}")  # fmt: skip
        resting = Resting(found, {"had": found.only(at) | rivals | lacking}, ())
        return Judgement(
            best, among, own.article, own.shape, verdict, "; ".join(told), "; ".join(deciding),
            "; ".join(self._disputes(at, doubtful, found)), own.lists, resting,
        )  # fmt: skip

    def _disputes(self, at: int, doubtful: Mask, found: Among) -> list[str]:
        """Say of which shapes sources differ on whether they had it."""
        return [
            f"whether {self._names([each], found)} had it"
            for each in (at, *_places(doubtful))
            if found.disputed[each]
        ]

    def _known(self, own: Had) -> str:
        """Say by what it is known that a shape had it."""
        if own.lists:
            names = [self.words.label(each.list) for each in own.lists]
            return f"listed in {_and(list(dict.fromkeys(names)))}"
        if own.by_pieces_alone:
            return "shown by pieces"
        return _and(list(dict.fromkeys(str(each.how) for each in own.speaking)))

    def _names(self, places: Sequence[int], found: Among) -> str:
        return _few(places, lambda at: self.words.label(found.had[at].shape))

    def _each_when(self, places: Sequence[int], found: Among) -> str:
        return _few(places, lambda at: self._name_when(at, found, "({})"))

    def _dates(self, places: Sequence[int], found: Among) -> str:
        return "; ".join(self._name_when(at, found, "{}") for at in places[:_MANY])

    def _name_when(self, at: int, found: Among, form: str) -> str:
        shape = found.had[at].shape
        return f"{self.words.label(shape)} {form.format(found.order.words(shape))}"

    def _sources(self, said: Iterable[Superlative]) -> str:
        found = {self.words.label(claim.passage.source) for each in said for claim in each.claims}
        return _and(sorted(found))


def _places(mask: Mask) -> list[int]:
    return np.flatnonzero(mask).tolist()


def _why_open(unknown: Mask, found: Among) -> str:
    """Say why it is not known whether some shapes had it."""
    reasons = {
        "whether a list is complete is disputed": unknown & found.disputed,
        "no list stated complete": unknown & ~found.disputed & found.in_any_list,
        "no list at all": unknown & ~found.disputed & ~found.in_any_list,
    }
    return " or ".join(sorted(reason for reason, some in reasons.items() if some.any()))


def _listed_beyond(best: Best, own: Had, beside: Mask, found: Among) -> bool:
    """Say whether the lists of one shape go before, or beyond, those of all others."""
    if not own.lists or not found.listed[beside].all():
        return False
    if best == Best.FIRST:
        first = min((e.latest for e in own.lists if e.latest is not None), default=np.inf)
        return bool((first < found.lists_from[beside]).all())
    last = max((e.earliest for e in own.lists if e.earliest is not None), default=-np.inf)
    return bool((found.lists_by[beside] < last).all())


def _ends(best: Best, lists: tuple[Assortment, ...]) -> tuple[Assortment, ...]:
    """Return the lists that may be the first, or the last, of some."""
    if best == Best.FIRST:
        first = min((e.latest for e in lists if e.latest is not None), default=None)
        return tuple(e for e in lists if not before(first, e.earliest))
    last = max((e.earliest for e in lists if e.earliest is not None), default=None)
    return tuple(e for e in lists if not before(e.latest, last))


def _and(names: Sequence[str]) -> str:
    return joined(names, len(names) if len(names) <= _MANY else _MANY - 1)


def _few(places: Sequence[int], name: Callable[[int], str]) -> str:
    """Name the first of some, and count the rest."""
    shown = places if len(places) <= _MANY else places[: _MANY - 1]
    more = [f"{len(places) - len(shown):,} more"] if len(places) > len(shown) else []
    return joined([*map(name, shown), *more])
