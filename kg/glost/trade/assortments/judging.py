"""Which shape was the first, the last or the only one to have a form, and on what grounds.

Shapes are ordered by when they were brought in; where that is open, by the dates of the lists that
offer the form. Whether a shape had it is judged as in `glost.trade.assortments.having`.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from rdflib import URIRef

from glost.record.claims import Claim, in_order
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
    claims
        The claims it rests on.
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
    claims: tuple[Claim, ...]


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
        return self.having.of(shape, article, ignoring=self._ignoring, apart_from=self._apart_from)

    def every(self) -> Iterator[Judgement]:
        """Yield every judgement that is not "no", by form: among all, then within each pottery."""
        makers = self.having.lists.makers
        for form, shapes in self.having.forms.items():
            article = Article(form)
            for best in (Best.FIRST, Best.LAST):
                yield from self._standing(best, None, self.having.lists.shapes, article)
            for pottery, own in makers.items():
                if not set(own) & set(shapes):
                    continue
                for best in (Best.FIRST, Best.LAST, *((Best.ONLY,) if own[1:] else ())):
                    yield from self._standing(best, pottery, own, article)

    def _standing(
        self, best: Best, among: URIRef | None, shapes: Sequence[URIRef], article: Article
    ) -> Iterator[Judgement]:
        for each in self.judge(best, among, shapes, article, self._contend):
            if each.verdict != Verdict.NO:
                yield each

    def _contend(self, best: Best, had: Sequence[Had]) -> list[Had]:
        """Leave out the shapes that plain bounds put after, or before, one that surely had it."""
        bounds = {each.shape: self.having.order.bounds(each.shape) for each in had}
        sure = [bounds[each.shape] for each in had if not each.disputed]
        said = {each.of for each in self.having.stated.superlatives}
        if best == Best.FIRST:
            lead = min((b.latest for b in sure if b.latest is not None), default=None)
            out = {s for s, b in bounds.items() if before(lead, b.earliest)}
        elif best == Best.LAST:
            lead = max((b.earliest for b in sure if b.earliest is not None), default=None)
            out = {s for s, b in bounds.items() if before(b.latest, lead)}
        else:
            out = set()
        return [each for each in had if each.shape not in out - said]

    def judge(
        self,
        best: Best,
        among: URIRef | None,
        shapes: Sequence[URIRef],
        article: Article,
        choose: Callable[[Best, Sequence[Had]], Iterable[Had]] = lambda _, had: had,
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
        choose
            Chooses those to be judged from those that had it.
        """
        found = {shape: self._had(shape, article) for shape in shapes}
        had = [each for each in found.values() if each.speaking]
        others = [each for each in found.values() if not each.speaking]
        judge = self._alone if best == Best.ONLY else self._ranked
        return tuple(judge(best, among, each, had, others) for each in choose(best, had))

    def _said(self, best: Best, shape: URIRef, article: Article) -> list[Superlative]:
        """Return the superlatives that say so of a shape."""
        if How.BEST in self._ignoring:
            return []
        return [
            each
            for each in self.having.stated.superlatives
            if each.of == shape and each.best == best and each.article == article
        ]

    def _ahead(self, best: Best, one: URIRef, other: URIRef) -> bool:
        order = self.having.order
        return order.before(one, other) if best == Best.FIRST else order.before(other, one)

    def _ranked(
        self, best: Best, among: URIRef | None, own: Had, had: list[Had], others: list[Had]
    ) -> Judgement:
        rivals = [each for each in had if each.shape != own.shape]
        ahead = [each for each in rivals if self._ahead(best, each.shape, own.shape)]
        beaten = [each for each in rivals if self._ahead(best, own.shape, each.shape)]
        beside = [each for each in rivals if each not in ahead and each not in beaten]
        unknown = [
            each
            for each in others
            if each.verdict != Verdict.NO and not self._ahead(best, own.shape, each.shape)
        ]
        lacking = [
            each
            for each in others
            if each.verdict == Verdict.NO and not self._ahead(best, own.shape, each.shape)
        ]
        said = self._said(best, own.shape, own.article)
        said_of = [e for e in beside if self._said(best, e.shape, own.article)]
        surely = [each for each in ahead if not each.disputed]
        doubtful = [each for each in ahead if each.disputed]
        when = "earlier" if best == Best.FIRST else "later"
        past, behind = ("before", "after") if best == Best.FIRST else ("after", "before")
        told, deciding, disputed = [self._known(own)], [], self._disputes(own, doubtful)
        if (rivals or unknown) and self.having.order.disputed(own.shape):
            disputed.append(f"when {self._names([own])} was brought in")
        if surely:
            verdict = Verdict.POSSIBLY if said else Verdict.NO
            told.append(f"brought in {self._when(own)}, {behind} {self._each_when(surely)}")
            if said:
                disputed.append(f"{self._sources(said)} says that it was the {best}")
        elif said:
            verdict = Verdict.POSSIBLY if own.disputed or doubtful else Verdict.YES
            told.append(f"{self._sources(said)} says that it was the {best}")
        elif said_of:
            verdict = Verdict.NO
            told.append(f"{self._names(said_of)} is said to be the {best}")
        elif beside:
            listed = _listed_beyond(best, own, beside)
            verdict = Verdict.POSSIBLY if listed else Verdict.NOT_KNOWN
            if listed:
                told.append(f"{self._names(beside)} had it too, in lists that are all "
                            f"{'later' if best == Best.FIRST else 'earlier'}")  # fmt: skip
            else:
                told.append(f"{self._names(beside)} had it too")
            deciding.append(
                f"which of {self._names([own, *beside])} was brought in {when} "
                f"({self._dates([own, *beside])})"
            )
        else:
            settled = not (doubtful or unknown or own.disputed)
            verdict = Verdict.YES if settled else Verdict.POSSIBLY
        if verdict in (Verdict.YES, Verdict.POSSIBLY) and not surely:
            if beaten:
                told.append(f"brought in {self._when(own)}, {past} {self._each_when(beaten)}")
            if lacking and not said:
                told.append(f"{self._names(lacking)} had it not")
            if not rivals:
                told.append("no other shape is known to have had it")
        if unknown and not said and not surely and not said_of:
            deciding.append(f"whether {self._names(unknown)} had it: {self._why_open(unknown)}")
        if doubtful or own.disputed:
            deciding.append(f"whether {self._names([*doubtful, *([own] if own.disputed else [])])}"
                            " had it, of which sources differ")  # fmt: skip
        counted = [*surely, *doubtful, *beside, *beaten, *lacking]
        claims = [c for each in (own, *counted) for c in each.claims]
        claims += [c for each in said for c in each.claims]
        claims += [
            c for e in said_of for s in self._said(best, e.shape, own.article) for c in s.claims
        ]
        claims += self._order_claims(best, own, [*ahead, *beaten])
        return Judgement(
            best, among, own.article, own.shape, verdict, "; ".join(told),
            "; ".join(deciding) if verdict in (Verdict.POSSIBLY, Verdict.NOT_KNOWN) else "",
            "; ".join(disputed), _ends(best, own.lists), in_order(claims),
        )  # fmt: skip

    def _alone(
        self, best: Best, among: URIRef | None, own: Had, had: list[Had], others: list[Had]
    ) -> Judgement:
        rivals = [each for each in had if each.shape != own.shape]
        surely = [each for each in rivals if not each.disputed]
        doubtful = [each for each in rivals if each.disputed]
        unknown = [each for each in others if each.verdict != Verdict.NO]
        lacking = [each for each in others if each.verdict == Verdict.NO]
        told, deciding, disputed = [self._known(own)], [], self._disputes(own, doubtful)
        if surely:
            verdict = Verdict.NO
            told.append(f"{self._names(surely)} had it too")
        elif doubtful or own.disputed:
            verdict = Verdict.POSSIBLY
            deciding.append(f"whether {self._names([*doubtful, *([own] if own.disputed else [])])}"
                            " had it, of which sources differ")  # fmt: skip
        elif unknown:
            some = any(each.listed for each in unknown) and not own.by_pieces_alone
            verdict = Verdict.POSSIBLY if some else Verdict.NOT_KNOWN
        else:
            verdict = Verdict.YES
        if lacking:
            told.append(f"{self._names(lacking)} had it not")
        if unknown and not surely:
            deciding.append(f"whether {self._names(unknown)} had it: {self._why_open(unknown)}")
        claims = [c for each in (own, *rivals, *lacking) for c in each.claims]
        return Judgement(
            best, among, own.article, own.shape, verdict, "; ".join(told), "; ".join(deciding),
            "; ".join(disputed), own.lists, in_order(claims),
        )  # fmt: skip

    def _disputes(self, own: Had, doubtful: Iterable[Had]) -> list[str]:
        """Say of which shapes sources differ on whether they had it."""
        return [
            f"whether {self._names([each])} had it" for each in (own, *doubtful) if each.disputed
        ]

    def _known(self, own: Had) -> str:
        """Say by what it is known that a shape had it."""
        if own.lists:
            names = [self.words.label(each.list) for each in own.lists]
            return f"listed in {_and(list(dict.fromkeys(names)))}"
        if own.by_pieces_alone:
            return "shown by pieces"
        return _and(list(dict.fromkeys(str(each.how) for each in own.speaking)))

    def _names(self, found: Iterable[Had]) -> str:
        return _and([self.words.label(each.shape) for each in found])

    def _when(self, each: Had) -> str:
        return self.having.order.words(each.shape)

    def _each_when(self, found: Sequence[Had]) -> str:
        return _and([f"{self.words.label(each.shape)} ({self._when(each)})" for each in found])

    def _dates(self, found: Sequence[Had]) -> str:
        return "; ".join(f"{self.words.label(e.shape)} {self._when(e)}" for e in found[:_MANY])

    def _sources(self, said: Iterable[Superlative]) -> str:
        found = {self.words.label(claim.passage.source) for each in said for claim in each.claims}
        return _and(sorted(found))

    def _why_open(self, unknown: Iterable[Had]) -> str:
        """Say why it is not known whether some shapes had it."""
        reasons = {
            "whether a list is complete is disputed" if each.disputed
            else "no list stated complete" if each.listed
            else "no list at all"
            for each in unknown
        }  # fmt: skip
        return " or ".join(sorted(reasons))

    def _order_claims(self, best: Best, own: Had, others: Sequence[Had]) -> list[Claim]:
        """Return the claims by which a shape was brought in before or after others."""
        found: list[Claim] = []
        order = self.having.order
        for other in others:
            own_first = order.before(own.shape, other.shape)
            found += order.claims(own.shape, late=own_first)
            found += order.claims(other.shape, late=not own_first)
        found += order.relating(own.shape, [each.shape for each in others])
        return found


def _listed_beyond(best: Best, own: Had, beside: Sequence[Had]) -> bool:
    """Say whether the lists of one shape go before, or beyond, those of all others."""
    if not own.lists or not all(each.lists for each in beside):
        return False
    if best == Best.FIRST:
        ends = [e.latest for e in own.lists if e.latest is not None]
        first = min(ends, default=None)
        return all(before(first, each.earliest) for other in beside for each in other.lists)
    starts = [e.earliest for e in own.lists if e.earliest is not None]
    last = max(starts, default=None)
    return all(before(each.latest, last) for other in beside for each in other.lists)


def _ends(best: Best, lists: tuple[Assortment, ...]) -> tuple[Assortment, ...]:
    """Return the lists that may be the first, or the last, of some."""
    if best == Best.FIRST:
        first = min((e.latest for e in lists if e.latest is not None), default=None)
        return tuple(e for e in lists if not before(first, e.earliest))
    last = max((e.earliest for e in lists if e.earliest is not None), default=None)
    return tuple(e for e in lists if not before(e.latest, last))


def _and(names: Sequence[str]) -> str:
    return joined(names, len(names) if len(names) <= _MANY else _MANY - 1)
