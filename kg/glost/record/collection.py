"""A collection: a folder of plain text that holds what sources say."""

import os
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

import pyoxigraph as ox

from glost import limits
from glost.record.cells import text_fault
from glost.record.characters import visible
from glost.record.dates import DEFAULT_MARGIN, Margin
from glost.record.errors import RecordError, RecordErrors, quoted, suggestion
from glost.record.files import SETTINGS, fingerprint
from glost.record.opening import read_whole, text_of

if TYPE_CHECKING:
    from glost.record.claims import Claim

_TEXTS = (
    "title", "base", "licence", "publisher", "description",
    "language", "place", "contact", "issued",
)  # fmt: skip
_NEEDED = ("title", "base")
_FORMS = {
    "language": (re.compile(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*"), "tag of a language", '"en"'),
    "contact": (
        re.compile(r"https?://[^\s<>\"{}|\\^`]+|[^\s<>\"{}|\\^`@]+@[^\s<>\"{}|\\^`@]+"),
        "address of the web or of mail", '"keeper@example.org"',
    ),
    "issued": (
        re.compile(r"[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])"), "day", '"2024-06-30"',
    ),
}  # fmt: skip
"""What some settings must look like: a pattern, what that is, and an example."""
_FORMER = ("renamed", "withdrawn")
_IDENTIFIER = re.compile(r"[a-z][a-z-]*/[A-Za-z0-9][A-Za-z0-9._~-]*")
_YEARS = ("margin_years", "catalogue_lag_years")
_RULES = ("without", "also")
_KEEPERS = "together"


@dataclass(frozen=True, slots=True)
class MemberCollection:
    """A collection that is read together with others.

    Attributes
    ----------
    name
        What it is called where they are read together.
    collection
        Its own settings.
    """

    name: str
    collection: "Collection"


@dataclass(frozen=True, slots=True)
class Collection:
    """What ``collection.toml`` says.

    Attributes
    ----------
    path
        The folder.
    title, licence, publisher, description
        As in the file; empty if not given.
    language
        The language that titles, names and descriptions are in, by its BCP 47 tag; English if
        empty.
    place
        Where what is described was made, in words, or the IRI of the place; empty if not given.
    contact
        Where to write to about the collection: an address of the web or of mail.
    issued
        The day it was first published, ``YYYY-MM-DD``.
    keywords
        Words by which the collection is looked for.
    renamed, withdrawn
        Identifiers that were published and are no more, ``shape/elder``, with what each is called
        now, or with what took its place, empty if nothing.
    base
        IRI that begins every identifier of the collection; ends in ``/``.
    margin_years
        Years by which a date marked approximate is widened on either side; None for the default
        of `glost.record.dates`.
    catalogue_lag_years
        Years by which a list may lag behind what is in production; None for the default of
        `glost.trade.times`.
    without_rules, also_rules
        Rules of `glost.trade.times` to do without, and those to use only because they are named.
    trust
        Weight of a source, by its id: 1 for a source trusted like any other.
    together
        Folders of the collections that are read together here, relative to the own, by name.
    members
        These collections, by name; each stays its keeper's.
    """

    path: Path
    title: str
    base: str
    licence: str = ""
    publisher: str = ""
    description: str = ""
    language: str = ""
    place: str = ""
    contact: str = ""
    issued: str = ""
    keywords: tuple[str, ...] = ()
    renamed: dict[str, str] = field(default_factory=dict)
    withdrawn: dict[str, str] = field(default_factory=dict)
    margin_years: int | None = None
    catalogue_lag_years: int | None = None
    without_rules: tuple[str, ...] = ()
    also_rules: tuple[str, ...] = ()
    trust: dict[str, float] = field(default_factory=dict)
    together: dict[str, str] = field(default_factory=dict)
    members: tuple[MemberCollection, ...] = ()

    @property
    def every(self) -> tuple["Collection", ...]:
        """The collection itself and those that are read together with it."""
        return (self, *(each.collection for each in self.members))

    def holding(self, iri: str) -> "Collection | None":
        """Return the collection, of these, whose base begins an IRI; None if none does."""
        found = [each for each in self.every if iri.startswith(each.base)]
        return max(found, key=lambda each: len(each.base), default=None)

    def holds(self, iri: str) -> bool:
        """Say whether an IRI is of this collection, or of one that is read together here."""
        return any(iri.startswith(each.base) for each in self.every)

    def claim(self, name: str, find: Callable[[str], "Claim | None"]) -> "Claim | None":
        """Find a claim by id or IRI; by an id that two keepers gave, none.

        Parameters
        ----------
        name
            The id or IRI.
        find
            Finds a claim by its IRI.
        """
        name = self.named(name)
        if self.holds(name):
            return find(name)
        found = [find(f"{each.base}claim/{name}") for each in self.every]
        there = [claim for claim in found if claim is not None]
        return there[0] if len(there) == 1 else None

    def named(self, name: str) -> str:
        """Return an IRI for what is written ``keeper:kind/id``; anything else as it is."""
        keeper, rest = self.keeper(name)
        return name if keeper is None else keeper.base + rest

    def keeper(self, name: str) -> tuple["Collection | None", str]:
        """Part what is written ``keeper:name``; None with the whole if it names no keeper."""
        before, colon, rest = name.partition(":")
        found = next((m for m in self.members if colon and m.name == before), None)
        return (None, name) if found is None else (found.collection, rest)

    @property
    def margin(self) -> Margin:
        """How far dates marked approximate are widened: years of 365 days, or the default."""
        if self.margin_years is None:
            return DEFAULT_MARGIN
        return Margin(year=self.margin_years * 365)


def read_collection(path: Path) -> Collection:
    """Read a collection's settings, and those of the collections that are read together with it.

    Parameters
    ----------
    path
        The folder.

    Raises
    ------
    RecordErrors
        If there is no ``collection.toml``, or anything in it is missing, unknown or ill-formed.
    """
    own = read_own_settings(path)
    if not own.together:
        return own
    errors: list[RecordError] = []
    members = read_members(path, own.together, own.base, errors)
    if errors:
        raise RecordErrors(errors)
    return replace(own, members=members)


def read_own_settings(path: Path) -> Collection:
    """Read a collection's settings, and none of what is read together with it.

    Parameters and errors are those of `read_collection`.
    """
    if not os.path.lexists(path / SETTINGS):
        remedy = "name the folder of a collection, or start one with: glost new FOLDER"
        raise RecordErrors([RecordError(SETTINGS, f"there is none in {path}", remedy)])
    data = _parsed(read_whole(path, path / SETTINGS, limits.SETTINGS))
    errors = [*_unknown(data), *_wrong(data), *_wrong_together(data.get(_KEEPERS, {}))]
    if errors:
        raise RecordErrors(errors)
    dates = data.get("dates", {})
    return Collection(
        path=path,
        together=dict(sorted(data.get(_KEEPERS, {}).items())),
        margin_years=dates.get("margin_years"),
        catalogue_lag_years=dates.get("catalogue_lag_years"),
        without_rules=tuple(dates.get("without", ())),
        also_rules=tuple(dates.get("also", ())),
        keywords=tuple(data.get("keywords", ())),
        renamed=dict(data.get("renamed", {})),
        withdrawn=dict(data.get("withdrawn", {})),
        trust={name: float(weight) for name, weight in data.get("trust", {}).items()},
        **{name: data.get(name, "") for name in _TEXTS},
    )


def state(top: Path) -> str:
    """Reckon what tells one state of a collection, and of all read together with it, from others.

    Parameters
    ----------
    top
        The collection's folder.

    Raises
    ------
    OSError
        If a file cannot be read.
    """
    own = fingerprint(top)
    try:
        members = read_collection(top).members
    except RecordErrors:
        return own
    if not members:
        return own
    parts = [own, *(f"{m.name} {fingerprint(m.collection.path)}" for m in members)]
    return sha256("\x1e".join(parts).encode()).hexdigest()


_NAME = re.compile("[a-z][a-z0-9-]{0,39}")


def _wrong_together(given: object) -> list[RecordError]:
    if isinstance(given, dict) and all(
        isinstance(folder, str) and _NAME.fullmatch(name) for name, folder in given.items()
    ):
        return []
    message = f"[{_KEEPERS}] does not give the folder of a collection under each name"
    remedy = f'write [{_KEEPERS}], and under it a line for each: valley = "../wend-valley"'
    return [RecordError(SETTINGS, message, remedy)]


def read_members(
    path: Path, given: Mapping[str, str], base: str, errors: list[RecordError]
) -> tuple[MemberCollection, ...]:
    """Read the settings of the collections that are read together; one named twice is read once.

    Parameters
    ----------
    path
        The folder of what reads them together.
    given
        Their folders, relative to that, by name.
    base
        Its base IRI.
    errors
        Everything wrong is appended here.
    """
    found: dict[str, MemberCollection] = {}
    for name, folder in sorted(given.items()):
        try:
            one = read_own_settings((path / folder).resolve())
        except RecordErrors as bad:
            errors.extend(replace(e, file=f"{name}: {e.file}") for e in bad.errors)
            continue
        fault = _unfit(name, one, found, base)
        if fault is not None:
            errors.append(fault)
        else:
            found.setdefault(one.base, MemberCollection(name, one))
    return tuple(sorted(found.values(), key=lambda each: each.name))


def _unfit(
    name: str, one: Collection, found: dict[str, MemberCollection], base: str
) -> RecordError | None:
    """Say why a collection cannot be read together with others."""
    if one.together:
        remedy = "name the collections that it reads together"
        return RecordError(SETTINGS, f"{name} reads collections together itself", remedy)
    if one.base == base:
        remedy = "give what is read together a base of its own"
        return RecordError(SETTINGS, f"{name} has the base {base} of its own", remedy)
    there = found.get(one.base)
    if there is not None and there.collection.path.resolve() != one.path.resolve():
        remedy = "name one of them; two states of a collection are not two witnesses"
        return RecordError(SETTINGS, f"{there.name} and {name} have one base: {one.base}", remedy)
    return None


def _parsed(found: bytes | RecordError) -> dict[str, Any]:
    """Parse the settings; `RecordErrors` if they cannot be read."""
    if isinstance(found, bytes):
        text = text_of(SETTINGS, found, "save the file as text in UTF-8")
        if isinstance(text, str):
            try:
                _few_names(text)
                return tomllib.loads(text)
            except RecursionError:
                found = RecordError(
                    SETTINGS, "it is nested too deep", "settings are lines of name = value"
                )
            except ValueError as bad:
                found = RecordError(SETTINGS, f"it cannot be read: {str(bad)[:200]}", "correct it")
        else:
            found = text
    raise RecordErrors([found])


_BARE = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*"""|"(?:[^"\\\n]|\\.)*"'
    r"|'''.*?'''|'[^'\n]*'|#[^\n]*",
    re.DOTALL,
)
"""Strings and comments, in which dots part nothing."""


def _few_names(text: str) -> None:
    """Raise ValueError if a key has so many names that parsing it would not end soon."""
    for piece in re.split(r"[=,\[\]{}\n]", _BARE.sub("s", text)):
        if piece.count(".") >= limits.KEY:
            raise ValueError(f"a key has more than {limits.KEY} names parted by dots")


def _unknown(data: dict[str, object]) -> list[RecordError]:
    known = (*_TEXTS, "keywords", "dates", "trust", *_FORMER, _KEEPERS)
    return [
        RecordError(
            SETTINGS,
            f"{quoted(name)} is not known here",
            suggestion(name, known, f"settings are {', '.join(known)}"),
            found=name,
        )
        for name in data
        if name not in known
    ]


def _wrong(data: dict[str, object]) -> list[RecordError]:
    errors = []
    for name in _TEXTS:
        value = data.get(name, "")
        if not isinstance(value, str):
            errors.append(RecordError(SETTINGS, f"{name} is not text", f'write {name} = "…"'))
        elif name in _NEEDED and not value.strip():
            errors.append(RecordError(SETTINGS, f"{name} is missing", f'write {name} = "…"'))
        elif (fault := text_fault(value)) is not None:
            errors.append(RecordError(SETTINGS, f"{name}: {fault.message}", fault.remedy))
        elif value and name in _FORMS and not _FORMS[name][0].fullmatch(value):
            message = f"{name} {quoted(value)} is no {_FORMS[name][1]}"
            errors.append(RecordError(SETTINGS, message, f"write it like {_FORMS[name][2]}"))
    keywords = data.get("keywords", [])
    if not isinstance(keywords, list) or not all(
        isinstance(each, str) and each.strip() and text_fault(each) is None for each in keywords
    ):
        remedy = 'write keywords = ["pottery", "dinnerware"]'
        errors.append(RecordError(SETTINGS, "keywords is not a list of words", remedy))
    errors += [each for name in _FORMER for each in _wrong_former(name, data.get(name, {}))]
    base = data.get("base")
    if isinstance(base, str) and base and (message := base_fault(base)):
        remedy = 'write it like base = "https://example.org/pottery/"'
        errors.append(RecordError(SETTINGS, message, remedy))
    return errors + _wrong_numbers(data)


_PATH = r"(?:[^\s<>\"{}|\\^`#?%\[\]]|%[0-9A-Fa-f]{2})*"
_HOST = r"(?:[\w-]+(?:\.[\w-]+)*\.?|\[[0-9A-Fa-f:.]+\])"
_BASE = re.compile(rf"https?://{_HOST}(?::[0-9]{{1,5}})?/(?:{_PATH}/)?")


def base_fault(base: str) -> str:
    """Say what is wrong with a base IRI; empty if nothing is.

    Parameters
    ----------
    base
        What is to begin every identifier: an http address with a host, whose path ends in ``/``
        and has no query, fragment, dot segments or characters that an IRI may not have (RFC 3987).
    """
    told = f"base {quoted(base)}"
    if len(base) > _LONGEST_BASE:
        return f"{told} has {len(base):,} characters"
    if not _BASE.fullmatch(base):
        return f"{told} is not an http address ending in /"
    if any(segment in (".", "..") for segment in base.split("/")):
        return f"{told} holds . or .. as a part of its path"
    try:
        if visible(base) != base:
            raise ValueError(base)
        ox.NamedNode(base)
        urlsplit(base).port  # noqa: B018 - raises if it is none
    except ValueError:
        return f"{told} is not an IRI"
    return ""


_LONGEST_BASE = 2_000
"""Characters of a base: web servers and browsers refuse addresses of more than a few thousand."""


def _wrong_former(name: str, told: object) -> list[RecordError]:
    """Find what is wrong with a table of identifiers that were."""
    remedy = f'write [{name}], and under it "shape/elder" = "shape/alder"'
    if not isinstance(told, dict):
        return [RecordError(SETTINGS, f"[{name}] is not a table", remedy)]
    none = [""] if name == "withdrawn" else []
    return [
        RecordError(SETTINGS, f"[{name}] {quoted(str(each))} is no kind/id", remedy)
        for old, new in told.items()
        for each in (old, *([] if new in none else [new]))
        if not (isinstance(each, str) and _IDENTIFIER.fullmatch(each))
    ]


def _wrong_dates(dates: object) -> list[RecordError]:
    if not isinstance(dates, dict):
        remedy = "write [dates], and under it margin_years = 3"
        return [RecordError(SETTINGS, "[dates] is not a table", remedy)]
    errors = []
    for name, value in dates.items():
        if name in _YEARS:
            most = limits.MARGIN_YEARS
            if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= most:
                message = f"{name} is not a whole number of years from 0 to {most:,}"
                errors.append(RecordError(SETTINGS, message, f"write {name} = 3"))
        elif name in _RULES:
            if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
                remedy = f'write {name} = ["list-offers-shape"]'
                errors.append(RecordError(SETTINGS, f"{name} is not a list of rules", remedy))
        else:
            known = (*_YEARS, *_RULES)
            remedy = suggestion(name, known, f"[dates] holds {', '.join(known)}")
            message = f"{quoted(name)} is not known in [dates]"
            errors.append(RecordError(SETTINGS, message, remedy))
    return errors


def _wrong_numbers(data: dict[str, object]) -> list[RecordError]:
    errors = _wrong_dates(data.get("dates", {}))
    trust = data.get("trust", {})
    if not isinstance(trust, dict) or not all(
        isinstance(weight, int | float)
        and not isinstance(weight, bool)
        and 0 < weight <= limits.TRUST
        for weight in trust.values()
    ):
        message = f"[trust] gives each source id a number above 0, at most {limits.TRUST:,}"
        errors.append(RecordError(SETTINGS, message, "write it like later-book = 0.5"))
    return errors
