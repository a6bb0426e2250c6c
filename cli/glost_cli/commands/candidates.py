"""The command ``glost candidates``."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click
from rdflib import URIRef
from rdflib.namespace import RDF

from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.errors import RecordErrors
from glost.report.results.naming import told
from glost.report.things import Kept
from glost.report.things.said import Said
from glost.trade.naming import Seen, name_piece, seen_on
from glost.trade.naming.reading import Reader
from glost_cli import options, printing
from glost_cli.group import RECKON

PART = RECKON

Command = TypeVar("Command", bound=Callable[..., Any])

_OBSERVATIONS = (
    ("pottery", "Who made it, if that is known otherwise."),
    ("form", "Its ware form: plate, teapot."),
    ("size", "The trade size it goes by."),
    ("rim", "What its rim looks like."),
    ("handle", "What its handle looks like."),
    ("finial", "What the finial of its lid looks like."),
    ("foot", "What its foot looks like."),
    ("lid-fit", "How its lid sits."),
    ("number", "The treatment number, ? for a worn figure."),
    ("glaze", "Its coloured glaze."),
)


def _observations(command: Command) -> Command:
    """Add an option for each thing that may be seen on a piece."""
    several = (
        ("mark", "marks", "A mark by id, or as it reads: ? for a worn letter, ... for more."),
        ("feature", "features", "Anything else to be seen, in a word or two."),
    )
    for name, plural, text in reversed(several):
        command = click.option(f"--{name}", plural, multiple=True, metavar="TEXT", help=text)(
            command
        )
    for name, text in reversed(_OBSERVATIONS):
        command = click.option(f"--{name}", metavar="TEXT", default="", help=text)(command)
    return command


@click.command()
@_observations
@click.option("--piece", default="", metavar="ID", help="Take what is recorded of a piece instead.")
@options.collection
@options.as_of
@options.form("How to print it.", name="form_")
@click.option("--all", "every", is_flag=True, help="Show all candidates, and all ruled out.")
def candidates(
    folder: Path, as_of: date | None, form_: str, every: bool, piece: str, **given: Any
) -> None:
    """Say what shapes a piece may be of, ranked, by what is seen on it.

    Each candidate comes with what agrees, what is unknown, what speaks against it and what rules
    it out, and the claims; and with what to look at next. The score orders candidates by weights
    that are printed with --as json, each with its reason; it is no likelihood. A piece on record
    is named as if its shape were not known, and is no evidence for itself.

    \b
    Examples:
      glost candidates --form plate --rim octagonal --mark "OCT??INE" --number "OV-7?3"
      glost candidates --piece wv-018
    """
    with options.snapshot(folder, as_of) as snapshot:
        seen, without = _seen(snapshot, piece, given)
        words = snapshot.labels
        naming = name_piece(snapshot.kept, seen, words, without)
        whole = every or form_ not in ("text", "markdown", "html")
        made = told(naming, Said(Kept(snapshot)), words, whole)
    printing.report(made, form_, folder, beside=True, table="candidates")


def _seen(snapshot: Snapshot, piece: str, given: dict[str, Any]) -> tuple[Seen, tuple[URIRef, ...]]:
    """Read what is seen from the options, or take it from a piece on record."""
    texts = {name: value for name, value in given.items() if isinstance(value, str)}
    texts |= {"mark": "|".join(given["marks"]), "features": "|".join(given["features"])}
    if piece:
        if any(texts.values()):
            raise click.UsageError("give --piece, or what is seen, not both")
        thing = find_thing(snapshot.stored, piece, "piece")
        if (thing, RDF.type, GLOST.Piece) not in snapshot.kept.graph:
            raise click.UsageError(f"{piece} is no piece")
        return seen_on(snapshot.kept, thing), (thing,)
    seen, errors = Reader(snapshot.record).read(texts, "the command line")
    if errors:
        raise RecordErrors(errors)
    if seen.nothing:
        raise click.UsageError("say something that is seen on the piece; see --help")
    return seen, ()
