"""The command ``glost encode``."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import click
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.record.errors import RecordError, RecordErrors
from glost.report.results import codes as results
from glost.report.things import Kept
from glost.report.things.said import Said
from glost.trade.codes import CodeError, CodeScheme, Encoded
from glost.trade.codes import encode as encode_code
from glost.trade.codes.encoding import Wanted
from glost.trade.codes.parts import DAY, MONTH, QUARTER, YEAR
from glost.words.labels import label
from glost.words.lookup import Names
from glost_cli import options, printing
from glost_cli.group import RECKON
from glost_cli.schemes import schemes_of

PART = RECKON


@click.command()
@click.argument("scheme", required=False)
@click.argument("parts", nargs=-1, metavar="[PART=VALUE]...")
@options.collection
@options.as_of
@options.report
@options.evidence
def encode(
    scheme: str | None,
    parts: tuple[str, ...],
    folder: Path,
    as_of: date | None,
    form: str,
    evidence: bool,
) -> None:
    """Make the code that tells something by SCHEME; without one, list the schemes and their parts.

    For each PART the VALUE is what it is to tell: a thing by id or name, a year, a month as a
    number, the running number; or the characters as written.

    \b
    Examples:
      glost encode
      glost encode ot-dates month=3 year=1923 plant=ot-4
    """
    with options.snapshot(folder, as_of) as snapshot:
        said = Said(Kept(snapshot), evidence)
        if scheme is None:
            told = results.listed(schemes_of(snapshot, "", ""), said)
            printing.report(told, form, folder, evidence, "codes")
            return
        made: list[Encoded] = []
        for by in schemes_of(snapshot, "", scheme):
            try:
                made += encode_code(by, _wanted(by, _given(parts), snapshot))
            except CodeError as bad:
                raise click.UsageError(str(bad)) from None
        told = results.encoded(made, said, snapshot.words)
    printing.report(told, form, folder, evidence, "codes")
    if not made:
        click.echo("No code tells that.", err=True)
        raise SystemExit(1)


def _given(parts: Sequence[str]) -> dict[str, str]:
    given = {}
    for part in parts:
        name, equals, value = part.partition("=")
        if not equals or not name:
            raise click.UsageError(f'"{part}" is not PART=VALUE')
        given[name.strip()] = value.strip()
    return given


def _wanted(scheme: CodeScheme, given: dict[str, str], snapshot: Snapshot) -> dict[str, Wanted]:
    """Take each value for what the part can tell: characters, else a number, else a thing."""
    parts = {part.name: part for part in scheme.parts}
    wanted: dict[str, Wanted] = {}
    for name, value in given.items():
        part = parts.get(name)
        wanted[name] = value
        if part is None or value in part.table:
            continue
        if any(m.tells in (YEAR, QUARTER, MONTH, DAY) for m in part.meanings):
            if value.isdigit():
                wanted[name] = int(value)
        elif things := {m.thing for m in part.meanings if m.thing is not None}:
            wanted[name] = _thing(value, things, snapshot)
    return wanted


def _thing(value: str, things: set[URIRef], snapshot: Snapshot) -> URIRef:
    """Find one of the things a part can stand for."""
    names = Names({str(thing): (label(thing, snapshot.words),) for thing in things})
    found = names.find(value)
    if len(found) == 1:
        return URIRef(found[0])
    every = names.several(found or names)
    remedy = "write which" if found else names.instead(value) or f"it may be {every}"
    message = f'"{value}" may be {every}' if found else f'no value stands for "{value}"'
    raise RecordErrors([RecordError(str(snapshot.path), message, remedy)])
