"""The command ``glost lineage``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.showing import find_thing
from glost.words.labels import label
from glost_cli import options, printing
from glost_cli.group import RECKON
from glost_cli.meaning import Meant, meant

PART = RECKON


@click.command()
@click.argument("thing", required=False)
@options.collection
@options.as_of
@options.form(
    "How to print it; graphml and dot print the family, or the whole graph without THING.",
    "graphml",
    "dot",
)
@click.option("--first", "kind", metavar="KIND", help="Which KIND (shape, kiln, ...) came first.")
@click.option(
    "--where",
    metavar="COLUMN=TEXT",
    help="With --first: only those of which that column of the kind's table says the text.",
)
@click.option("--with", "other", metavar="OTHER", help="What THING and OTHER both come from.")
@options.evidence
def lineage(
    thing: str | None,
    folder: Path,
    as_of: date | None,
    form: str,
    kind: str | None,
    where: str | None,
    other: str | None,
    evidence: bool,
) -> None:
    """Follow what THING was copied, redesigned or reissued from, and what came of it.

    Ancestors and descendants come with every tie on the way and the sources that say it; then
    shared moulds and flatware, who designed it, what it is much like, what came instead of what,
    and which of the family came first. A group of shapes stands for its members. Without THING,
    every tie in the collection.

    \b
    Examples:
      glost lineage halewin
      glost lineage moraine --with bretelle
      glost lineage --first kiln --where kind=tunnel
      glost lineage --as graphml > lineage.graphml
    """
    from glost.report.results.lineage import told
    from glost.report.things import Kept
    from glost.report.things.said import Said
    from glost.trade import lineage as kin

    column, text = _where(kind, where)
    if other and not thing:
        raise click.UsageError("--with compares OTHER with a THING; name that first")
    if kind and (thing or form in ("graphml", "dot")):
        raise click.UsageError("--first is about all things of a kind; it prints rows")
    with options.snapshot(folder, as_of) as snapshot:
        whole = kin.lineage(snapshot.kept)
        asked = meant(snapshot, thing, record=snapshot.stored) if thing else Meant(())
        iri = asked.group or next(iter(asked.things), None)
        if form in ("graphml", "dot"):
            parts = [kin.family(whole, each).things for each in asked.things]
            part = whole.among(each for some in parts for each in some) if thing else whole
            click.echo((kin.graphml if form == "graphml" else kin.dot)(part), nl=False)
            return
        name = label(iri, snapshot.labels) if iri else snapshot.collection.title
        said = Said(Kept(snapshot), evidence)
        if kind:
            found = kin.first_lines(whole, snapshot.chronology, kind, column, text)
            made = told(name, found, said)
        elif iri is None:
            made = told(name, kin.all_lines(whole), said)
        elif other:
            second = find_thing(snapshot.stored, other)
            common = [line for e in asked.things for line in kin.common_lines(whole, e, second)]
            name = f"What {name} and {label(second, snapshot.labels)} both come from"
            made = told(name, common, said)
        else:
            lines = [kin.lineage_lines(whole, each, snapshot.chronology) for each in asked.things]
            names = [label(each, snapshot.labels) for each in asked.things]
            each_told = [
                told(name, some, said, str(thing))
                for thing, name, some in zip(asked.things, names, lines, strict=True)
            ]
            made = asked.report(snapshot, said, each_told)
    printing.report(made, form, folder, evidence, table="ties")


def _where(kind: str | None, where: str | None) -> tuple[str, str]:
    if where is None:
        return "", ""
    column, equals, text = (part.strip() for part in where.partition("="))
    if not kind or not (column and equals and text):
        raise click.UsageError(f'--where goes with --first and is COLUMN=TEXT, not "{where}"')
    return column, text
