"""The command ``glost assortment``."""

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from pathlib import Path

import click
from rdflib import URIRef
from rich.text import Text

from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.record.errors import RecordError, RecordErrors
from glost.trade.assortments.compare import ComparedSide, Comparison, Standing, compare
from glost.trade.assortments.counts import read_count
from glost.trade.assortments.forms import WareClass
from glost.trade.assortments.judging import Judgement
from glost.trade.assortments.lists import Lists
from glost.trade.assortments.matrix import Matrix, MatrixColumn, by_lists, by_shapes
from glost.trade.assortments.report import AssortmentReport, Sizes, assortment_report, claims_of
from glost.verdicts import Verdict
from glost.words.labels import label
from glost_cli import comparing, options, printing
from glost_cli.group import RECKON
from glost_cli.meaning import Meant, group_meant, meant

PART = RECKON


@click.command()
@click.argument("shape")
@options.collection
@options.as_of
@options.form
@click.option("--catalogue", metavar="LIST", help="Look at this list only.")
@click.option("--against", metavar="OTHER", help="Compare with another shape, or with a list.")
@click.option("--by-form", is_flag=True, help="Take articles of one form as one, of any size.")
@click.option(
    "--matrix",
    type=click.Choice(["lists", "shapes"]),
    help="Print articles by the lists of SHAPE, or by the shapes of its pottery.",
)
@click.option("--evidence", is_flag=True, help="Print the claims under each line.")
def assortment(
    shape: str,
    folder: Path,
    as_of: date | None,
    form: str,
    catalogue: str | None,
    against: str | None,
    by_form: bool,
    matrix: str | None,
    evidence: bool,
) -> None:
    """Say what lists offered in SHAPE: how much, in which sizes, and what came and went.

    SHAPE may be a group of shapes, which stands for its members, one after another or, in the
    matrix by shapes, side by side. OTHER is another shape, a group of shapes, each of which is
    compared, or a list that offers SHAPE too.
    Trade sizes, potter's counts and measured sizes are kept apart. An article is lost, gained or
    absent only by a list stated complete, no source saying otherwise; else it is not seen.
    --as csv gives a row for each article and list, or with --against for each article.

    \b
    Examples:
      glost assortment alder
      glost assortment alder --against vellacott --by-form
      glost assortment alder --matrix lists --as csv
    """
    if against and matrix:
        raise click.UsageError("ask for --against or for --matrix, not for both")
    with options.snapshot(folder, as_of) as snapshot:
        asked = meant(snapshot, shape, "shape")
        lists = snapshot.lists
        other = group_meant(snapshot, against or "")
        for each in (asked, other):
            if form == "table" and each is not None:
                each.print_heading(snapshot)
        only = _list_of(snapshot, lists, asked.things, catalogue) if catalogue else None
        if against and (asked.group or other):
            names = [str(each) for each in other.things] if other else [_plain(snapshot, against)]
            found = _pairs(snapshot, lists, asked.things, only, names, by_form)
            comparing.each_compared(snapshot, found, form, evidence)
        elif against:
            pair = _pair(snapshot, lists, asked.things[0], only, against, by_form)
            comparing.compared(snapshot, pair, form, evidence)
        elif matrix or form == "csv":
            _matrix(snapshot, lists, asked, matrix or "lists", form, by_form, only)
        else:
            reports = [
                assortment_report(snapshot.having, snapshot.words, each, only)
                for each in asked.things
            ]
            if form == "json":
                asked.print_json(snapshot, [report.as_dict() for report in reports])
                return
            for report in reports:
                _print_report(report, snapshot, evidence)


def _list_of(snapshot: Snapshot, lists: Lists, shapes: Sequence[URIRef], name: str) -> URIRef:
    """Find a list that offers some of the shapes."""
    source = find_thing(snapshot.record, name, "source")
    offering = [each for shape in shapes for each in lists.of(shape)]
    if not any(each.list == source for each in offering):
        known = dict.fromkeys(str(each.list).rsplit("/", 1)[-1] for each in offering)
        remedy = f"lists that do: {', '.join(known)}" if known else "no list does"
        names = " or ".join(label(shape, snapshot.words) for shape in shapes)
        message = f"{label(source, snapshot.words)} offers nothing in {names}"
        raise RecordErrors([RecordError(str(snapshot.path), message, remedy)])
    return source


def _pair(
    snapshot: Snapshot,
    lists: Lists,
    shape: URIRef,
    only: URIRef | None,
    against: str,
    by_form: bool,
) -> Comparison:
    kind = "shape" if _is_shape(snapshot, against) else "source"
    mine = tuple(each for each in lists.of(shape) if only in (None, each.list))
    if kind == "source":
        source = _list_of(snapshot, lists, (shape,), against)
        other, theirs = shape, tuple(each for each in lists.of(shape) if each.list == source)
        if only is None:
            mine = tuple(each for each in mine if each.list != source)
    else:
        other = find_thing(snapshot.record, against, "shape")
        both = tuple(each for each in lists.of(other) if only and each.list == only)
        theirs = both or lists.of(other)
    for side, of in ((mine, shape), (theirs, other)):
        if not side:
            raise RecordErrors([_nothing(snapshot, lists, of)])
    return compare(ComparedSide(shape, mine, by_form), ComparedSide(other, theirs, by_form), lists)


def _plain(snapshot: Snapshot, name: str) -> str:
    """Return the IRI of the shape that a name means; of a list the name."""
    return str(find_thing(snapshot.record, name, "shape")) if _is_shape(snapshot, name) else name


def _pairs(
    snapshot: Snapshot,
    lists: Lists,
    shapes: Sequence[URIRef],
    only: URIRef | None,
    others: Sequence[str],
    by_form: bool,
) -> list[Comparison]:
    """Compare each of some shapes with each of others; those without lists are told as errors."""
    found: list[Comparison] = []
    errors: list[RecordError] = []
    for shape in shapes:
        for other in others:
            if other == str(shape):
                continue
            try:
                found.append(_pair(snapshot, lists, shape, only, other, by_form))
            except RecordErrors as failed:
                errors += failed.errors
    if not found:
        raise RecordErrors(list(dict.fromkeys(errors)))
    for message in dict.fromkeys(str(error) for error in errors):
        click.echo(f"Left out: {message}", err=True)
    return found


def _nothing(snapshot: Snapshot, lists: Lists, shape: URIRef) -> RecordError:
    """Say why there is nothing of a shape to compare."""
    name = label(shape, snapshot.words)
    if lists.of(shape):
        (one,) = {each.list for each in lists.of(shape)}
        message = f"{name} is on record in one list alone, {label(one, snapshot.words)}"
        remedy = "there is no other list of it to compare with; compare it with another shape"
    else:
        message = f"no list on record offers anything in {name}"
        remedy = "there is nothing to compare; glost show tells what else is known of it"
    return RecordError(str(snapshot.path), message, remedy)


def _is_shape(snapshot: Snapshot, name: str) -> bool:
    try:
        find_thing(snapshot.record, name, "shape")
    except RecordErrors:
        return name not in snapshot.record.ids.get("source", ()) and not name.startswith("source/")
    return True


def _changed(value: Fraction | None) -> str:
    return (
        f"grew {comparing.per_cent(-value)}"
        if value is not None and value < 0
        else comparing.per_cent(value)
    )


def _matrix(
    snapshot: Snapshot,
    lists: Lists,
    asked: Meant,
    kind: str,
    form: str,
    by_form: bool,
    only: URIRef | None,
) -> None:
    if kind == "lists":
        made = [by_lists(lists, shape, by_form=by_form) for shape in asked.things]
    else:
        shapes = asked.things if asked.group else lists.fellows(asked.things[0])
        made = [by_shapes(lists, shapes, by_form=by_form, absent=snapshot.having.denying)]
    parts = [(m, [c for c in m.columns if only is None or c.list in (None, only)]) for m in made]
    if form != "table":
        _long(snapshot, lists, parts, form)
        return
    for place, (found, columns) in enumerate(parts):
        if place:
            click.echo()
        heads = [_head(snapshot, column) for column in columns]
        rows = [
            [
                comparing.named(snapshot, a),
                *(str(found.cells[a, c].status) for c in columns),
            ]
            for a in found.articles
        ]
        named = asked.group and kind == "lists"
        title = label(asked.things[place], snapshot.words) if named else ""
        printing.table(["article", *heads], rows, title)


def _head(snapshot: Snapshot, column: MatrixColumn) -> str:
    if column.list is None:
        return label(column.shape, snapshot.words)
    return f"{str(column.list).rsplit('/', 1)[-1]} {column.years}".strip()


def _long(
    snapshot: Snapshot,
    lists: Lists,
    parts: Sequence[tuple[Matrix, Sequence[MatrixColumn]]],
    form: str,
) -> None:
    names = ["form", "class", "trade_size", "variant", "shape", "list", "years", "status", "claims"]
    rows = [
        [
            label(article.form, snapshot.words),
            str(lists.forms.class_of(article.form)),
            article.size,
            article.variant,
            label(column.shape, snapshot.words),
            label(column.list, snapshot.words) if column.list else "",
            column.years,
            str(found.cells[article, column].status),
            " ".join(str(claim.iri) for claim in found.cells[article, column].claims),
        ]
        for found, columns in parts
        for article in found.articles
        for column in columns
    ]
    printing.result(form, names, rows)


def _print_report(report: AssortmentReport, snapshot: Snapshot, evidence: bool) -> None:
    printing.console().print(Text(report.name, style="bold"))
    printing.console().print(Text(f"{report.shape}\n", style="dim"))
    if not report.assortments:
        click.echo("No list on record offers anything in it.")
        return
    classes = [w for w in WareClass if any(counts[w] for counts in report.classes)]
    rows = [
        [
            label(each.list, snapshot.words),
            each.years,
            str(each.complete),
            str(len(each.articles)),
            str(len(each.offers)),
            *(str(counts[ware]) for ware in classes),
        ]
        for each, counts in zip(report.assortments, report.classes, strict=True)
    ]
    columns = ["list", "year", "stated complete", "articles", "items", *map(str, classes)]
    printing.table(columns, rows, "What lists offered")
    _print_changes(report, snapshot)
    click.echo()
    columns = [
        "form", "class", "trade sizes", "counts", "measured", "lists", "first line", "last line",
    ]  # fmt: skip
    total = len(report.assortments)
    forms = [_form(snapshot, each, total) for each in report.sizes]
    printing.table(columns, forms, "In which forms and sizes")
    if any(each.alone for each in report.sizes):
        click.echo("** No other shape of the pottery had it, by complete lists or statements;")
        click.echo(" * none is known to have had it. Lines go by when they were brought in;")
        click.echo(" ? marks what is not certain: glost ask first-to-offer gives the reasons.")
    if any(each.counts for each in report.sizes):
        click.echo("Of 36s, 36 pieces go to the potter's dozen.")
    if evidence:
        for one in report.assortments:
            heading = f"\n{label(one.list, snapshot.words)}"
            printing.console().print(Text(heading, style="bold"))
            printing.support(claims_of(one), snapshot.words)


def _print_changes(report: AssortmentReport, snapshot: Snapshot) -> None:
    for title, changes in (
        ("From each list to the next", report.changes),
        ("From the line before, all lists of either taken together", report.before),
    ):
        if changes:
            click.echo()
            _print_steps(title, changes, snapshot)


def _print_steps(title: str, changes: Sequence[Comparison], snapshot: Snapshot) -> None:
    rows = [
        [
            _named(snapshot, change, change.first),
            _named(snapshot, change, change.second),
            *(str(change.count(standing) or "") for standing in Standing),
            _changed(change.reduction),
            "yes" if change.comparable else "no",
        ]
        for change in changes
    ]
    columns = ["from", "to", *map(str, Standing), "reduction", "both complete"]
    printing.table(columns, rows, title)


def _named(snapshot: Snapshot, change: Comparison, side: ComparedSide) -> str:
    """Name a side by its list if the two are of one shape, else by its shape."""
    if change.first.shape == change.second.shape:
        return label(side.assortments[0].list, snapshot.words)
    return label(side.shape, snapshot.words)


def _form(snapshot: Snapshot, each: Sizes, total: int) -> list[str]:
    star = "" if each.alone is None else "**" if each.alone.verdict == Verdict.YES else "*"
    counts = [text if read_count(text) else f"{text} (?)" for text in each.counts]
    return [
        f"{label(each.form, snapshot.words)}{star}",
        str(each.ware),
        ", ".join(each.trade),
        ", ".join(counts),
        ", ".join(each.measured),
        f"{len(each.offered)} of {total}",
        _lines(snapshot, each.first),
        _lines(snapshot, each.last),
    ]


def _lines(snapshot: Snapshot, found: tuple[Judgement, ...]) -> str:
    return " or ".join(
        f"{label(one.shape, snapshot.words)}{'' if one.verdict == Verdict.YES else '?'}"
        for one in found
    )
