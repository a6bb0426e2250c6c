"""What a user calls a thing, found in a collection."""

from typing import TYPE_CHECKING
from urllib.parse import quote, unquote

from rdflib import URIRef

from glost.record.errors import RecordError, RecordErrors
from glost.words.lookup import names_of

if TYPE_CHECKING:
    from glost.record.store import Recorded


def find_thing(record: "Recorded", name: str, *kinds: str) -> URIRef:
    """Find a thing by IRI, id, ``kind/id``, a name or number, or a part of one that only it has.

    Parameters
    ----------
    record
        The record.
    name
        What the user calls it; see `glost.words.lookup`.
    kinds
        The kinds of thing it may be (``shape``); any if none is given.

    Raises
    ------
    RecordErrors
        If nothing is called that, naming what comes nearest; if it may be several, naming them; if
        it is of another kind.
    """
    exact = _by_id(record, name, kinds)
    if len(exact) == 1:
        return URIRef(exact[0])
    names = names_of(record)
    keeper, rest = record.collection.keeper(name)
    found = names.find(rest, kinds)
    if keeper is not None:
        found = tuple(iri for iri in found if iri.startswith(keeper.base))
    if len(found) == 1:
        return URIRef(found[0])
    if not found and not kinds and record.claim(name):
        return URIRef(f"{record.base}claim/{name}")
    raise RecordErrors([_not_found(record, name, found, kinds)])


def _by_id(record: "Recorded", name: str, kinds: tuple[str, ...]) -> list[str]:
    """Find things by IRI, ``kind/id`` or id, for which nothing needs to be named."""
    name = record.collection.named(name)
    held = record.collection.holding(name)
    base = record.base if held is None else held.base
    kind, slash, slug = name.removeprefix(base).partition("/")
    if slash and (not kinds or kind in kinds):
        iri = f"{base}{kind}/{quote(unquote(slug), safe='')}"
        there = (base == record.base and unquote(slug) in record.ids.get(kind, ())) or (
            record.claim(iri) if kind == "claim" else any(record.speaking_of(URIRef(iri))[0])
        )
        return [iri] if there else []
    ids = {kind: record.ids.get(kind, frozenset()) for kind in kinds} or record.ids
    return [
        f"{record.base}{kind}/{quote(name, safe='')}" for kind in sorted(ids) if name in ids[kind]
    ]


def _not_found(
    record: "Recorded", name: str, found: tuple[str, ...], kinds: tuple[str, ...]
) -> RecordError:
    where, names = str(record.collection.path), names_of(record)
    if found:
        return RecordError(where, f'"{name}" may be {names.several(found)}', "write which")
    wanted = " or ".join(kinds)
    others = names.find(name, whole=True) if kinds else ()
    if len(others) == 1:
        message = f'"{name}" is {names.told(others[0])}'
        return RecordError(where, message, f"name a {wanted}")
    near = names.instead(name, kinds)
    what = f'no {wanted} is called "{name}"' if kinds else f'nothing here is called "{name}"'
    return RecordError(where, what, near or "glost overview shows what there is")
