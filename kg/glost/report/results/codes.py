"""Codes read by schemes and made by them, and the schemes themselves."""

from collections.abc import Iterable, Sequence

from rdflib import URIRef

from glost.report.things.said import Said
from glost.report.tree import (
    Cell,
    Column,
    Ground,
    Group,
    Ref,
    Report,
    Row,
    Rule,
    Section,
    Statement,
    Table,
)
from glost.trade.codes import CodeScheme, Decoded, Encoded, Reading
from glost.words.codes import reading_in_words
from glost.words.labels import Words
from glost.words.spans import ends

_NO_CLAIM = Rule("Read by the code's scheme")
_READINGS = (
    *(Column("code", "code"), Column("taken for", "taken for"), Column("scheme", "scheme")),
    *(Column("tells", "tells"), Column("in force", "in force", "verdict")),
    *(Column("worn", "worn"), Column("treatment", "treatment", "thing")),
    *(Column("earliest", "", "date", True), Column("latest", "", "date", True)),
    *(Column("scheme_iri", "", "thing", True), Column("pattern", "", aside=True)),
)
_PARTS = tuple(
    Column(name, "", kind, True)
    for name, kind in (
        ("code", "text"), ("taken for", "text"), ("scheme_iri", "thing"), ("part", "text"),
        ("text", "text"), ("value", "text"), ("tells", "text"), ("thing", "thing"),
        ("year", "number"), ("month", "number"),
    )
)  # fmt: skip
_MADE = (Column("code", "code"), Column("scheme", "scheme"), Column("tells", "tells"))
_SCHEMES = (
    *(Column("scheme", "scheme"), Column("pottery", "pottery"), Column("codes", "codes")),
    *(Column("pattern", "pattern"), Column("parts", "parts")),
)


def decoded(
    found: Sequence[Decoded], borne: Iterable[Iterable[URIRef]], said: Said, words: Words
) -> Report:
    """Tell the readings of codes.

    Parameters
    ----------
    found
        The codes with their readings.
    borne
        The recorded treatments whose number each reading may be, reading by reading.
    said, words
        Word statements and names.
    """
    readings = [reading for each in found for reading in each.readings]
    rows = tuple(_reading(r, of, said, words) for r, of in zip(readings, borne, strict=True))
    parts = tuple(row for reading in readings for row in _parts(reading, said))
    tables = (Table(_READINGS, rows), Table(_PARTS, parts))
    none = tuple(
        Statement((f"“{each.text}” fits no scheme.",), (_NO_CLAIM,))
        for each in found
        if not each.readings
    )
    told = (*tables, Group(none)) if none else tables
    return Report("", "Codes read", sections=(Section("readings", "Readings", told),))


def _reading(reading: Reading, borne: Iterable[URIRef], said: Said, words: Words) -> Row:
    treatments: list[str | Ref] = []
    for thing in borne:
        treatments += ["; "] if treatments else []
        treatments.append(said.ref(thing))
    cells: tuple[Cell, ...] = (
        reading.text, reading.code, scheme_name(reading.scheme, said),
        reading_in_words(reading, words), reading.in_force, ", ".join(reading.unreadable),
        tuple(treatments),
        *ends((reading.earliest, reading.latest)),
        Ref(str(reading.scheme.iri), str(reading.scheme.iri)), reading.scheme.pattern,
    )  # fmt: skip
    return Row(cells, _grounds(reading, said))


def _grounds(reading: Reading, said: Said) -> tuple[Ground, ...]:
    return said.passages(reading.claims) or (_NO_CLAIM,)


def _parts(reading: Reading, said: Said) -> Iterable[Row]:
    for part in reading.parts:
        thing = part.meaning.thing
        scheme = str(reading.scheme.iri)
        cells: tuple[Cell, ...] = (
            reading.text, reading.code, Ref(scheme, scheme), part.name, part.text, part.value,
            part.tells, None if thing is None else said.ref(thing), part.year, part.month,
        )  # fmt: skip
        yield Row(cells, said.passages(part.meaning.claims) or (_NO_CLAIM,))


def scheme_name(scheme: CodeScheme, said: Said) -> str:
    """Name a scheme: its id, its pattern and whose it is."""
    whose = ", ".join(said.ref(pottery).text for pottery in scheme.potteries)
    name = str(scheme.iri).rsplit("/", 1)[-1]
    return f"{name} {scheme.pattern}" + (f" of {whose}" if whose else "")


def encoded(made: Sequence[Encoded], said: Said, words: Words) -> Report:
    """Tell codes that were made, in section ``codes``."""
    rows = tuple(
        Row(
            (each.code, scheme_name(each.reading.scheme, said),
             reading_in_words(each.reading, words)),
            _grounds(each.reading, said),
        )
        for each in made
    )  # fmt: skip
    parts = (Table(_MADE, rows),)
    return Report("", "Codes made", sections=(Section("codes", "Codes", parts),))


def listed(known: Sequence[CodeScheme], said: Said) -> Report:
    """List schemes with their parts, in section ``codes``."""
    rows = tuple(
        Row(
            (str(each.iri).rsplit("/", 1)[-1],
             ", ".join(said.ref(pottery).text for pottery in each.potteries),
             ", ".join(each.codes), each.pattern,
             "; ".join(f"{p.name}: {', '.join(sorted(p.table)) or 'counted'}" for p in each.parts)),
            said.passages(each.claims) or (_NO_CLAIM,),
        )
        for each in known
    )  # fmt: skip
    parts = (Table(_SCHEMES, rows),)
    return Report("", "Code schemes", sections=(Section("codes", "Schemes", parts),))
