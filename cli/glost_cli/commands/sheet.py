"""The command ``glost sheet``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.showing import find_thing
from glost.record.files import write_whole
from glost_cli import options
from glost_cli.group import SHOW

PART = SHOW


@click.command()
@click.argument("thing")
@options.collection
@options.as_of
@click.option(
    "--as",
    "form",
    type=click.Choice(["markdown", "html"]),
    default="markdown",
    show_default=True,
    help="Markdown with footnotes, or one HTML page with its pictures in it.",
)
@options.output("Write it to a file.  [default: print it]")
def sheet(thing: str, folder: Path, as_of: date | None, form: str, target: Path | None) -> None:
    """Make the fact sheet of THING, ready for a talk or an article.

    What it is and when, who disagrees, everything said of it, what was withdrawn, what follows,
    what is worked out and how, what to show, and cautions; every statement with numbered notes to
    sources and where in them.

    THING is kind/id (shape/alder), an id or a name.

    \b
    Examples:
      glost sheet shape/tamsin
      glost sheet treatment/t-311 --as html -o towpath-hedge.html
    """
    from glost.report.as_markdown import markdown
    from glost.report.sheet import sheet as as_html
    from glost.report.things import Whole, report_of
    from glost.report.things.full import SHEET

    with options.snapshot(folder, as_of) as snapshot:
        found = find_thing(snapshot.record, thing)
        made = report_of(Whole(snapshot), found, SHEET, shown=True)
        if not made.lead:
            raise click.UsageError(f"{thing} is nothing a sheet can be made of; try glost show")
        text = as_html(made, folder) if form == "html" else markdown(made)
    if target is None:
        click.echo(text, nl=False)
    else:
        write_whole(target, text)
        click.echo(f"{target}: {len(made.statements)} statements, {len(made.notes)} notes.")
