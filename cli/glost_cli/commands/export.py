"""The command ``glost export``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.snapshot import Snapshot
from glost.publish.data.mappings import ENDINGS, SSSOM, skos_bytes, sssom_bytes
from glost.publish.exports import (
    FORMATS,
    SUFFIXES,
    rdf_bytes,
    write_folder,
    write_rdf,
    write_tables,
)
from glost.publish.nanopublications import ENDING, NANOPUB, nanopub_bytes
from glost.publish.parts import STATEMENTS, write_parts
from glost.record.files import write_whole
from glost.record.transaction import Place
from glost.words.english import count
from glost_cli import options
from glost_cli.group import SHOW

PART = SHOW

PARQUET, PARTS, LINKED_ART = "parquet", "parts", "linked-art"
_SUFFIXES = {**ENDINGS, NANOPUB: ENDING, **SUFFIXES}
_MADE = {**dict.fromkeys(ENDINGS, skos_bytes), SSSOM: sssom_bytes, NANOPUB: nanopub_bytes}


@click.command()
@click.argument("target", required=False, type=click.Path(path_type=Path))
@options.collection
@options.as_of
@click.option(
    "--as",
    "form",
    type=click.Choice([*FORMATS, "tables", PARQUET, PARTS, LINKED_ART, NANOPUB, *ENDINGS]),
    help="The format.  [default: by the ending of TARGET]",
)
@click.option(
    "--statements",
    type=click.IntRange(min=1),
    default=STATEMENTS,
    show_default=True,
    help="How many statements a part holds.",
)
def export(
    target: Path | None, folder: Path, as_of: date | None, form: str | None, statements: int
) -> int:
    """Write the collection to TARGET in an open format, or print it if there is no TARGET.

    TriG, N-Quads and JSON-LD hold everything: what is believed and what follows from it in the
    default graph, every claim in a graph of its own, and what is said of the claims. Turtle holds
    the default graph; "rdf12" the same in Turtle 1.2 (TARGET.rdf12.ttl), with each claim as a
    reifier of what it says, withdrawn ones too. "tables" writes every claim back into tables, in a
    new folder TARGET.

    "nanopub" holds every claim as a nanopublication: its head, what it says, what it rests on, and
    who published it, in four graphs of TriG (TARGET.nanopub.trig); a correction retracts what it
    withdraws.

    "linked-art" writes pieces, firms, people, shapes, glazes, decals, marks and sources as records
    of Linked Art 1.0, a JSON document each, in a new folder TARGET.

    "parquet" writes every claim as Parquet into a folder TARGET that is a collection again, and
    of collections read together a partition keeper=NAME for each. A keeper's that cannot be read is
    named, and the others are written. To write one keeper's again, export its collection to
    TARGET/keeper=NAME.

    "parts" writes all that N-Quads hold into a folder TARGET in parts for stores that take much at
    once: packed N-Quads, by kind and keeper, with a manifest and sums (sha256sum -c, glost verify).

    "skos" and "sssom" hold the matches to authorities alone: in the mapping relations of SKOS, as
    Turtle, and as a table with who found each and when, in the Simple Standard for Sharing
    Ontological Mappings (TARGET.skos.ttl, TARGET.sssom.tsv).
    """
    form = form or _by_suffix(target)
    if form == PARQUET:
        return _parquet(target, folder, as_of)
    with options.snapshot(folder, as_of) as snapshot:
        if form == "tables":
            if target is None:
                raise click.UsageError("name a new folder to write tables to")
            if as_of is not None:
                raise click.UsageError("tables hold every claim; --as-of does not apply to them")
            files = write_tables(snapshot.record, target)
            click.echo(f"Wrote {len(files)} files to {target}.")
        elif form == LINKED_ART:
            from glost.publish.data.linked_art import records  # few collections are written so
            from glost.publish.site.holdings import SiteContents

            if target is None:
                raise click.UsageError("name a new folder to write records to")
            files = write_folder(records(SiteContents(snapshot, ())), target, "write records")
            click.echo(f"Wrote {count(len(files), 'record')} to {target}.")
        elif form == PARTS:
            _parts(snapshot, target, statements)
        elif form in _MADE:
            written = _MADE[form](snapshot)
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
    return 0


def _parts(snapshot: Snapshot, target: Path | None, statements: int) -> None:
    if target is None:
        raise click.UsageError("name a folder to write parts to")
    keepers = {each.name: each.collection.base for each in snapshot.collection.members}
    parts = write_parts(snapshot.contents, target, statements=statements, keepers=keepers)
    total = count(sum(part.statements for part in parts), "statement")
    click.echo(f"Wrote {total} in {count(len(parts), 'part')} to {target}.")


def _parquet(target: Path | None, folder: Path, as_of: date | None) -> int:
    from glost.record.parquet import write_partitions  # few collections are written so

    if target is None:
        raise click.UsageError("name a folder to write Parquet to")
    if as_of is not None or options.edition_named() is not None:
        raise click.UsageError(
            "Parquet holds every claim; --as-of and --edition do not apply to it"
        )
    options.settled(Place.within(folder))
    done = write_partitions(folder, target)
    keepers = [name for name in done.claims if name]
    of = f", with those of {count(len(keepers), 'keeper')}," if keepers else ""
    click.echo(f"Wrote {count(sum(done.claims.values()), 'claim')}{of} to {target}.")
    if not done.faults:
        return 0
    for fault in done.faults:
        click.echo(f"Error: {fault}", err=True)
    left = sorted({fault.file.partition(":")[0] for fault in done.faults})
    click.echo(f"Not written: {', '.join(left)}; correct it and do the same again.", err=True)
    return 1


def _by_suffix(target: Path | None) -> str:
    if target is not None:
        for form, suffix in _SUFFIXES.items():
            if target.name.endswith(suffix):
                return form
    endings = ", ".join(f"{suffix} ({form})" for form, suffix in _SUFFIXES.items())
    raise click.UsageError(f"say the format with --as, or name a file ending in {endings}")
