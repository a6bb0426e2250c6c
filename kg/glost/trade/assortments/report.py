"""What lists offered in one shape, from first to last."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from rdflib import Graph, URIRef

from glost.record.claims import Claim, in_order
from glost.record.wording import label
from glost.trade.assortments.compare import Comparison, Side, compare
from glost.trade.assortments.counts import read_count
from glost.trade.assortments.forms import WareClass
from glost.trade.assortments.lines import (
    FirstLast,
    Peculiar,
    first_and_last,
    lines_before,
    peculiar,
)
from glost.trade.assortments.lists import Article, Assortment, Lists, Offer, by_figure, steps


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
    history
        The first and the last line of the pottery to have it.
    alone
        Set if no other shape of the pottery is known to have had it.
    claims
        The claims that it is offered.
    """

    form: URIRef
    ware: WareClass
    trade: tuple[str, ...]
    counts: tuple[str, ...]
    measured: tuple[str, ...]
    offered: tuple[Assortment, ...]
    history: FirstLast
    alone: Peculiar | None
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class AssortmentReport:
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

    def as_dict(self) -> dict[str, Any]:
        """Return it as plain values, for JSON."""
        return {
            "shape": str(self.shape),
            "name": self.name,
            "lists": [
                _list(each, counts)
                for each, counts in zip(self.assortments, self.classes, strict=True)
            ],
            "changes": [change.as_dict() for change in self.changes],
            "from_the_line_before": [change.as_dict() for change in self.before],
            "forms": [_sizes(each) for each in self.sizes],
        }


def _list(each: Assortment, counts: dict[WareClass, int]) -> dict[str, Any]:
    return {
        "list": str(each.list),
        "years": each.years,
        "stated_complete": str(each.complete),
        "articles": len(each.articles),
        "items": len(each.offers),
        "by_class": {str(ware): count for ware, count in counts.items()},
        "claims": [str(claim.iri) for claim in claims_of(each)],
    }


def _sizes(each: Sizes) -> dict[str, Any]:
    alone = each.alone
    return {
        "form": str(each.form),
        "class": str(each.ware),
        "trade_sizes": list(each.trade),
        "counts": [
            {"count": text, "pieces_to_the_dozen": read_count(text)} for text in each.counts
        ],
        "measured": list(each.measured),
        "lists": [str(one.list) for one in each.offered],
        "first_line": [str(one.shape) for one in each.history.first],
        "last_line": [str(one.shape) for one in each.history.last],
        "only_here": alone is not None,
        "others_without_complete_list": [str(shape) for shape in alone.unsure] if alone else [],
        "claims": [str(claim.iri) for claim in each.claims],
    }


def claims_of(each: Assortment) -> tuple[Claim, ...]:
    """Return the claims under an assortment: its items, its date, its completeness."""
    return in_order([*(c for offer in each.offers for c in offer.claims), *each.grounds])


def assortment_report(
    lists: Lists, graph: Graph, shape: URIRef, only: URIRef | None = None
) -> AssortmentReport:
    """Gather what lists offered in a shape.

    Parameters
    ----------
    lists
        Every list.
    graph
        What is believed with the vocabulary, for wording.
    shape
        The shape.
    only
        The one list to look at; None for all.
    """
    found = tuple(each for each in lists.of(shape) if only is None or each.list == only)
    return AssortmentReport(
        shape,
        label(shape, graph),
        found,
        tuple(lists.forms.counted(article.form for article in each.articles) for each in found),
        tuple(
            compare(Side(shape, (before,)), Side(shape, (after,)), lists)
            for before, after in steps(found)
        ),
        tuple(
            compare(Side(other, lists.of(other)), Side(shape, found), lists)
            for other in lines_before(lists, shape)
        )
        if found
        else (),
        _all_sizes(lists, shape, found),
    )


def _all_sizes(lists: Lists, shape: URIRef, found: tuple[Assortment, ...]) -> tuple[Sizes, ...]:
    fellows = lists.fellows(shape)
    history = {each.article: each for each in first_and_last(lists, fellows, by_form=True)}
    alone = {p.form: p for p in peculiar(lists, fellows) if p.shape == shape} if fellows[1:] else {}
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
            history[Article(form)],
            alone.get(form),
            in_order(c for o in given for c in o.claims),
        )
        for form, given in sorted(offers.items())
    )


def _texts(given: Iterable[Iterable[str]]) -> tuple[str, ...]:
    return tuple(sorted({text for texts in given for text in texts if text}, key=by_figure))
