"""What lists offered in one shape, from first to last."""

from collections.abc import Iterable
from dataclasses import dataclass

from rdflib import URIRef

from glost.record.claims import Claim, in_order
from glost.trade.assortments.compare import ComparedSide, Comparison, compare
from glost.trade.assortments.forms import WareClass
from glost.trade.assortments.having import Having
from glost.trade.assortments.judging import Judge, Judgement
from glost.trade.assortments.lines import lines_before
from glost.trade.assortments.lists import Article, Assortment, Offer, by_figure, steps
from glost.trade.assortments.stated import Best
from glost.verdicts import Verdict
from glost.words.labels import Words, label


@dataclass(frozen=True, slots=True)
class Sizes:
    """In which sizes a form was offered; the three kinds of size kept apart.

    Attributes
    ----------
    form
        The form.
    ware
        Its class.
    trade, counts, measured
        Trade sizes, potter's counts and measured sizes as written.
    offered
        The lists that offer it.
    first, last
        The shapes of the pottery that were or may have been the first, and the last, to have it.
    alone
        Whether the shape was the only one of the pottery to have it; None if it was not.
    claims
        The claims that it is offered.
    """

    form: URIRef
    ware: WareClass
    trade: tuple[str, ...]
    counts: tuple[str, ...]
    measured: tuple[str, ...]
    offered: tuple[Assortment, ...]
    first: tuple[Judgement, ...]
    last: tuple[Judgement, ...]
    alone: Judgement | None
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class AssortmentResult:
    """What lists offered in a shape.

    Attributes
    ----------
    shape, name
        The shape, and what it is called.
    assortments
        Each list's assortment, as far as is known in the order of issue.
    classes
        For each of them, how many articles of each class.
    changes
        Each list against the next that is certainly later.
    before
        The line listed before it, or several that may be, each with all its lists against all of
        these.
    sizes
        The forms offered, with their sizes.
    """

    shape: URIRef
    name: str
    assortments: tuple[Assortment, ...]
    classes: tuple[dict[WareClass, int], ...]
    changes: tuple[Comparison, ...]
    before: tuple[Comparison, ...]
    sizes: tuple[Sizes, ...]


def claims_of(each: Assortment) -> tuple[Claim, ...]:
    """Return the claims under an assortment: its items, its date, its completeness."""
    return in_order([*(c for offer in each.offers for c in offer.claims), *each.grounds])


def assortment_result(
    having: Having, graph: Words, shape: URIRef, only: URIRef | None = None
) -> AssortmentResult:
    """Gather what lists offered in a shape.

    Parameters
    ----------
    having
        Which shape had what, with every list.
    graph
        What things are called.
    shape
        The shape.
    only
        The one list to look at; None for all.
    """
    lists = having.lists
    found = tuple(each for each in lists.of(shape) if only is None or each.list == only)
    return AssortmentResult(
        shape,
        label(shape, graph),
        found,
        tuple(lists.forms.counted(article.form for article in each.articles) for each in found),
        tuple(
            compare(ComparedSide(shape, (before,)), ComparedSide(shape, (after,)), lists)
            for before, after in steps(found)
        ),
        tuple(
            compare(ComparedSide(other, lists.of(other)), ComparedSide(shape, found), lists)
            for other in lines_before(lists, shape)
        )
        if found
        else (),
        _all_sizes(having, graph, shape, found),
    )


def _all_sizes(
    having: Having, graph: Words, shape: URIRef, found: tuple[Assortment, ...]
) -> tuple[Sizes, ...]:
    lists = having.lists
    fellows = lists.fellows(shape)
    judge = Judge(having, graph)

    def judged(best: Best, form: URIRef) -> tuple[Judgement, ...]:
        found = judge.judge(best, None, fellows, Article(form))
        return tuple(each for each in found if each.verdict != Verdict.NO)

    def alone(form: URIRef) -> Judgement | None:
        own = (each for each in judged(Best.ONLY, form) if each.shape == shape)
        return next(own, None) if fellows[1:] else None

    offers: dict[URIRef, list[Offer]] = {}
    for each in found:
        for offer in each.offers:
            offers.setdefault(offer.article.form, []).append(offer)
    return tuple(
        Sizes(
            form,
            lists.forms.class_of(form),
            _texts([o.trade] for o in given),
            _texts(o.counts for o in given),
            _texts(o.measured for o in given),
            tuple(a for a in found if any(o.article.form == form for o in a.offers)),
            judged(Best.FIRST, form),
            judged(Best.LAST, form),
            alone(form),
            in_order(c for o in given for c in o.claims),
        )
        for form, given in sorted(offers.items())
    )


def _texts(given: Iterable[Iterable[str]]) -> tuple[str, ...]:
    return tuple(sorted({text for texts in given for text in texts if text}, key=by_figure))
