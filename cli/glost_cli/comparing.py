"""Two assortments set side by side, as they are printed."""

from collections.abc import Iterable, Sequence
from fractions import Fraction

import click
from rich.text import Text

from glost.answer.snapshot import Snapshot
from glost.trade.assortments.compare import ComparedSide, Comparison, Standing
from glost.trade.assortments.lists import Article
from glost.words.labels import label
from glost_cli import printing


def named(snapshot: Snapshot, article: Article) -> str:
    """Name an article by its form, trade size and variant."""
    return f"{label(article.form, snapshot.words)} {article.which}".strip()


def per_cent(value: Fraction | None) -> str:
    """Write a number of per cent; nothing for None."""
    return "" if value is None else f"{float(value):.1f} %"


def compared(snapshot: Snapshot, found: Comparison, form: str, evidence: bool) -> None:
    """Print a comparison in the form asked for."""
    if form == "json":
        printing.as_json(found.as_dict())
        return
    if form == "csv":
        printing.as_csv(_CSV, _cited(snapshot, found))
        return
    for name, side in (("first", found.first), ("second", found.second)):
        click.echo(f"The {name}: {_told(snapshot, side)}")
    click.echo()
    printing.table(_COLUMNS, _rows(snapshot, found))
    click.echo("\n" + "\n".join(_sums(found)))
    if found.sharing:
        click.echo("The two shapes are said to share flatware:")
        printing.support(found.sharing, snapshot.words)
    if evidence:
        for change in found.changes:
            article = named(snapshot, change.article)
            printing.console().print(Text(f"\n{article}: {change.standing}", style="bold"))
            printing.support(change.claims, snapshot.words)


def each_compared(
    snapshot: Snapshot, found: Sequence[Comparison], form: str, evidence: bool
) -> None:
    """Print several comparisons in the form asked for, each with the shapes it compares."""
    if form == "json":
        printing.as_json([each.as_dict() for each in found])
    elif form == "csv":
        rows = [
            [
                label(each.first.shape, snapshot.words),
                label(each.second.shape, snapshot.words),
                *row,
            ]
            for each in found
            for row in _cited(snapshot, each)
        ]
        printing.as_csv(["first", "second", *_CSV], rows)
    else:
        for place, each in enumerate(found):
            if place:
                click.echo()
            compared(snapshot, each, form, evidence)


_COLUMNS = ["form", "trade size", "variant", "standing", "remark"]
_CSV = ["form", "trade_size", "variant", "standing", "remark", "claims"]


def _rows(snapshot: Snapshot, found: Comparison) -> list[list[str]]:
    return [
        [
            label(change.article.form, snapshot.words),
            change.article.size,
            change.article.variant,
            str(change.standing),
            change.remark,
        ]
        for change in found.changes
    ]


def _cited(snapshot: Snapshot, found: Comparison) -> list[list[str]]:
    claims = [" ".join(str(c.iri) for c in change.claims) for change in found.changes]
    return [[*row, cited] for row, cited in zip(_rows(snapshot, found), claims, strict=True)]


def _told(snapshot: Snapshot, side: ComparedSide) -> str:
    names = [
        f"{label(each.list, snapshot.words)} ({each.years or 'undated'}, stated complete: "
        f"{each.complete})"
        for each in side.assortments
    ]
    of = "forms" if side.by_form else "articles"
    return f"{label(side.shape, snapshot.words)}, {len(side.articles)} {of} in {'; '.join(names)}"


def _sums(found: Comparison) -> Iterable[str]:
    counts = [f"{found.count(s)} {s}" for s in Standing if found.count(s)]
    yield f"{'; '.join(counts)}."
    jaccard = "" if found.jaccard is None else f"{float(found.jaccard):.3f}"
    yield (
        f"In both: {per_cent(found.share_of_first)} of the first, "
        f"{per_cent(found.share_of_second)} of the second; {jaccard} of all (Jaccard)."
    )
    sure = "each has a list stated complete" if found.comparable else "as far as these lists show"
    if found.reduction is not None:
        way = "smaller" if found.reduction >= 0 else "larger"
        yield f"The second is {per_cent(abs(found.reduction))} {way}; {sure}."
