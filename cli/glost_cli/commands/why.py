"""The command ``glost why``."""

from datetime import date
from pathlib import Path

import click

from glost.answer import reasons
from glost.report.results import proof
from glost.words.sentences import sentence
from glost_cli import options, printing
from glost_cli.group import ASK

PART = ASK


@click.command()
@click.argument("subject")
@click.argument("property_", metavar="PROPERTY")
@click.argument("value")
@options.collection
@options.as_of
@options.form("How to print it; prov is PROV-O in Turtle.", "prov")
@click.option("--all", "every", is_flag=True, help="Print every minimal set of claims instead.")
@click.option(
    "--cap",
    type=click.IntRange(min=1),
    default=128,
    show_default=True,
    help="With --all: how many sets to look for.",
)
def why(
    subject: str,
    property_: str,
    value: str,
    folder: Path,
    as_of: date | None,
    form: str,
    every: bool,
    cap: int,
) -> None:
    """Say why a statement holds: the shortest proof, down to the claims and their passages.

    The statement is written SUBJECT PROPERTY VALUE: a thing, a property's name or label, and a
    thing, a term of a list (form/plate) or a name.

    \b
    Example:
      glost why treatment/a12 appearsOn shape/alder
    """
    with options.snapshot(folder, as_of) as snapshot:
        triple = reasons.statement(snapshot, subject, property_, value)
        if form == "prov":
            click.echo(reasons.prov_graph(snapshot, triple).serialize(format="turtle"), nl=False)
            return
        if every:
            sets, cut = reasons.supports(snapshot, triple, cap)
            made = proof.supports(sentence(triple, snapshot.words), sets, cut, cap)
        else:
            made = proof.told(reasons.why(snapshot, triple))
    printing.report(made, form, folder, beside=True)
