"""The command ``glost terms``."""

from pathlib import Path

import click

from glost.record.files import SETTINGS
from glost.record.glossary import Term, TermList, choose, published_lists, term_lists
from glost.report.results import plain
from glost.report.tree import Column, together
from glost_cli import options, printing
from glost_cli.group import KEEP

PART = KEEP

_COLUMNS = ("term", "name", "other names", "counts as", "meaning", "own")
_GROUND = "The list of terms, and what the collection adds to it"


@click.command()
@click.argument("lists", nargs=-1, metavar="[LIST]...")
@options.collection
@options.report
def terms(lists: tuple[str, ...], folder: Path, form: str) -> None:
    """Print lists of terms that cells choose from, with what each term means.

    Without LIST, says which lists there are and in which columns their terms stand. LIST is a list
    by name (forms, roles, relations), or a word of several (kinds). Terms that the collection has
    of its own are marked; outside a collection only the published ones are printed.

    \b
    Examples:
      glost terms forms
      glost terms kiln-kind source-kind --as csv
    """
    found = _term_lists(folder)
    if not lists:
        listed = [(e.id, e.title, len(e.terms), ", ".join(e.columns)) for e in found]
        names = ("list", "title", Column("terms", "terms", "number"), "stands in")
        lists_told = plain.table("Lists of terms", names, listed, _GROUND)
        printing.report(lists_told, form, folder, table="table")
        return
    chosen = tuple(dict.fromkeys(each for name in lists for each in choose(found, name)))
    columns = (Column("list", "", aside=True), *_COLUMNS)
    made = [
        plain.table(
            f"{each.title}: {each.definition}",
            columns,
            [(each.id, *_cells(term)) for term in each.terms],
            _GROUND,
        )
        for each in chosen
    ]
    whole = made[0] if len(made) == 1 else together(made, "Lists of terms")
    printing.report(whole, form, folder, table="table")


def _term_lists(folder: Path) -> tuple[TermList, ...]:
    if not (folder / SETTINGS).exists():
        return published_lists()
    with options.snapshot(folder) as snapshot:
        return term_lists(snapshot.record.schemes, snapshot.belief.graph)


def _cells(term: Term) -> tuple[str, ...]:
    others, wider = ", ".join(term.others), ", ".join(term.broader)
    meaning = " ".join(filter(None, (term.definition, term.note)))
    if term.drawing:
        meaning = f"{meaning}\n{term.drawing}"
    return term.id, term.name, others, wider, meaning, "own" if term.own else ""
