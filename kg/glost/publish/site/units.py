"""Parts of a site that are made by themselves, and kept as they stand until what they show changes.

Of each unit, such as the pages of a thing, is kept at what of the collection it looked when it was
made, and which files it has (`glost.publish.site.noted`). When the site is published again, what
claims say now is compared with what they said, and what each other look sees now with what it
saw: only units that would look at something else are made again. U. A. Acar, "Self-adjusting
computation", Carnegie Mellon University, 2005, goes the same way.
"""

from collections.abc import Callable, Generator, Iterable, Iterator, Mapping, Set
from dataclasses import dataclass, field
from functools import cache, cached_property
from pathlib import Path
from typing import TypeAlias

import msgspec
from rdflib import BNode, Literal, URIRef
from rdflib.term import Node

from glost.answer.living.tracing import seen_by
from glost.publish.pictures.lettering import Measured, measured, remember
from glost.publish.site.folder import Content, StandingFile
from glost.publish.site.noted import UNKNOWN, Key, Looks
from glost.record.claims import Triple
from glost.record.index import whole
from glost.record.writing import Row

Made: TypeAlias = Generator[tuple[str, Content], None, bytes]
"""Path within the site and content of files; at the end, what the units among them looked at, as
`UnitNotes` in MessagePack."""

_BETWEEN, _WITHIN = "\x1f", "\x1d"


class UnitNotes(msgspec.Struct):
    """What some units looked at.

    Attributes
    ----------
    keys
        Every look, as `_code` writes it.
    digests
        What each saw, in the same order; None for a look at statements.
    units
        Of each unit by name, the numbers of its looks, its files, and what was counted for it.
    """

    keys: list[str]
    digests: list[str | None]
    units: dict[str, tuple[list[int], list[str], int]]

    def only(self, names: Iterable[str]) -> "UnitNotes":
        """Return what some of the units looked at."""
        numbers: dict[int, int] = {}
        units = {}
        for name in names:
            looks, files, number = self.units[name]
            units[name] = [numbers.setdefault(n, len(numbers)) for n in looks], files, number
        return UnitNotes([self.keys[n] for n in numbers], [self.digests[n] for n in numbers], units)


class ClaimNotes(msgspec.Struct):
    """What a claim said when a site was made.

    Attributes
    ----------
    says, believed
        Its statements, and those of them that were believed; None if all were.
    source
        On what it rested.
    """

    says: list[str]
    believed: list[str] | None
    source: str


class SiteNotes(msgspec.Struct):
    """What a site was made of.

    Attributes
    ----------
    stands
        A name for the site as it stood when it was made.
    frame
        A digest of what is the same on every page.
    schemes
        A digest of the concept schemes in force.
    claims
        Of each claim by IRI, a digest of all there is of it, and `ClaimNotes` in MessagePack.
    rows
        The rows that make the claims; None for one that fits no table.
    units
        What its units looked at, some of them at a time: `UnitNotes` in MessagePack, which take
        much less memory.
    widths
        How wide the lines of type are that its pictures hold.
    """

    stands: str
    frame: str
    schemes: str
    claims: dict[str, tuple[str, bytes]]
    rows: dict[str, Row | None]
    units: list[bytes]
    widths: list[tuple[Measured, float]]


_write = msgspec.msgpack.encode
_read_units = msgspec.msgpack.Decoder(UnitNotes).decode
_read_claim = msgspec.msgpack.Decoder(ClaimNotes).decode


@dataclass
class Units:
    """The units of a site that is made.

    Attributes
    ----------
    looks
        Where looks are noted.
    frame
        A digest of what is the same on every page.
    before
        What the site was made of that stands there; None if it does not, or nothing is known.
    folder, digests
        The folder of the site, and the digests of the files that stand there.
    number
        What the unit that is made counts, to be known though it is taken as it stands later.
    own
        What units looked at that are made one by one.
    rows
        Of claims by IRI the rows that make them, as far as they are known.
    """

    looks: Looks
    frame: str
    before: SiteNotes | None = None
    folder: Path = Path()
    digests: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.before is not None and self.before.frame != self.frame:
            self.before = None
        if self.before is not None:
            remember(dict(self.before.widths))
        self.number = 0
        self.own = _Noted(self)
        self._schemes = self.looks.schemes()
        self.rows: dict[str, Row | None] = {}
        if self.before is not None and self.before.schemes == self._schemes:
            self.rows = {iri: self.before.rows[iri] for iri in self.same}
        self._standing: dict[str, tuple[list[str], int]] = {}
        self._kept: list[tuple[Set[str], bytes]] = []
        if self.before is not None:
            self._compare(self.before)

    def _compare(self, before: SiteNotes) -> None:
        """Find the units that stand, and keep what they looked at."""
        changed = {_code(key) for key in _changed(before, self.looks)}
        same = cache(self._same)
        for part in before.units:
            notes = _read_units(part)
            stale = {
                number
                for number, (key, digest) in enumerate(zip(notes.keys, notes.digests, strict=True))
                if (key in changed if digest is None else not same(key, digest))
            }
            standing = {
                name: (files, number)
                for name, (looks, files, number) in notes.units.items()
                if stale.isdisjoint(looks) and all(file in self.digests for file in files)
            }
            self.looks.forget()
            self._standing |= standing
            self._kept.append((standing.keys(), _without(part, notes.units.keys() - standing)))

    def _same(self, key: str, digest: str) -> bool:
        """Say whether a look sees what it saw; not if what it looked at is no more."""
        try:
            return digest != UNKNOWN and self.looks.seen(_key(key)) == digest
        except KeyError:
            return False

    @cached_property
    def same(self) -> frozenset[str]:
        """IRIs of the claims of which all is as it was when the site was made that stands there."""
        told, claims = self.looks.told, {} if self.before is None else self.before.claims
        return frozenset(
            iri for iri, (digest, _) in claims.items() if iri in told and told[iri][0] == digest
        )

    def stands(self, of: str, iri: str) -> bool:
        """Say whether a unit would look at nothing else than when it was made."""
        return self.standing(of, iri) is not None

    def file(self, path: str) -> bytes:
        """Return a file of the site that stands there; empty if it has none of that name."""
        return (self.folder / path).read_bytes() if path in self.digests else b""

    def make(
        self, of: str, make: Callable[[str], Iterable[tuple[str, bytes]]], each: Iterable[str]
    ) -> Made:
        """Make units of a kind, or take them as they stand; return what they looked at.

        Parameters
        ----------
        of
            The kind.
        make
            Makes the files of one.
        each
            What they are of.
        """
        into = _Noted(self)
        for iri in each:
            yield from self.one(of, iri, make, into)
        return into.notes()

    def standing(self, of: str, iri: str) -> tuple[list[str], int] | None:
        """Return the files of a unit that stands, and what was counted; None if it does not."""
        return self._standing.get(f"{of}{_BETWEEN}{iri}")

    def one(
        self,
        of: str,
        iri: str,
        make: Callable[[str], Iterable[tuple[str, bytes]]],
        into: "_Noted | None" = None,
        count: int | None = None,
    ) -> Iterator[tuple[str, Content]]:
        """Make a unit, or take it as it stands; `number` is then what was counted for it.

        Where a count is given, the unit stands only if the same was counted for it.
        """
        there = self.standing(of, iri)
        if there is not None and count in (None, there[1]):
            files, self.number = there
            yield from ((file, StandingFile(self.digests[file])) for file in files)
            return
        self.looks.looks, self.number = set(), count or 0
        files = []
        for file, content in make(iri):
            files.append(file)
            yield file, content
        (into or self.own).take(of, iri, files, self.number)

    def noted(self, stands: str, made: Iterable[bytes]) -> SiteNotes:
        """Return what the site is made of, once it is made.

        Parameters
        ----------
        stands
            A name for the site as it stands.
        made
            What the units that were made looked at; see `make`.
        """
        kept = [_without(part, names & self.own.names) for names, part in self._kept]
        units = [*filter(None, (*kept, self.own.notes(), *made))]
        claims, widths = dict(_claims(self.looks)), list(measured().items())
        return SiteNotes(stands, self.frame, self._schemes, claims, self.rows, units, widths)


def _without(part: bytes, names: Set[str]) -> bytes:
    """Return what some units looked at, as `UnitNotes` in MessagePack, but for some of them."""
    if not names:
        return part
    notes, numbers = _read_units(part), dict[int, int]()
    units = {}
    for name in notes.units.keys() - names:
        looks, files, number = notes.units[name]
        units[name] = [numbers.setdefault(n, len(numbers)) for n in looks], files, number
    keys, digests = [notes.keys[n] for n in numbers], [notes.digests[n] for n in numbers]
    return _write(UnitNotes(keys, digests, units)) if units else b""


class _Noted:
    """What units look at that are made one after another."""

    def __init__(self, units: Units) -> None:
        self._of = units
        self._numbers: dict[Key, int] = {}
        self._units: dict[str, tuple[list[int], list[str], int]] = {}

    def take(
        self, of: str, iri: str, files: list[str], number: int, looks: Iterable[Key] | None = None
    ) -> None:
        """Take in what a unit looked at: what was noted last, if nothing else is given."""
        numbers, looks = self._numbers, self._of.looks.looks if looks is None else looks
        seen = [numbers.setdefault(key, len(numbers)) for key in looks]
        self._units[f"{of}{_BETWEEN}{iri}"] = seen, files, number

    @property
    def names(self) -> Set[str]:
        """The names of the units."""
        return self._units.keys()

    def notes(self) -> bytes:
        """Return what they looked at; nothing if there are none."""
        looks = self._of.looks
        seen = [looks.seen(key) for key in self._numbers]
        looks.forget()
        codes = [_code(key) for key in self._numbers]
        return _write(UnitNotes(codes, seen, self._units)) if self._units else b""


def _claims(looks: Looks) -> Iterator[tuple[str, tuple[str, bytes]]]:
    for iri, (digest, says, believed, source) in looks.told.items():
        said = [_triple(each) for each in says]
        held = None if believed == says else [_triple(each) for each in believed]
        yield iri, (digest, _write(ClaimNotes(said, held, source)))


def _changed(before: SiteNotes, looks: Looks) -> set[Key]:
    """Return every look at statements that would see something else."""
    found: set[Key] = set()
    was, now = set[str](), set[str]()
    for iri in before.claims.keys() | looks.told.keys():
        kept, new = before.claims.get(iri), looks.told.get(iri)
        if kept is not None and new is not None and kept[0] == new[0]:
            continue
        old = None if kept is None else _read_claim(kept[1])
        found.add(("claim", iri))
        for source, says in (
            *(((old.source, [_back(each) for each in old.says]),) if old is not None else ()),
            *(((new[3], new[1]),) if new is not None else ()),
        ):
            found.add(("resting", source))
            for triple in says:
                found |= {("rests", *triple), ("about", whole(triple[0]))}
                if isinstance(triple[2], URIRef):
                    found.add(("mentioning", whole(triple[2])))
        if old is not None:
            was.update(old.says if old.believed is None else old.believed)
        if new is not None:
            now.update(map(_triple, new[2]))
    changed = was ^ now
    if changed:
        # What other claims say, too, came or went with none of them.
        for iri, (digest, _, believed, _) in looks.told.items():
            if iri in before.claims and before.claims[iri][0] == digest:
                changed.difference_update(map(_triple, believed))
    if changed:
        found |= {each for each in seen_by(map(_back, changed)) if each[0] != "about"}
    return found


# -- looks as texts -------------------------------------------------------------------------------


def _code(key: Key) -> str:
    return _BETWEEN.join([key[0], *map(_term, key[1:])])


def _key(code: str) -> Key:
    kind, *terms = code.split(_BETWEEN)
    return kind, *map(_term_back, terms)


def _triple(triple: Triple) -> str:
    return _BETWEEN.join(map(_term, triple))


def _back(code: str) -> Triple:
    subject, verb, value = map(_term_back, code.split(_BETWEEN))
    return subject, verb, value


def _term(term: object) -> str:
    kind = type(term)
    if kind is URIRef:
        return f"<{term}"  # joined by +, it would be a URIRef again
    if kind is str:
        return f"={term}"
    if isinstance(term, Literal):
        text = str(term).replace(_BETWEEN, "").replace(_WITHIN, "")  # which none should hold
        return f'"{text}{_WITHIN}{term.language or ""}{_WITHIN}{term.datatype or ""}'
    return f"_{term}" if kind is BNode else f"={term}"


@cache
def _term_back(code: str) -> Node:
    kind, text = code[0], code[1:]
    if kind == "<":
        return URIRef(text)
    if kind == "_":
        return BNode(text)
    if kind == "=":
        return text  # type: ignore[return-value]
    text, language, datatype = text.rsplit(_WITHIN, 2)
    return Literal(text, language or None, URIRef(datatype) if datatype else None, normalize=False)
