"""What can be drawn of a collection: each picture is a module of `glost.publish.pictures.kinds`.

Such a module bears the picture's name. It holds the picture's table, makes it of a collection,
tells it in words and draws it, and ends with `SUBJECT`. Nothing else names a picture: a module
that is put there can be drawn, and stands on the site where its `Subject` says.
"""

import ast
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path
from types import MappingProxyType
from typing import cast

from rdflib import Graph, URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.answer.groups import standing_for
from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.publish.pictures.picture import Drawing
from glost.record.errors import RecordError, RecordErrors

_FOLDER = Path(__file__).with_name("kinds")


@dataclass(frozen=True, slots=True)
class Subject:
    """Something that can be drawn.

    Attributes
    ----------
    of
        What it may, or must, be asked of; empty if nothing.
    draw
        Draws it, given the collection and what is asked (empty if nothing).
    needed
        Whether it must be asked of something.
    lists
        Of what it is drawn for the site's lists, and the kind whose list it then stands on.
    things
        On the pages of which things it stands, by what is believed.
    """

    of: str
    draw: Callable[[Snapshot, str], Drawing]
    needed: bool = False
    lists: tuple[tuple[str, str], ...] = ()
    things: Callable[[Graph], Iterable[Node]] | None = None


def every(kind: URIRef) -> Callable[[Graph], Iterable[Node]]:
    """Have a picture stand on the page of each thing of a class."""
    return lambda facts: facts.subjects(RDF.type, kind)


def names() -> tuple[str, ...]:
    """Return the names of what can be drawn, sorted; imports none of it."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("[a-z]*.py")))


def told() -> dict[str, str]:
    """Say of each what it shows, by its module's first sentence; imports none of it."""
    texts = {name: (_FOLDER / f"{name}.py").read_text(encoding="utf-8") for name in names()}
    docs = {name: ast.get_docstring(ast.parse(text)) or "" for name, text in texts.items()}
    return {name: doc.partition("\n\n")[0].replace("\n", " ") for name, doc in docs.items()}


@cache
def subjects() -> Mapping[str, Subject]:
    """Return what can be drawn, by name."""
    modules = {name: import_module(f"glost.publish.pictures.kinds.{name}") for name in names()}
    return MappingProxyType({name: cast(Subject, m.SUBJECT) for name, m in modules.items()})


def draw(snapshot: Snapshot, what: str, of: str = "") -> Drawing:
    """Draw something of a collection.

    Parameters
    ----------
    snapshot
        The collection.
    what
        A key of `subjects`.
    of
        What it is asked of: a kind of things, or a thing by id, kind/id or name.

    Raises
    ------
    KeyError
        If there is no such subject.
    RecordErrors
        If it is asked of something that is not there, or of nothing where it must be.
    """
    subject = subjects()[what]
    if subject.needed and not of:
        where = str(snapshot.record.collection.path)
        raise RecordErrors([RecordError(where, f"{what} is drawn of {subject.of}", "name it")])
    return subject.draw(snapshot, of)


def thing_of(snapshot: Snapshot, of: str, *kinds: str) -> URIRef | None:
    """Find what a picture is asked of; None if it is asked of nothing."""
    return find_thing(snapshot.record, of, *kinds) if of else None


def shapes_of(snapshot: Snapshot, of: str, *kinds: str) -> tuple[URIRef, ...]:
    """Find what a picture is asked of; of a group of shapes its members, of nothing nothing."""
    group = ("group",) if "group" in snapshot.record.ids else ()
    found = thing_of(snapshot, of, *kinds, *group)
    return () if found is None else standing_for(snapshot.belief, found, str(snapshot.path))


def must_be(snapshot: Snapshot, thing: URIRef, kind: URIRef) -> None:
    """Refuse a thing of the wrong kind.

    Raises
    ------
    RecordErrors
        If it is of another kind; says which things are of this one.
    """
    facts = snapshot.belief.graph
    if (thing, RDF.type, kind) in facts:
        return
    base = snapshot.record.base
    name = str(kind).rsplit("#", 1)[-1].lower()
    known = sorted(str(each).removeprefix(base) for each in facts.subjects(RDF.type, kind))
    remedy = f"there are {', '.join(known[:12])}" if known else f"there is no {name} here"
    if len(known) > 12:
        remedy += f" and {len(known) - 12} more"
    message = f'"{str(thing).removeprefix(base)}" is not a {name}'
    raise RecordErrors([RecordError(str(snapshot.record.collection.path), message, remedy)])
