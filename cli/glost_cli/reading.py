"""Commands that read and make numbers and date codes."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import click
from rdflib import Graph, URIRef
from rich.text import Text

from glost.answer.desk import Desk
from glost.answer.showing import find_thing
from glost.record.dates import DateError, to_iso
from glost.record.dates import read as read_date
from glost.record.errors import RecordError, RecordErrors
from glost.record.lookup import Names
from glost.record.wording import label
from glost.trade.codes import CodeError, Decoded, Encoded, Reading, Scheme, schemes
from glost.trade.codes import decode as decode_code
from glost.trade.codes import encode as encode_code
from glost.trade.codes.encoding import Wanted
from glost.trade.codes.numbers import borne
from glost.trade.codes.parts import DAY, MONTH, QUARTER, YEAR
from glost.trade.codes.words import reading_in_words
from glost_cli import options, printing

_COLUMNS = ("code", "taken for", "scheme", "tells", "in force", "worn", "treatment")


@click.command()
@click.argument("codes", nargs=-1, required=True, metavar="CODE...")
@options.collection
@options.as_of
@click.option("--pottery", default="", metavar="ID", help="Only by schemes of this pottery.")
@click.option("--scheme", "named", default="", metavar="ID", help="Only by this scheme.")
@click.option(
    "--on",
    "when",
    default="",
    metavar="DATE",
    help="When it was written, if known (1908, 191X): schemes not in use then are told apart.",
)
@options.form
@click.option("--evidence", is_flag=True, help="Print, under each reading, what it rests on.")
def decode(
    codes: tuple[str, ...],
    folder: Path,
    as_of: date | None,
    pottery: str,
    named: str,
    when: str,
    form: str,
    evidence: bool,
) -> None:
    """Read treatment numbers and date codes by the schemes the sources give.

    A CODE is written as it stands, ? for each character that cannot be read. Every reading by every
    scheme is given, with whether the scheme was in use then, and the recorded treatments of that
    number.

    \b
    Examples:
      glost decode C23N4
      glost decode "T-3?2" --evidence
    """
    with options.desk(folder, as_of) as desk:
        known = _schemes(desk, pottery, named)
        span = _span(when, desk)
        try:
            found = [decode_code(code, known, span) for code in codes]
        except CodeError as bad:
            raise click.UsageError(str(bad)) from None
        rows = [_row(r, desk) for decoded in found for r in decoded.readings]
    if form == "json":
        printing.as_json([_plain(decoded, desk) for decoded in found])
    elif form == "csv":
        claims = [_ids(r) for decoded in found for r in decoded.readings]
        printing.as_csv(
            [*_COLUMNS, "claims"], [[*row, ids] for row, ids in zip(rows, claims, strict=True)]
        )
    else:
        printing.table(_COLUMNS, rows)
        if evidence:
            for decoded in found:
                _print_evidence(decoded, desk.graph)
    unread = [decoded.text for decoded in found if not decoded.readings]
    for text in unread:
        click.echo(f'"{text}" fits no scheme.', err=True)
    if unread:
        raise SystemExit(1)


def _schemes(desk: Desk, pottery: str, named: str) -> tuple[Scheme, ...]:
    known = schemes(desk.belief, desk.record.collection.margin)
    if pottery:
        iri = find_thing(desk.record, pottery, "pottery")
        known = tuple(scheme for scheme in known if iri in scheme.potteries)
    if named:
        iri = find_thing(desk.record, named, "scheme")
        known = tuple(scheme for scheme in known if scheme.iri == iri)
    if not known:
        remedy = "enter one in tables/code_schemes.csv and tables/code_parts.csv"
        raise RecordErrors([RecordError(str(desk.path), "there is no such code scheme", remedy)])
    return known


def _span(when: str, desk: Desk) -> tuple[int | None, int | None]:
    if not when:
        return None, None
    try:
        given = read_date(when, desk.record.collection.margin)
    except DateError as bad:
        raise click.UsageError(str(bad)) from None
    return given.earliest, given.latest


def _row(reading: Reading, desk: Desk) -> list[str]:
    graph = desk.graph
    numbers = [label(t, graph) for t in borne(reading, desk.belief)]
    return [
        reading.text,
        reading.code,
        _name(reading.scheme, graph),
        reading_in_words(reading, graph),
        reading.in_force,
        ", ".join(reading.unreadable),
        "; ".join(numbers),
    ]


def _name(scheme: Scheme, graph: Graph) -> str:
    whose = ", ".join(label(pottery, graph) for pottery in scheme.potteries)
    name = str(scheme.iri).rsplit("/", 1)[-1]
    return f"{name} {scheme.pattern}" + (f" of {whose}" if whose else "")


def _ids(reading: Reading) -> str:
    return " ".join(str(claim.iri) for claim in reading.claims)


def _plain(decoded: Decoded, desk: Desk) -> dict[str, Any]:
    def day(number: int | None) -> str | None:
        return None if number is None else to_iso(number)

    return {
        "code": decoded.text,
        "earliest": day(decoded.span[0]),
        "latest": day(decoded.span[1]),
        "worn": list(decoded.unreadable),
        "readings": [
            {
                "code": reading.code,
                "scheme": str(reading.scheme.iri),
                "pattern": reading.scheme.pattern,
                "in_force": reading.in_force,
                "earliest": day(reading.earliest),
                "latest": day(reading.latest),
                "parts": [
                    {
                        "part": part.name,
                        "text": part.text,
                        "value": part.value,
                        "tells": part.tells,
                        "thing": None if part.meaning.thing is None else str(part.meaning.thing),
                        "year": part.year,
                        "month": part.month,
                        "claims": [str(claim.iri) for claim in part.meaning.claims],
                    }
                    for part in reading.parts
                ],
                "treatments": [str(thing) for thing in borne(reading, desk.belief)],
                "scheme_claims": [str(claim.iri) for claim in reading.scheme.claims],
            }
            for reading in decoded.readings
        ],
    }


def _print_evidence(decoded: Decoded, graph: Graph) -> None:
    console = printing.console()
    for reading in decoded.readings:
        console.print()
        console.print(Text(f"{reading.code}: {reading_in_words(reading, graph)}", style="bold"))
        printing.support(reading.claims, graph)


@click.command()
@click.argument("scheme", required=False)
@click.argument("parts", nargs=-1, metavar="[PART=VALUE]...")
@options.collection
@options.as_of
@options.form
@click.option("--evidence", is_flag=True, help="Print, under each code, what it rests on.")
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
    with options.desk(folder, as_of) as desk:
        if scheme is None:
            known = _schemes(desk, "", "")
            printing.result(form, _LISTED, [_listed(each, desk.graph) for each in known])
            return
        made: list[Encoded] = []
        for by in _schemes(desk, "", scheme):
            try:
                made += encode_code(by, _wanted(by, _given(parts), desk))
            except CodeError as bad:
                raise click.UsageError(str(bad)) from None
    graph = desk.graph
    rows = [
        [e.code, _name(e.reading.scheme, graph), reading_in_words(e.reading, graph)] for e in made
    ]
    if form == "table":
        printing.table(["code", "scheme", "tells"], rows)
        for each in made if evidence else ():
            click.echo(f"\n{each.code}")
            printing.support(each.reading.claims, graph)
    else:
        rows = [[*row, _ids(each.reading)] for row, each in zip(rows, made, strict=True)]
        printing.result(form, ["code", "scheme", "tells", "claims"], rows)
    if not made:
        click.echo("No code tells that.", err=True)
        raise SystemExit(1)


_LISTED = ("scheme", "pottery", "codes", "pattern", "parts")


def _listed(scheme: Scheme, graph: Graph) -> list[str]:
    parts = []
    for part in scheme.parts:
        values = ", ".join(sorted(part.table)) or "counted"
        parts.append(f"{part.name}: {values}")
    return [
        str(scheme.iri).rsplit("/", 1)[-1],
        ", ".join(label(pottery, graph) for pottery in scheme.potteries),
        ", ".join(scheme.codes),
        scheme.pattern,
        "; ".join(parts),
    ]


def _given(parts: Sequence[str]) -> dict[str, str]:
    given = {}
    for part in parts:
        name, equals, value = part.partition("=")
        if not equals or not name:
            raise click.UsageError(f'"{part}" is not PART=VALUE')
        given[name.strip()] = value.strip()
    return given


def _wanted(scheme: Scheme, given: dict[str, str], desk: Desk) -> dict[str, Wanted]:
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
            wanted[name] = _thing(value, things, desk)
    return wanted


def _thing(value: str, things: set[URIRef], desk: Desk) -> URIRef:
    """Find one of the things a part can stand for."""
    names = Names({str(thing): (label(thing, desk.graph),) for thing in things})
    found = names.find(value)
    if len(found) == 1:
        return URIRef(found[0])
    every = names.several(found or names)
    remedy = "write which" if found else names.instead(value) or f"it may be {every}"
    message = f'"{value}" may be {every}' if found else f'no value stands for "{value}"'
    raise RecordErrors([RecordError(str(desk.path), message, remedy)])
