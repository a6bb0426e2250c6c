"""The command ``glost draw``."""

from datetime import date
from pathlib import Path

import click

from glost.publish.pictures.subjects import draw as draw_picture
from glost.publish.pictures.subjects import names, told
from glost.report.results.plain import table
from glost_cli import options, printing
from glost_cli.group import SHOW

PART = SHOW

_WHAT = "\b\nWHAT is one of these:\n" + "\n".join(
    f"  {name:<11} {does}" for name, does in told().items()
)


@click.command(epilog=_WHAT)
@click.argument("what", type=click.Choice(names()), metavar="WHAT")
@click.argument("of", required=False, default="")
@options.collection
@options.as_of
@options.output("Where to, FILE.svg or FILE.png.  [default: WHAT.svg, or WHAT-OF.svg]", "output")
@click.option("--words", is_flag=True, help="Print the picture in words instead of drawing it.")
@options.form("How to print the words.")
def draw(
    what: str,
    of: str,
    folder: Path,
    as_of: date | None,
    output: Path | None,
    words: bool,
    form: str,
) -> None:
    """Draw a picture fit to print on A4 or US Letter, as SVG or PNG.

    What does not fit one sheet is written on several: runs-1.svg, runs-2.svg. Every SVG holds a
    title and a description; --words prints the table of the same data, with sources and claims.
    """
    name = f"{what}-{of.rsplit('/', 1)[-1].replace(' ', '-').lower()}" if of else what
    path = output or Path(f"{name}.svg")
    if path.suffix.lower() not in (".svg", ".png"):
        raise click.BadParameter(f'"{path}" must end in .svg or .png', param_hint="-o")
    with options.snapshot(folder, as_of) as snapshot:
        picture = draw_picture(snapshot, what, of)
        if not words:
            for file in picture.write(path):
                click.echo(f"Wrote {file}")
            return
    told = picture.words
    heading = f"{picture.title}\n\n{told.summary}"
    made = table(heading, told.columns, told.rows, "What the picture shows")
    printing.report(made, form, folder, table="table")
