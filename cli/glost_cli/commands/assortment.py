"""The command ``glost assortment``."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import click
from rdflib import URIRef

from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.record.errors import RecordError, RecordErrors
from glost.report.results import assortment as results
from glost.report.things import Kept
from glost.report.things.said import Said
from glost.report.tree import Report
from glost.trade.assortments.compare import ComparedSide, Comparison, compare
from glost.trade.assortments.lists import Lists
from glost.trade.assortments.matrix import by_lists, by_shapes
from glost.trade.assortments.shape import assortment_result
from glost.words.labels import label
from glost_cli import options, printing
from glost_cli.group import RECKON
from glost_cli.meaning import Meant, group_meant, meant

PART = RECKON


@click.command()
@click.argument("shape")
@options.collection
@options.as_of
@options.report
@click.option("--catalogue", metavar="LIST", help="Look at this list only.")
@click.option("--against", metavar="OTHER", help="Compare with another shape, or with a list.")
@click.option("--by-form", is_flag=True, help="Take articles of one form as one, of any size.")
@click.option(
    "--matrix",
    type=click.Choice(["lists", "shapes"]),
    help="Print articles by the lists of SHAPE, or by the shapes of its pottery.",
)
@options.evidence
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
        lists, said = snapshot.lists, Said(Kept(snapshot), evidence)
        other = group_meant(snapshot, against or "")
        only = _list_of(snapshot, lists, asked.things, catalogue) if catalogue else None
        if against and (asked.group or other):
            names = [str(each) for each in other.things] if other else [_plain(snapshot, against)]
            found = _pairs(snapshot, lists, asked.things, only, names, by_form)
            group = asked if asked.group else other or asked
            made = group.report(snapshot, said, [results.compared(each, said) for each in found])
        elif against:
            pair = _pair(snapshot, lists, asked.things[0], only, against, by_form)
            made = results.compared(pair, said)
        elif matrix or form == "csv":
            made = _matrix(snapshot, lists, asked, matrix or "lists", form, by_form, only, said)
        else:
            told = [assortment_result(snapshot.having, snapshot.words, each, only)
                    for each in asked.things]  # fmt: skip
            made = asked.report(snapshot, said, [results.told(each, said) for each in told])
    table = "articles" if against else "matrix"
    printing.report(made, form, folder, evidence, table)


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


def _matrix(
    snapshot: Snapshot,
    lists: Lists,
    asked: Meant,
    kind: str,
    form: str,
    by_form: bool,
    only: URIRef | None,
    said: Said,
) -> Report:
    if kind == "lists":
        made = [by_lists(lists, shape, by_form=by_form) for shape in asked.things]
    else:
        shapes = asked.things if asked.group else lists.fellows(asked.things[0])
        made = [by_shapes(lists, shapes, by_form=by_form, absent=snapshot.having.denying)]
    parts = [(m, [c for c in m.columns if only is None or c.list in (None, only)]) for m in made]
    if form in ("csv", "json"):
        return results.cells(parts, lists, said)
    named = asked.things if asked.group and kind == "lists" else ()
    names = [said.ref(each).text for each in named] or [""]
    found = results.matrix(parts, names, said)
    return asked.report(snapshot, said, [found])
