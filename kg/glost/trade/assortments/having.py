"""Whether a shape had an article: what lists, pieces and statements say for it and against it.

A list that lacks an article says nothing unless it is stated complete, no source saying otherwise;
a piece shows that an article was there, and none that it was not.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from rdflib import URIRef

from glost.record.claims import Claim, in_order
from glost.trade.assortments.lines import produced_of, seen_of
from glost.trade.assortments.lists import Article, Assortment, Complete, Lists
from glost.trade.assortments.order import Order
from glost.trade.assortments.stated import Best, StatedOfLists
from glost.verdicts import Verdict


class How(StrEnum):
    """By what it is known that a shape had an article, or had it not."""

    LISTED = "listed"
    SHOWN = "shown by a piece"
    PRODUCED = "said to be produced"
    BEST = "said in a superlative"
    NEVER = "said never to be produced"
    ABSENT = "said to be absent"
    WHOLE = "missing from a complete list"


@dataclass(frozen=True, slots=True)
class HavingGround:
    """One thing on record that speaks for or against it.

    Attributes
    ----------
    how
        By what it is known.
    article
        The article it speaks of; without a size, of whatever size.
    claims
        The claims it rests on.
    listed
        The list, if it is one.
    """

    how: How
    article: Article
    claims: tuple[Claim, ...]
    listed: Assortment | None = None


@dataclass(frozen=True, slots=True)
class Had:
    """Whether a shape had an article.

    Attributes
    ----------
    shape, article
        The shape and the article; without a size, the form in any size.
    verdict
        Whether it had it.
    disputed
        Whether something on record says that it had it, and something that it had not.
    speaking, against
        What speaks for it and against it.
    listed
        Whether any list of the shape is on record.
    """

    shape: URIRef
    article: Article
    verdict: Verdict
    disputed: bool
    speaking: tuple[HavingGround, ...]
    against: tuple[HavingGround, ...]
    listed: bool

    @property
    def lists(self) -> tuple[Assortment, ...]:
        """The lists that offer it, as far as is known in the order of issue."""
        return tuple(ground.listed for ground in self.speaking if ground.listed is not None)

    @property
    def by_pieces_alone(self) -> bool:
        """Whether nothing but pieces shows it."""
        return bool(self.speaking) and all(each.how == How.SHOWN for each in self.speaking)

    @property
    def claims(self) -> tuple[Claim, ...]:
        """Every claim for or against it."""
        return in_order(c for ground in (*self.speaking, *self.against) for c in ground.claims)


def covers(wide: Article, article: Article) -> bool:
    """Say whether what is said of one article holds of another: the same, or any of its form."""
    return wide.form == article.form and wide.size in ("", article.size)


@dataclass(frozen=True, slots=True)
class OwnGrounds:
    """What lists, pieces and sources say of the articles of one shape.

    Attributes
    ----------
    speaking, never
        What says that it had them, and that they were never produced.
    """

    speaking: tuple[HavingGround, ...]
    never: tuple[HavingGround, ...]


def _own_grounds(lists: Lists, shape: URIRef) -> OwnGrounds:
    speaking = []
    for each in lists.of(shape):
        for article, offers in each.articles.items():
            claims = in_order(c for offer in offers for c in offer.claims)
            speaking.append(HavingGround(How.LISTED, article, claims, each))
    for piece in seen_of(lists.belief, shape):
        speaking.append(HavingGround(How.SHOWN, piece.article, piece.claims))
    said = tuple(produced_of(lists, shape))
    speaking += [HavingGround(How.PRODUCED, s.article, s.claims) for s in said if s.produced]
    never = [HavingGround(How.NEVER, s.article, s.claims) for s in said if not s.produced]
    return OwnGrounds(tuple(speaking), tuple(never))


class Having:
    """What is known of which shape had what.

    Parameters
    ----------
    lists
        Every list.
    order
        The order in which shapes were brought in.
    known
        What lists, pieces and sources were found to say of shapes of which nothing changed since.
    """

    def __init__(
        self, lists: Lists, order: Order, known: Mapping[URIRef, OwnGrounds] | None = None
    ) -> None:
        self.lists, self.order = lists, order
        self.stated = StatedOfLists(lists.belief)
        self._own = dict(known or {})
        self._had: dict[tuple[URIRef, Article], Had] = {}

    @cached_property
    def forms(self) -> Mapping[URIRef, tuple[URIRef, ...]]:
        """The shapes of which something says that they had a form, by form, sorted."""
        found: dict[URIRef, list[URIRef]] = defaultdict(list)
        for shape in self.lists.shapes:
            for form in dict.fromkeys(each.article.form for each in self._speaking(shape)):
                found[form].append(shape)
        return {form: tuple(found[form]) for form in sorted(found)}

    def own(self, shape: URIRef) -> OwnGrounds:
        """Return what lists, pieces and sources say of the articles of a shape."""
        if shape not in self._own:
            self._own[shape] = self.lists.keeping(
                ("own", shape), lambda lists: _own_grounds(lists, shape)
            )
        return self._own[shape]

    def _speaking(self, shape: URIRef) -> tuple[HavingGround, ...]:
        return (*self.own(shape).speaking, *self._said.get(shape, ()))

    def _against(self, shape: URIRef) -> tuple[HavingGround, ...]:
        return (*self.own(shape).never, *self._denying.get(shape, ()))

    @cached_property
    def _said(self) -> Mapping[URIRef, list[HavingGround]]:
        """What superlatives say that shapes had."""
        found: dict[URIRef, list[HavingGround]] = defaultdict(list)
        for best in self.stated.superlatives:
            ordered = best.best in (Best.FIRST, Best.LAST, Best.ONLY) and best.of in self._shapes
            if best.article is not None and ordered:
                found[best.of].append(HavingGround(How.BEST, best.article, best.claims))
        return found

    @cached_property
    def _denying(self) -> Mapping[URIRef, list[HavingGround]]:
        """What stated absences, and superlatives of others, say that shapes had not."""
        found: dict[URIRef, list[HavingGround]] = defaultdict(list)
        for shape, how, article, claims in (*self._absences(), *self._others()):
            found[shape].append(HavingGround(how, article, claims))
        return found

    def had(self, shape: URIRef, article: Article) -> Had:
        """Say whether a shape had an article, by everything; it is judged once."""
        if (shape, article) not in self._had:
            self._had[shape, article] = self.of(shape, article)
        return self._had[shape, article]

    def look_up(self) -> None:
        """Look up what statements about lists say, so that nothing is asked of what is believed."""
        _ = self._said, self._denying

    def keep(self, before: "Having", but: Collection[URIRef]) -> None:
        """Take over what was judged before, but of shapes of which something else is said now."""
        again = self.stated_otherwise(before).union(but)
        self._had = {key: had for key, had in before._had.items() if key[0] not in again}

    def stated_otherwise(self, before: "Having") -> set[URIRef]:
        """Return the shapes of which statements about lists say something else than before."""
        return {
            shape
            for was, now in ((before._said, self._said), (before._denying, self._denying))
            for shape in was.keys() | now.keys()
            if was.get(shape, ()) != now.get(shape, ())
        }

    def _absences(self) -> Iterator[tuple[URIRef, How, Article, tuple[Claim, ...]]]:
        """Yield the shapes that stated absences speak of."""
        for each in self.stated.absences:
            if each.article is not None:
                for shape in self.scope(each.of, each.after, each.before):
                    yield shape, How.ABSENT, each.article, each.claims

    def scope(
        self, of: URIRef, after: Iterable[URIRef] = (), before: Iterable[URIRef] = ()
    ) -> tuple[URIRef, ...]:
        """Return a shape; or those of a pottery certainly brought in after and before some."""
        shapes = self.lists.makers.get(of)
        if shapes is None:
            return (of,) if of in self._shapes else ()
        return tuple(
            shape
            for shape in shapes
            if all(self.order.before(one, shape) for one in after)
            and all(self.order.before(shape, one) for one in before)
        )

    def _others(self) -> Iterator[tuple[URIRef, How, Article, tuple[Claim, ...]]]:
        """Yield the shapes that superlatives of others speak against."""
        for each in self.stated.superlatives:
            if each.article is None:
                continue
            if each.of not in self._shapes:
                if each.best == Best.ONLY:
                    own = set(self.lists.makers.get(each.of, ()))
                    for shape in self.lists.shapes:
                        if shape not in own:
                            yield shape, How.BEST, each.article, each.claims
                continue
            for other in self.lists.fellows(each.of):
                if other != each.of and self._denied(each.best, each.of, other):
                    yield other, How.BEST, each.article, each.claims

    @cached_property
    def _shapes(self) -> frozenset[URIRef]:
        return frozenset(self.lists.shapes)

    def _denied(self, best: Best, shape: URIRef, other: URIRef) -> bool:
        if best == Best.FIRST:
            return self.order.before(other, shape)
        if best == Best.LAST:
            return self.order.before(shape, other)
        return best == Best.ONLY

    def of(
        self,
        shape: URIRef,
        article: Article,
        *,
        ignoring: Iterable[How] = (),
        apart_from: Collection[URIRef] = (),
    ) -> Had:
        """Say whether a shape had an article.

        Parameters
        ----------
        shape
            The shape.
        article
            The article; without a size, its form in any size.
        ignoring
            What not to take into account: kinds of statement that are themselves in question.
        apart_from
            Sources whose statements about lists do not count: those of a statement in question,
            which nothing else that they say bears out.
        """
        left = set(ignoring)
        speaking = tuple(
            each
            for each in self._speaking(shape)
            if _counts(each, left, apart_from) and covers(article, each.article)
        )
        against = tuple(
            each
            for each in self._against(shape)
            if _counts(each, left, apart_from) and self._speaks(each, article, speaking)
        )
        lists = self.lists.of(shape)
        if speaking and against:
            verdict, disputed = Verdict.POSSIBLY, True
        elif speaking or against:
            verdict, disputed = Verdict.YES if speaking else Verdict.NO, False
        else:
            whole = tuple(
                HavingGround(How.WHOLE, article, each.grounds, each)
                for each in lists
                if each.complete == Complete.YES
            )
            open_ = [each for each in lists if each.complete == Complete.DISPUTED]
            if whole:
                verdict, disputed, against = Verdict.NO, False, whole
            elif open_:
                verdict, disputed = Verdict.POSSIBLY, True
                against = tuple(HavingGround(How.WHOLE, article, e.grounds, e) for e in open_)
            else:
                verdict, disputed = Verdict.NOT_KNOWN, False
        return Had(shape, article, verdict, disputed, speaking, against, bool(lists))

    def denying(self, shape: URIRef, article: Article) -> tuple[Claim, ...]:
        """Return the claims of stated absences that a shape lacked an article."""
        return in_order(
            claim
            for each in self._against(shape)
            if each.how == How.ABSENT and covers(each.article, article)
            for claim in each.claims
        )

    def _speaks(
        self, each: HavingGround, article: Article, speaking: tuple[HavingGround, ...]
    ) -> bool:
        """Say whether something speaks against an article, by what speaks for it.

        That one size was never produced is nothing against another.
        """
        if covers(each.article, article):
            return not each.article.variant or any(s.article == each.article for s in speaking)
        if each.how != How.NEVER or not speaking or not covers(article, each.article):
            return False
        return all(s.article == each.article for s in speaking)


def _counts(each: HavingGround, left: Collection[How], apart_from: Collection[URIRef]) -> bool:
    """Say whether a ground is taken into account."""
    if each.how in left:
        return False
    if each.how not in (How.BEST, How.ABSENT) or not apart_from:
        return True
    return any(claim.passage.source not in apart_from for claim in each.claims)
