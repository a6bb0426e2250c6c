"""Stated absences, superlatives and totals held against lists, pieces and one another."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

from rdflib import Graph, URIRef
from rdflib.namespace import RDF, RDFS, SKOS
from rdflib.term import Node

from glost.names import GLOST
from glost.record.claims import Claim, Triple, in_order
from glost.record.dates import Margin
from glost.record.spelling import fold
from glost.trade.assortments.counting import ArticleCount, Counter, meets
from glost.trade.assortments.having import Had, Having, How
from glost.trade.assortments.judging import Judge
from glost.trade.assortments.lists import Article, Complete
from glost.trade.assortments.stated import Absence, Best, Superlative, Total
from glost.verdicts import Verdict
from glost.words.labels import Words

_OF_LISTS = {GLOST.complete, GLOST.sourceDate}
_ORDERED = (Best.FIRST, Best.LAST, Best.ONLY)


@dataclass(frozen=True, slots=True)
class Held:
    """A statement held against everything else on record.

    Attributes
    ----------
    stated
        The statement.
    says
        What it says, in words.
    verdict
        Whether it is borne out.
    because
        What bears on it, in words; empty if nothing does.
    deciding
        What would decide it; empty if it is decided, or nothing bears on it.
    claims
        The claims that bear on it, its own left out.
    counted
        Whether rows of lists were counted for it.
    """

    stated: Absence | Superlative | Total
    says: str
    verdict: Verdict
    because: str
    deciding: str
    claims: tuple[Claim, ...]
    counted: bool = False

    @property
    def telling(self) -> tuple[Claim, ...]:
        """The claims that tell it: of what was counted, those that say of which lists."""
        if not self.counted:
            return self.claims
        return tuple(c for c in self.claims if any(t[1] in _OF_LISTS for t in c.statements))


class Holding:
    """Holds what is stated about lists against everything else.

    Parameters
    ----------
    having
        What is known of which shape had what.
    words
        What things are called.
    margin
        How far a date marked approximate is widened at either end.
    """

    def __init__(self, having: Having, words: Words, margin: Margin) -> None:
        self._having, self._words = having, words
        self._lists = having.lists
        self._counter = Counter(having.lists, margin)

    @cached_property
    def all(self) -> tuple[Held, ...]:
        """Every statement held, absences first, then superlatives, then totals."""
        stated = self._having.stated
        return (
            *map(self._absence, stated.absences),
            *map(self._superlative, stated.superlatives),
            *map(self._total, stated.totals),
        )

    @cached_property
    def rivals(self) -> tuple[tuple[Superlative, Superlative], ...]:
        """Superlatives of which only one can hold: the same is said of two."""
        same: dict[tuple[object, ...], list[Superlative]] = {}
        for each in self._having.stated.superlatives:
            makers = [p for p, shapes in self._lists.makers.items() if each.of in shapes]
            for among in makers or [URIRef("")]:
                same.setdefault((among, each.best, each.article), []).append(each)
        return tuple(
            (one, other)
            for found in same.values()
            for one, other in combinations(found, 2)
            if one.of != other.of
        )

    def _name(self, thing: URIRef) -> str:
        return self._words.label(thing)

    def _names(self, found: Iterable[URIRef]) -> str:
        return ", ".join(self._name(each) for each in found)

    def _what(self, article: Article | None) -> str:
        return f"{self._name(article.form)} {article.which}".strip() if article else "articles"

    def _had(
        self, each: Absence | Superlative, article: Article, shapes: Iterable[URIRef], how: How
    ) -> list[Had]:
        """Say of some shapes whether they had an article, statements like this one left aside."""
        apart = _sources(each.claims)
        of = self._having.of
        return [of(shape, article, ignoring=(how,), apart_from=apart) for shape in shapes]

    # Absences

    def _absence(self, each: Absence) -> Held:
        says = self._absence_says(each)
        if each.article is None:
            return self._no_mark(each, says)
        if (each.of, RDF.type, GLOST.Source) in self._lists.belief.graph:
            return self._not_in_list(each, each.article, says)
        shapes = self._having.scope(each.of, each.after, each.before)
        found = self._had(each, each.article, shapes, How.ABSENT)
        beyond = self._not_placed(each, shapes)
        had = [one for one in found if one.speaking]
        lacking = [one for one in found if one.verdict == Verdict.NO]
        open_ = [one.shape for one in found if one not in had and one not in lacking]
        told, claims = [], in_order(c for one in (*had, *lacking) for c in one.claims)
        if had:
            told.append(f"had it: {self._names(one.shape for one in had)}")
        if lacking:
            told.append(f"had it not: {self._names(one.shape for one in lacking)}")
        deciding = []
        if any(not one.disputed for one in had):
            verdict = Verdict.NO
        elif had or (lacking and (open_ or beyond)):
            verdict = Verdict.POSSIBLY
        elif lacking:
            verdict = Verdict.YES
        else:
            verdict = Verdict.NOT_KNOWN
        if verdict in (Verdict.POSSIBLY, Verdict.NOT_KNOWN):
            if open_:
                deciding.append(f"a complete list of {self._names(open_)}")
            if beyond:
                deciding.append(f"when {self._names(beyond)} was brought in")
            deciding += [f"what sources that differ on {self._name(one.shape)} rest on"
                         for one in had if one.disputed]  # fmt: skip
        return Held(each, says, verdict, "; ".join(told), "; ".join(deciding), claims)

    def _absence_says(self, each: Absence) -> str:
        limits = [f"brought in after {self._names(each.after)}"] if each.after else []
        limits += [f"brought in before {self._names(each.before)}"] if each.before else []
        whole = each.of in self._lists.makers
        of = f"shape of {self._name(each.of)}" if whole else self._name(each.of)
        of = " ".join([of, *limits])
        if each.article is None:
            return f"no mark names {'any ' if whole else ''}{of}"
        return f"{'no ' if whole else ''}{of}: {'' if whole else 'no '}{self._what(each.article)}"

    def _not_placed(self, each: Absence, shapes: Sequence[URIRef]) -> list[URIRef]:
        """Return shapes that may be among those spoken of, and may not."""
        own = self._lists.makers.get(each.of, ())
        order = self._having.order
        return [
            shape
            for shape in own
            if shape not in shapes
            and shape not in (*each.after, *each.before)
            and not any(order.before(shape, one) for one in each.after)
            and not any(order.before(one, shape) for one in each.before)
        ]

    def _no_mark(self, each: Absence, says: str) -> Held:
        belief = self._lists.belief
        shapes = self._having.scope(each.of, each.after, each.before)
        found = [
            (mark, shape) for shape in shapes for mark in belief.having(GLOST.namesShape, shape)
        ]
        claims = in_order(c for m, s in found for c in belief.rests_on((m, GLOST.namesShape, s)))
        told = ", ".join(f"{self._name(mark)} names {self._name(shape)}" for mark, shape in found)
        if found:
            return Held(each, says, Verdict.NO, told, "", claims)
        return self._no_wording(each, says, shapes)

    def _no_wording(self, each: Absence, says: str, shapes: Sequence[URIRef]) -> Held:
        """Hold it against the words of the makers' marks, and those read on their pieces."""
        belief = self._lists.belief
        makers = {each: _makers(each, belief.graph) for each in shapes}
        found = [
            (bearer, shape, statement)
            for shape in shapes
            for bearer, statement in self._worded
            if makers[shape] & _makers(bearer, belief.graph)
            and _named_in(str(statement[2]), shape, belief.graph)
        ]
        if not found:
            return Held(each, says, Verdict.NOT_KNOWN, "", "", ())
        told = ", ".join(f"{self._name(b)} reads {s[2]}" for b, _, s in found)
        asked = ", ".join(dict.fromkeys(self._name(shape) for _, shape, _ in found))
        claims = in_order(c for _, _, statement in found for c in belief.rests_on(statement))
        return Held(each, says, Verdict.POSSIBLY, told, f"whether that names {asked}", claims)

    @cached_property
    def _worded(self) -> tuple[tuple[URIRef, Triple], ...]:
        """Marks and pieces that bear words, with the statement of the words."""
        graph = self._lists.belief.graph
        return tuple(
            (bearer, (bearer, verb, words))
            for verb in (GLOST.wording, GLOST.markRead)
            for bearer, _, words in sorted(graph.triples((None, verb, None)))
            if isinstance(bearer, URIRef)
        )

    def _not_in_list(self, each: Absence, article: Article, says: str) -> Held:
        found = [
            (one, offer)
            for one in self._lists.all
            if one.list == each.of
            for offer in one.offers
            if offer.article.form == article.form and article.size in ("", offer.article.size)
        ]
        of_list = [one for one in self._lists.all if one.list == each.of]
        if found:
            told = f"listed in {self._names(dict.fromkeys(one.shape for one, _ in found))}"
            claims = in_order(c for _, offer in found for c in offer.claims)
            return Held(each, says, Verdict.NO, told, "", claims)
        if any(one.complete == Complete.YES for one in of_list):
            claims = in_order(c for one in of_list for c in one.grounds)
            return Held(each, says, Verdict.YES, "the list is stated complete", "", claims)
        return Held(each, says, Verdict.NOT_KNOWN, "", "", ())

    # Superlatives

    def _superlative(self, each: Superlative) -> Held:
        says = f"{self._name(each.of)}: {each.best} {self._what(each.article)}"
        if each.best not in _ORDERED or each.article is None:
            return self._most(each, says)
        if each.of not in self._lists.shapes:
            return self._of_pottery(each, each.article, says)
        judge = Judge(
            self._having, self._words, ignoring=(How.BEST,), apart_from=_sources(each.claims)
        )
        fellows = self._lists.fellows(each.of)
        judged = judge.judge(each.best, None, fellows, each.article)
        own = next((one for one in judged if one.shape == each.of), None)
        if own is None:
            return self._not_had(each, each.article, fellows, says)
        return Held(each, says, own.verdict, own.because, own.deciding, own.claims)

    def _not_had(
        self, each: Superlative, article: Article, fellows: Sequence[URIRef], says: str
    ) -> Held:
        """Judge a superlative of a shape of which nothing else says that it had the article."""
        (own,) = self._had(each, article, (each.of,), How.BEST)
        if own.verdict == Verdict.NO:
            told = f"{self._name(each.of)} had it not"
            return Held(each, says, Verdict.NO, told, "", own.claims)
        others = self._had(each, article, fellows, How.BEST)
        against = [one for one in others if one.verdict == Verdict.YES and self._beats(each, one)]
        if against:
            told = f"had it: {self._names(one.shape for one in against)}"
            claims = in_order(c for one in against for c in one.claims)
            return Held(each, says, Verdict.NO, told, "", claims)
        return Held(each, says, Verdict.NOT_KNOWN, "", "", ())

    def _beats(self, each: Superlative, other: Had) -> bool:
        order = self._having.order
        if each.best == Best.ONLY:
            return True
        if each.best == Best.FIRST:
            return order.before(other.shape, each.of)
        return order.before(each.of, other.shape)

    def _of_pottery(self, each: Superlative, article: Article, says: str) -> Held:
        found = {
            pottery: self._had(each, article, shapes, How.BEST)
            for pottery, shapes in self._lists.makers.items()
        }
        own = [one for one in found.pop(each.of, []) if one.verdict == Verdict.YES]
        rest = found
        rivals = {p: [o for o in some if o.verdict == Verdict.YES] for p, some in rest.items()}
        rivals = {p: some for p, some in rivals.items() if some}
        unknown = [p for p, some in rest.items()
                   if p not in rivals and any(o.verdict != Verdict.NO for o in some)]  # fmt: skip
        beaten, open_ = [], []
        for pottery, some in rivals.items():
            if each.best == Best.ONLY or (own and self._ahead(each.best, some, own)):
                beaten.append(pottery)
            elif not (own and self._ahead(each.best, own, some)):
                open_.append(pottery)
        told = [f"had it: {self._names(rivals)}"] if rivals else []
        claims = in_order(c for some in (own, *rivals.values()) for one in some for c in one.claims)
        deciding = [f"whether {self._names(unknown)} had it"] if unknown else []
        deciding += [f"when the shapes of {self._names(open_)} were brought in"] if open_ else []
        if beaten:
            return Held(each, says, Verdict.NO, "; ".join(told), "", claims)
        if not own or not (
            rivals or any(o.verdict == Verdict.NO for s in rest.values() for o in s)
        ):
            return Held(each, says, Verdict.NOT_KNOWN, "; ".join(told), "", claims)
        lacking = in_order(
            c for some in rest.values() for o in some if o.verdict == Verdict.NO for c in o.claims
        )
        verdict = Verdict.POSSIBLY if unknown or open_ else Verdict.YES
        told.append(f"{self._name(each.of)} had it")
        return Held(
            each, says, verdict, "; ".join(told), "; ".join(deciding), in_order((*claims, *lacking))
        )

    def _ahead(self, best: Best, some: Sequence[Had], others: Sequence[Had]) -> bool:
        """Say whether one of some shapes was brought in before, or after, all others."""
        order = self._having.order
        return any(
            all(
                order.before(one.shape, other.shape)
                if best == Best.FIRST
                else order.before(other.shape, one.shape)
                for other in others
            )
            for one in some
        )

    def _most(self, each: Superlative, says: str) -> Held:
        """Judge which offered most or fewest, by the largest list of each."""
        form = each.article.form if each.article else None
        total = Total(each.iri, each.of, "articles", form, "", "", "", None, None,
                      False, None, None, ())  # fmt: skip
        shape = each.of in self._lists.shapes
        fellows = self._lists.fellows(each.of) if shape else self._lists.makers
        counts = {one: _largest(self._counter.counts(total, one, "")) for one in fellows}
        own = counts.pop(each.of, None)
        told = ", ".join(
            f"{self._name(one)} {count.number}"
            for one, count in [(each.of, own), *counts.items()]
            if count is not None
        )
        if own is None:
            return Held(each, says, Verdict.NOT_KNOWN, "", "", ())
        known = [count for count in counts.values() if count is not None]
        claims = in_order(c for count in (own, *known) for c in count.claims)
        sign = 1 if each.best == Best.MOST else -1
        ruled_out = any(
            sign * count.number > sign * own.number
            and (own.whole if each.best == Best.MOST else count.whole)
            for count in known
        )
        settled = len(known) == len(counts) and all(c.whole for c in (own, *known))
        if ruled_out:
            return Held(each, says, Verdict.NO, told, "", claims, counted=True)
        if settled and all(sign * count.number < sign * own.number for count in known):
            return Held(each, says, Verdict.YES, told, "", claims, counted=True)
        rest = [one for one, count in [(each.of, own), *counts.items()]
                if count is None or not count.whole]  # fmt: skip
        deciding = f"a complete list of {self._names(rest)}" if rest else "which counts as more"
        return Held(each, says, Verdict.POSSIBLY, told, deciding, claims, counted=True)

    # Totals

    def _total(self, each: Total) -> Held:
        one = self._counter.counts(each, each.of, each.date)
        other = self._counter.counts(each, each.than, each.than_date) if each.than else ()
        verdict = meets(each, one, other)
        told = []
        for name, counts in ((each.of, one), (each.than, other)):
            if name is not None and counts:
                numbers = " or ".join(dict.fromkeys(str(count.number) for count in counts))
                told.append(f"lists of {self._name(name)} show {numbers}")
        claims = in_order(c for count in (*one, *other) for c in count.claims)
        deciding = "a complete list" if verdict == Verdict.POSSIBLY else ""
        says = self._total_says(each)
        return Held(each, says, verdict, "; ".join(told), deciding, claims, counted=True)

    def _total_says(self, each: Total) -> str:
        about = "about " if each.about else ""
        what = self._name(each.form) + " " if each.form else f"{each.ware} " if each.ware else ""
        when = f" ({each.date})" if each.date else ""
        if each.proportion is not None and each.than is not None:
            then = f" ({each.than_date})" if each.than_date else ""
            number = f"{about}{each.proportion} of the {what}{each.counted} of "
            return f"{self._name(each.of)}{when}: {number}{self._name(each.than)}{then}"
        number = f"{each.least}" if each.least == each.most else f"{each.least} to {each.most}"
        return f"{self._name(each.of)}{when}: {about}{number} {what}{each.counted}"


def _sources(claims: Iterable[Claim]) -> frozenset[URIRef]:
    return frozenset(claim.passage.source for claim in claims)


def _makers(thing: URIRef, graph: Graph) -> set[Node]:
    """Return the potteries that made a shape or piece, or used a mark."""
    makers = {*graph.objects(thing, GLOST.madeBy), *graph.objects(thing, GLOST.usedBy)}
    shapes = graph.objects(thing, GLOST.ofShape)
    return makers or {maker for shape in shapes for maker in graph.objects(shape, GLOST.madeBy)}


def _named_in(words: str, shape: URIRef, graph: Graph) -> bool:
    """Say whether a name of a shape stands among some words, whatever the case."""
    names = (*graph.objects(shape, RDFS.label), *graph.objects(shape, SKOS.altLabel))
    return any(name and f" {name} " in f" {fold(words)} " for name in map(fold, map(str, names)))


def _largest(counts: Sequence[ArticleCount]) -> ArticleCount | None:
    """Return the largest count of one list: the last is of all together, where there are more."""
    alone = counts[:-1] if counts[1:] else counts
    return max(alone, key=lambda count: (count.number, count.whole), default=None)


def disagreements(holding: Holding) -> Iterator[Held]:
    """Yield the statements that something else on record rules out."""
    return (held for held in holding.all if held.verdict == Verdict.NO)
