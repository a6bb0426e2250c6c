"""What refers to a thing: other things whose claims name it, and claims that rest on it."""

import csv
import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.names import GLOST
from glost.record.claims import Claim, Triple
from glost.record.index import whole
from glost.record.spelling import id_of
from glost.report.kinds import kind
from glost.report.things.basis import ThingBasis
from glost.report.things.said import Said, capital
from glost.report.tree import Cell, Column, Ref, Row, Rule, Section, Table
from glost.words.sentences import FRAME
from glost.words.spans import years

COMPARED = ("link", "match")
"""Kinds of things that say how another stands to what was described apart from it."""
_HIDDEN = {GLOST.withdraws, GLOST.replacedBy, RDF.type, *FRAME}
"""Properties by which nothing is told to refer to a thing: corrections, and parts of lives."""
_DATES = {"made": ("#made",), "run": ("#begin", "#end"), "date": ("",)}
"""What stands for a date in `linked.csv`, and the points it spans."""


@dataclass(frozen=True, slots=True)
class Linked:
    """How things that name a thing are told.

    Attributes
    ----------
    property_
        The property by which they name it.
    kind
        The kind of thing they are, as identifiers have it; empty for any.
    heading
        What stands above them.
    tell
        Properties of theirs, or a key of `_DATES`, that are told with them.
    """

    property_: URIRef
    kind: str
    heading: str
    tell: tuple[str, ...]


@cache
def linked() -> tuple[Linked, ...]:
    """Read how things that name a thing are told."""
    text = files("glost.report.things").joinpath("linked.csv").read_text(encoding="utf-8")
    return tuple(
        Linked(
            GLOST[row["property"]],
            row["kind"],
            row["heading"],
            tuple(name for name in row["tell"].split("|") if name),
        )
        for row in csv.DictReader(text.splitlines())
    )


@cache
def _link(property_: URIRef, kind: str) -> Linked | None:
    found = [e for e in linked() if e.property_ == property_ and e.kind in (kind, "")]
    return max(found, key=lambda each: bool(each.kind), default=None)


def heading_of(triple: Triple, otherwise: str) -> str:
    """Return what stands above things that name another by a property."""
    link = _link(URIRef(str(triple[1])), _kind(str(triple[0])))
    return otherwise if link is None else link.heading


def related(
    basis: ThingBasis,
    said: Said,
    thing: URIRef,
    without: Collection[str] = (),
    only: Collection[str] = (),
) -> Iterator[Section]:
    """Tell the things whose claims name a thing, kind by kind, with what tells them apart.

    Parameters
    ----------
    basis, said, thing
        The collection, what words it, and the thing.
    without
        Kinds of things that are left out, since they stand elsewhere.
    only
        The only kinds that are told; empty for all.
    """
    by: dict[tuple[URIRef, str], dict[str, list[tuple[Claim, bool]]]] = {}
    for claim, triple in basis.naming(str(thing)):
        subject, predicate, _ = triple
        other = whole(subject)
        if predicate in _HIDDEN or not basis.snapshot.collection.holds(other):
            continue
        if _kind(other) in without or (only and _kind(other) not in only):
            continue
        stands = basis.belief.against(claim.iri, triple) is None
        group = by.setdefault((URIRef(str(predicate)), _kind(other)), {})
        group.setdefault(other, []).append((claim, stands))
    ordered = sorted(by.items(), key=lambda item: (kind(item[0][1]).order, str(item[0][0])))
    parts = tuple(_part(basis, said, *key, things) for key, things in ordered)
    if parts:
        yield Section("related", "Related", parts, refers=True)


def _kind(iri: str) -> str:
    return id_of(iri).partition("/")[0]


def _part(
    basis: ThingBasis,
    said: Said,
    property_: URIRef,
    of: str,
    things: dict[str, list[tuple[Claim, bool]]],
) -> Table:
    link = _link(property_, of)
    heading = link.heading if link else f"{kind(of).many}: {said.name(property_)}"
    tell = link.tell if link else ()
    order = sorted(things, key=lambda iri: (natural(said.ref(URIRef(iri)).text), iri))
    rows = [
        Row(
            (said.ref(URIRef(iri)), *(_cell(basis, said, iri, name) for name in tell)),
            said.grounds(claim for claim, _ in things[iri]),
            "" if any(stands for _, stands in things[iri]) else "withdrawn",
        )
        for iri in order
    ]
    return _told(said, of, tell, rows, heading)


def _told(said: Said, of: str, tell: tuple[str, ...], rows: list[Row], heading: str = "") -> Table:
    """Return things as a table that can be narrowed by what is told of them."""
    columns = (Column(of, kind(of).one, "thing"), *(_column(said, name) for name in tell))
    narrow = tuple(c.name for c in columns[1:] if c.type in ("text", "thing"))
    return Table(columns, tuple(rows), (heading,) if heading else (), narrow).trimmed()


@cache
def listed() -> dict[str, tuple[str, ...]]:
    """Read what is told of each thing in the list of its kind."""
    text = files("glost.report.things").joinpath("listed.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return {row["kind"]: tuple(row["tell"].split("|")) for row in rows}


def listing(basis: ThingBasis, said: Said, of: str, iris: Iterable[str]) -> Table:
    """Return things of a kind as a table, each resting on the claims about it.

    Parameters
    ----------
    basis, said
        The collection, and what words it.
    of
        The kind, as identifiers have it.
    iris
        The things, in order.
    """
    tell = listed().get(of, ())
    rows = []
    for iri in iris:
        cells = (_cell(basis, said, iri, name) for name in tell)
        claims = basis.about(iri)
        standing = any(claim.iri not in basis.belief.withdrawn for claim in claims)
        grounds = said.grounds(claims) or (_NAMED,)
        rows.append(Row((said.ref(URIRef(iri)), *cells), grounds, "" if standing else "withdrawn"))
    return _told(said, of, tell, rows)


_NAMED = Rule("Named by claims about other things")


def _column(said: Said, name: str) -> Column:
    if name in _DATES:
        return Column(name, {"made": "Made", "run": "From, to", "date": "Date"}[name], "date")
    return Column(name, capital(said.name(GLOST[name])))


def _cell(basis: ThingBasis, said: Said, iri: str, name: str) -> Cell:
    if name in _DATES:
        return _when(basis, iri, _DATES[name])
    values = sorted(set(basis.belief.graph.objects(URIRef(iri), GLOST[name])), key=str)
    parts: list[str | Ref] = []
    for value in values:
        parts += [", "] if parts else []
        parts.append(said.value(value))
    return tuple(parts) if parts else None


def _when(basis: ThingBasis, iri: str, points: tuple[str, ...]) -> str | None:
    """Return the years of a thing; empty if nothing bounds them on either side."""
    first = basis.times.bounds(URIRef(iri + points[0])).earliest
    last = basis.times.bounds(URIRef(iri + points[-1])).latest
    return years((first, last)) or None


def resting(basis: ThingBasis, said: Said, thing: URIRef) -> Iterator[Section]:
    """Tell the claims about other things that rest on a thing as their source."""
    claims = basis.resting(str(thing))
    if claims:
        table = claims_table(basis, said, claims)
        yield Section("rests", "Statements that rest on it", (table,), refers=True)


_CLAIMS = (Column("place", "Where"), Column("says", "What it says"))


def claims_table(basis: ThingBasis, said: Said, claims: Iterable[Claim]) -> Table:
    """Tell claims, a row each: where in their source, and what each says of which it is left."""
    rows = []
    for claim in sorted(claims, key=lambda c: (natural(c.passage.locator), str(c.iri))):
        gone = claim.iri in basis.belief.withdrawn
        kept = claim.statements if gone else basis.belief.kept(claim)
        cells = (claim.passage.place or None, said.says(kept or claim.statements))
        rows.append(Row(cells, said.grounds([claim]), "withdrawn" if gone else ""))
    return Table(_CLAIMS, tuple(rows)).trimmed()


def natural(text: str) -> list[tuple[bool, int, str]]:
    """Sort p. 9 before p. 10."""
    parts = re.split(r"([0-9]{1,9})", text.casefold())
    return [(not part.isdecimal(), int(part) if part.isdecimal() else 0, part) for part in parts]
