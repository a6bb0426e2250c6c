"""The command ``glost export``."""

from datetime import date
from pathlib import Path

import click

from glost.publish.data.mappings import ENDINGS, SSSOM, skos_bytes, sssom_bytes
from glost.publish.exports import FORMATS, SUFFIXES, rdf_bytes, write_rdf, write_tables
from glost.record.files import write_whole
from glost_cli import options
from glost_cli.group import SHOW

PART = SHOW

_SUFFIXES = {**ENDINGS, **SUFFIXES}


@click.command()
@click.argument("target", required=False, type=click.Path(path_type=Path))
@options.collection
@options.as_of
@click.option(
    "--as",
    "form",
    type=click.Choice([*FORMATS, "tables", *ENDINGS]),
    help="The format.  [default: by the ending of TARGET]",
)
def export(target: Path | None, folder: Path, as_of: date | None, form: str | None) -> None:
    """Write the collection to TARGET in an open format, or print it if there is no TARGET.

    TriG, N-Quads and JSON-LD hold everything: what is believed and what follows from it in the
    default graph, every claim in a graph of its own, and what is said of the claims. Turtle holds
    the default graph; "rdf12" the same in Turtle 1.2 (TARGET.rdf12.ttl), with each claim as a
    reifier of what it says, withdrawn ones too. "tables" writes every claim back into tables, in a
    new folder TARGET.

    "skos" and "sssom" hold the matches to authorities alone: in the mapping relations of SKOS, as
    Turtle, and as a table with who found each and when, in the Simple Standard for Sharing
    Ontological Mappings (TARGET.skos.ttl, TARGET.sssom.tsv).
    """
    form = form or _by_suffix(target)
    with options.snapshot(folder, as_of) as snapshot:
        if form == "tables":
            if target is None:
                raise click.UsageError("name a new folder to write tables to")
            if as_of is not None:
                raise click.UsageError("tables hold every claim; --as-of does not apply to them")
            files = write_tables(snapshot.record, target)
            click.echo(f"Wrote {len(files)} files to {target}.")
        elif form in ENDINGS:
            written = sssom_bytes(snapshot) if form == SSSOM else skos_bytes(snapshot)
            if target is None:
                click.echo(written, nl=False)
            else:
                write_whole(target, written)
                click.echo(f"Wrote {target}.")
        elif target is None:
            click.echo(rdf_bytes(snapshot.contents, form), nl=False)
        else:
            write_rdf(snapshot.contents, form, target)
            click.echo(f"Wrote {target}.")


def _by_suffix(target: Path | None) -> str:
    if target is not None:
        for form, suffix in _SUFFIXES.items():
            if target.name.endswith(suffix):
                return form
    endings = ", ".join(f"{suffix} ({form})" for form, suffix in _SUFFIXES.items())
    raise click.UsageError(f"say the format with --as, or name a file ending in {endings}")
