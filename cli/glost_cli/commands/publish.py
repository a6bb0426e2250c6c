"""The command ``glost publish``."""

from datetime import date
from pathlib import Path

import click

from glost.record.transaction import Place
from glost_cli import options
from glost_cli.group import SHOW

PART = SHOW


@click.command()
@click.argument("target", metavar="TARGET", type=click.Path(path_type=Path))
@options.collection
@options.as_of
@options.validator
def publish(target: Path, folder: Path, as_of: date | None, validator: str | None) -> None:
    """Make a site of the collection in the folder TARGET, or bring it up to date.

    The site has a page for every thing, claim, source and passage, for questions with their
    answers, findings and the vocabulary, with the data beside them. It needs no server program:
    open index.html, or let any web server serve the folder. Only files that change are written.

    \b
    Example:
      glost publish site -c examples/wend-valley
    """
    from glost.publish.site.publish import publish as publish_site

    options.settled(Place.beside(target))
    with options.snapshot(folder, as_of) as snapshot:
        done = publish_site(snapshot, target, validator)
    what = f"{len(done.written)} written, {done.files - len(done.written)} as they were"
    click.echo(f"{target}: {done.files} files; {what}, {len(done.removed)} removed.")
    click.echo(f"Open {target / 'index.html'}.")
