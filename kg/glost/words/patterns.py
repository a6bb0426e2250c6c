"""Patterns by which things are named, read from ``patterns.toml``, and what is wrong with them."""

import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, TypeAlias

from rdflib import OWL, RDF, Graph, URIRef
from rdflib.term import Node

from glost.data import folder
from glost.names import GLOST, PREFIXES
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.record.tables import tables

FILE = "words/patterns.toml"
NAME = "name"
"""Stands in a pattern for the thing's own name."""
TERMS = "terms"
"""The table of terms of other vocabularies."""
POINTS = ("run", "made", "itself")
_KEYS = {"label": True, "apart": True, "key": True, "dates": False, "begun": False,
         "ended": False, "short": False, "point": False}  # fmt: skip
"""The keys a kind may have, and whether each holds several."""
_KIND = re.compile(r"\.\./([\w-]+)/")
_TOKEN = re.compile(r"\{([^{}]*)\}|([\[\]])|([^{}\[\]]+)|(.)")
_CHOICE = re.compile(r'((?:[^"]|"[^"]*")*?)(?: less "([^"]*)")?')


@dataclass(frozen=True, slots=True)
class PathStep:
    """One step from a thing to what is told of it.

    Attributes
    ----------
    property_
        The property.
    inverse
        Whether it leads from the value to the thing that has it.
    """

    property_: URIRef
    inverse: bool


PropertyPath: TypeAlias = tuple[PathStep, ...]


@dataclass(frozen=True, slots=True)
class PatternPart:
    """A part of a pattern in braces.

    Attributes
    ----------
    choices
        Paths, texts to put as they stand, and None for the thing's own name; the first that is
        known is taken.
    less
        What is taken from its end.
    """

    choices: tuple[PropertyPath | str | None, ...]
    less: str = ""


@dataclass(frozen=True, slots=True)
class OptionalParts:
    """Parts of a pattern that are left out unless every one of them is known."""

    parts: "tuple[PatternPart | str, ...]"


Pattern: TypeAlias = tuple[PatternPart | OptionalParts | str, ...]


@dataclass(frozen=True, slots=True)
class KindPatterns:
    """How things of a kind are called; what each means stands at the top of ``patterns.toml``."""

    label: tuple[Pattern, ...]
    apart: tuple[Pattern, ...] = ()
    key: tuple[tuple[PropertyPath, ...], ...] = ()
    dates: str = ""
    begun: str = "begun"
    ended: str = "ended"
    short: str = ""
    point: str = "run"


@cache
def _file() -> Mapping[str, Mapping[str, object]]:
    found = tomllib.loads(Path(__file__).with_name("patterns.toml").read_text(encoding="utf-8"))
    assert all(isinstance(each, dict) for each in found.values())
    return found


@cache
def terms() -> Mapping[URIRef, str]:
    """Return what terms of other vocabularies are called."""
    return {property_(name): str(called) for name, called in _file()[TERMS].items()}


@cache
def patterns() -> Mapping[str, KindPatterns]:
    """Return the patterns of each kind.

    Raises
    ------
    RecordErrors
        For all that cannot be read.
    """
    return read_patterns({kind: given for kind, given in _file().items() if kind != TERMS})


def read_patterns(kinds: Mapping[str, Mapping[str, object]]) -> dict[str, KindPatterns]:
    """Read patterns as the file has them; see `patterns`."""
    errors: list[RecordError] = []
    found = {}
    for kind, given in kinds.items():
        values: dict[str, Any] = {}
        for key, value in given.items():
            if key not in _KEYS:
                remedy = suggestion(key, _KEYS, f"keys are {', '.join(_KEYS)}")
                errors.append(_fault(kind, key, f'there is no key "{key}"', remedy))
                continue
            try:
                values[key] = _value(key, value)
            except ValueError as error:
                errors.append(_fault(kind, key, str(error), "see the top of the file"))
        if not errors and not values.get("label"):
            errors.append(_fault(kind, "label", "it is missing", "write at least one pattern"))
        if not errors:
            found[kind] = KindPatterns(**values)
    if errors:
        raise RecordErrors(errors)
    return found


def _fault(kind: str, key: str, message: str, remedy: str) -> RecordError:
    return RecordError(FILE, f"[{kind}] {key}: {message}", remedy)


def _value(key: str, value: object) -> object:
    if not _KEYS[key]:
        if key == "point" and value not in POINTS:
            raise ValueError(f'"{value}" is none of {", ".join(POINTS)}')
        return str(value)
    if not isinstance(value, list):
        raise ValueError("it is no list")
    if key == "key":
        return tuple(tuple(map(_path, text.split("|"))) for text in value)
    return tuple(read_pattern(text) for text in value)


def read_pattern(text: str) -> Pattern:
    """Read one pattern.

    Raises
    ------
    ValueError
        If it cannot be read.
    """
    parts: list[PatternPart | OptionalParts | str] = []
    inner: list[PatternPart | str] | None = None
    for held, bracket, plain, odd in _TOKEN.findall(text):
        if bracket:
            if (bracket == "[") != (inner is None):
                raise ValueError(f"brackets do not match in {text!r}")
            if inner is not None:
                parts.append(OptionalParts(tuple(inner)))
            inner = [] if bracket == "[" else None
            continue
        if odd:
            raise ValueError(f"braces do not match in {text!r}")
        (parts if inner is None else inner).append(plain or _part(held))
    if inner is not None:
        raise ValueError(f"brackets do not match in {text!r}")
    return tuple(parts)


def _part(text: str) -> PatternPart:
    held, less = _CHOICE.fullmatch(text).groups()  # type: ignore[union-attr]  # it fits any text
    return PatternPart(tuple(_choice(each) for each in held.split("|")), less or "")


def _choice(text: str) -> PropertyPath | str | None:
    if text == NAME:
        return None
    if text[:1] == '"':
        return text.strip('"')
    return _path(text)


def _path(text: str) -> PropertyPath:
    steps = (PathStep(property_(name.lstrip("^")), name[:1] == "^") for name in text.split("."))
    return tuple(steps)


def property_(name: str) -> URIRef:
    """Return the property of a name: ``form`` of the vocabulary, ``dcterms:title`` of another.

    A whole address names itself.

    Raises
    ------
    ValueError
        If there is no such prefix.
    """
    if "://" in name:
        return URIRef(name)
    prefix, colon, local = name.rpartition(":")
    if colon and prefix not in PREFIXES:
        raise ValueError(f'there is no prefix "{prefix}"')
    return URIRef(f"{PREFIXES[prefix]}{local}") if colon else GLOST[local]


# -- what is wrong with them -----------------------------------------------------------------------


def faults(of: Mapping[str, KindPatterns], vocabulary: Graph) -> list[RecordError]:
    """Find kinds, classes and properties that patterns name and that there are not.

    Parameters
    ----------
    of
        Patterns by kind.
    vocabulary
        The vocabulary.
    """
    classes = _local(vocabulary, OWL.Class)
    held = {
        term
        for kind in (OWL.ObjectProperty, OWL.DatatypeProperty, OWL.AnnotationProperty)
        for term in vocabulary.subjects(RDF.type, kind)
    }
    among = sorted(str(term).removeprefix(str(GLOST)) for term in held)
    errors = []
    for kind, its in of.items():
        if kind not in named_kinds() and kind not in classes:
            remedy = suggestion(
                kind,
                {c.casefold(): c for c in (*classes, *named_kinds())}.values(),
                "see ontology/tables",
            )
            errors.append(RecordError(FILE, f"[{kind}]: there is no such kind", remedy))
        for key, named in _named(its):
            if named not in held:
                local = str(named).removeprefix(str(GLOST))
                message = f'there is no property "{local}"'
                errors.append(_fault(kind, key, message, suggestion(local, among, "see glost.ttl")))
    return errors


@cache
def named_kinds() -> frozenset[str]:
    """Return the kinds of which table descriptions, schemes or the program make things."""
    abouts = (column.about for table in tables().values() for column in table.columns)
    found = {m[1] for about in abouts if (m := _KIND.match(about))}
    schemes = {path.stem for path in (folder("ontology") / "schemes").glob("*.ttl")}
    return frozenset(found | schemes)


def _local(vocabulary: Graph, kind: URIRef) -> list[str]:
    found = (str(term) for term in vocabulary.subjects(RDF.type, kind))
    return sorted(term.removeprefix(str(GLOST)) for term in found if term.startswith(str(GLOST)))


def _named(its: KindPatterns) -> Iterator[tuple[str, URIRef]]:
    """Yield each property that patterns name, with the key under which it stands."""
    for key, several in (("label", its.label), ("apart", its.apart)):
        for part in _parts(part for pattern in several for part in pattern):
            for choice in part.choices:
                if isinstance(choice, tuple):
                    yield from ((key, step.property_) for step in choice)
    yield from (("key", step.property_) for ways in its.key for path in ways for step in path)


def own_properties(pattern: Iterable[PatternPart | OptionalParts | str]) -> Iterator[URIRef]:
    """Yield the properties of a thing itself that a pattern names."""
    for part in _parts(pattern):
        for choice in part.choices:
            if isinstance(choice, tuple) and not choice[0].inverse:
                yield choice[0].property_


def own_paths(pattern: Iterable[PatternPart | OptionalParts | str]) -> Iterator[PropertyPath]:
    """Yield the paths by which a pattern looks from a thing."""
    for part in _parts(pattern):
        yield from (choice for choice in part.choices if isinstance(choice, tuple))


def led_from(graph: Graph, path: PropertyPath, end: Node) -> set[Node]:
    """Return what a path leads from to an end."""
    found: set[Node] = {end}
    for step in reversed(path):
        found = {
            each
            for at in found
            for each in (graph.objects(at, step.property_) if step.inverse
                         else graph.subjects(step.property_, at))
        }  # fmt: skip
    return found


def _parts(of: Iterable[PatternPart | OptionalParts | str]) -> Iterator[PatternPart]:
    for part in of:
        if isinstance(part, OptionalParts):
            yield from _parts(part.parts)
        elif isinstance(part, PatternPart):
            yield part


def checked(vocabulary: Callable[[], Graph]) -> Mapping[str, KindPatterns]:
    """Return the patterns, once it is sure that there is all that they name.

    Raises
    ------
    RecordErrors
        For each kind and property that there is not, with file, kind and key.
    """
    if not _sound(vocabulary):
        raise RecordErrors(faults(patterns(), vocabulary()))
    return patterns()


@cache
def _sound(vocabulary: Callable[[], Graph]) -> bool:
    return not faults(patterns(), vocabulary())
