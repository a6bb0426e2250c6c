"""The command ``glost terms``."""

from pathlib import Path

import click

from glost.record.files import SETTINGS
from glost.record.glossary import Term, TermList, choose, term_lists
from glost_cli import options, printing
from glost_cli.group import KEEP

PART = KEEP


@click.command()
@click.argument("lists", nargs=-1, metavar="[LIST]...")
@options.collection
@options.form
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
        told = [(e.id, e.title, str(len(e.terms)), ", ".join(e.columns)) for e in found]
        printing.result(form, ["list", "title", "terms", "stands in"], told)
        return
    chosen = tuple(dict.fromkeys(each for name in lists for each in choose(found, name)))
    if form == "json":
        printing.as_json(chosen)
        return
    columns = ["term", "name", "other names", "counts as", "meaning", "own"]
    if form == "csv":
        printing.as_csv(["list", *columns], [(e.id, *_cells(t)) for e in chosen for t in e.terms])
        return
    for each in chosen:
        click.echo(f"{each.title}: {each.definition}\n")
        printing.table(columns, [_cells(term) for term in each.terms])
        click.echo()


def _term_lists(folder: Path) -> tuple[TermList, ...]:
    if not (folder / SETTINGS).exists():
        return term_lists()
    with options.snapshot(folder) as snapshot:
        return term_lists(snapshot.record.schemes, snapshot.belief.graph)


def _cells(term: Term) -> tuple[str, ...]:
    others, wider = ", ".join(term.others), ", ".join(term.broader)
    meaning = " ".join(filter(None, (term.definition, term.note)))
    if term.drawing:
        meaning = f"{meaning}\n{term.drawing}"
    return term.id, term.name, others, wider, meaning, "own" if term.own else ""
