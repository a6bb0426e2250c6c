"""Commands that start a collection and look it over."""

from collections import Counter
from datetime import date
from pathlib import Path

import click

from glost.answer.ahead import build_ahead
from glost.answer.holdings import holdings
from glost.findings import Finding, Severity
from glost.record.files import SETTINGS
from glost.record.glossary import Term, TermList, choose, term_lists
from glost.record.starting import begin as begin_collection
from glost_cli import options, printing

_RANK = [Severity.CONTRADICTION, Severity.WARNING, Severity.NOTE]


@click.command()
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@click.option("--title", default="A collection", show_default=True, help="What it is called.")
@click.option(
    "--base",
    default="https://example.org/collection/",
    show_default=True,
    help="Web address of your own that begins every identifier; ends in /.",
)
def begin(folder: Path, title: str, base: str) -> None:
    """Start a collection in FOLDER: settings, a template of every table, and a guide."""
    files = begin_collection(folder, title, base)
    click.echo(f"Wrote {len(files)} files. Read {folder / 'GUIDE.md'}, then fill in the tables.")


@click.command()
@options.collection
@options.as_of
@options.form
@click.option(
    "--least",
    type=click.Choice([str(s) for s in reversed(_RANK)]),
    default="note",
    show_default=True,
    help="The least severe findings to show.",
)
@click.option(
    "--validator",
    type=click.Choice(["pyshacl", "shacl"]),
    help="What runs the SHACL constraints.  [default: shacl if it is installed, with glost[large]; "
    "it is faster and reports the same]",
)
@click.pass_context
def check(
    ctx: click.Context,
    folder: Path,
    as_of: date | None,
    form: str,
    least: str,
    validator: str | None,
) -> None:
    """Read everything, then show what is wrong and what disagrees.

    Errors in the files come first, all at once: file, row, column, what was found and what to do.
    If there are none, findings follow: contradictions, warnings and notes, each with what every
    claim involved says, its source and passage, and the file and row it was read from.

    Ends with 1 if there is a contradiction or a warning, or an error in a file.
    """
    with options.desk(folder, as_of) as desk:
        _ = desk.record
        build_ahead(desk)
        found = desk.findings(validator)
    shown = [f for f in found if _RANK.index(f.severity) <= _RANK.index(Severity(least))]
    if form == "json":
        printing.as_json([finding.as_dict() for finding in shown])
    elif form == "csv":
        columns = ["severity", "kind", "about", "message", "claims", "passages", "remedy"]
        printing.as_csv(columns, [_flat(finding) for finding in shown])
    else:
        printing.findings(shown)
        counts = Counter(finding.severity for finding in found)
        words = ", ".join(f"{counts[s]} {s}{'' if counts[s] == 1 else 's'}" for s in _RANK)
        click.echo(f"{len(desk.belief.claims)} claims hold; {words}.")
    if any(finding.severity != Severity.NOTE for finding in shown):
        ctx.exit(1)


def _flat(finding: Finding) -> list[str]:
    return [
        str(finding.severity),
        finding.kind,
        " ".join(finding.about),
        finding.message,
        " ".join(finding.claims),
        " | ".join(finding.passages),
        finding.remedy,
    ]


@click.command()
@options.collection
@options.as_of
@options.form
def tally(folder: Path, as_of: date | None, form: str) -> None:
    """Report what the collection holds: things, sources, claims and years."""
    with options.desk(folder, as_of) as desk:
        held = holdings(desk.record, as_of)
    counts = [("things", kind, count) for kind, count in held.things]
    counts += [("sources", kind, str(count)) for kind, count in held.sources]
    counts += [("claims resting on", name, str(count)) for _, name, count in held.resting]
    counts += [
        ("claims", "that hold", str(held.claims)),
        ("claims", "withdrawn", str(held.withdrawn)),
    ]
    counts.append(("sources", "without a date", str(held.undated)))
    if held.years:
        counts.append(("years", f"{held.years[0]} to {held.years[1]}", ""))
    if form != "table":
        printing.result(form, ["of", "what", "count"], counts)
        return
    click.echo(held.title + "\n")
    for part in dict.fromkeys(part for part, _, _ in counts):
        printing.table([part, "count"], [(what, n) for of, what, n in counts if of == part])
        click.echo()


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
        printing.as_json([each.as_dict() for each in chosen])
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
    with options.desk(folder) as desk:
        return term_lists(desk.record.schemes, desk.belief.graph)


def _cells(term: Term) -> tuple[str, ...]:
    others, wider = ", ".join(term.others), ", ".join(term.broader)
    meaning = " ".join(filter(None, (term.definition, term.note)))
    if term.drawing:
        meaning = f"{meaning}\n{term.drawing}"
    return term.id, term.name, others, wider, meaning, "own" if term.own else ""
