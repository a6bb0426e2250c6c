"""From a request to what it asks: sections 4.1 (queries), 7.4 (data extension)."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from glost.publish.endpoint.problems import Problem
from glost.publish.endpoint.reconciling.candidates import Wanted
from glost.publish.endpoint.reconciling.limits import (
    BATCH,
    CANDIDATES,
    MOST,
    PROPERTIES,
    TEXT,
    THINGS,
)
from glost.publish.endpoint.reconciling.things import PublishedThings

_QUERY = {"query", "type", "limit", "properties", "type_strict"}


@dataclass(frozen=True, slots=True)
class BatchQuery:
    """A query of a batch.

    Attributes
    ----------
    wanted
        What it looks for.
    limit
        How many candidates it takes.
    """

    wanted: Wanted
    limit: int


@dataclass(frozen=True, slots=True)
class Extension:
    """A data extension query: ids as they were sent, and properties by IRI; None if unknown."""

    ids: tuple[str, ...]
    properties: tuple[tuple[str, str | None], ...]


def batch(text: str, things: PublishedThings) -> dict[str, BatchQuery]:
    """Read a batch of queries.

    Raises
    ------
    Problem
        If it is no JSON, no batch as the API has it, or too large.
    """
    told = _object(_json(text, "queries"), "queries", "a query under each key")
    if len(told) > BATCH:
        raise Problem(
            HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
            f"the batch has {len(told):,} queries",
            f"send at most {BATCH} at a time",
        )
    return {key: _query(key, each, things) for key, each in told.items()}


def extension(text: str, things: PublishedThings) -> Extension:
    """Read a data extension query.

    Raises
    ------
    Problem
        If it is no JSON, no such query, or asks for too much.
    """
    told = _object(_json(text, "extend"), "extend", "ids and properties")
    ids = _texts(told.get("ids"), "ids", THINGS)
    asked = _list(told.get("properties"), "properties", PROPERTIES)
    names = [_text(_object(each, "properties", "an id").get("id"), "id") for each in asked]
    known = _properties(things)
    return Extension(ids, tuple((name, known.get(name)) for name in dict.fromkeys(names)))


def _query(key: str, told: object, things: PublishedThings) -> BatchQuery:
    place = f"query {_short(key)}"
    fields = _object(told, place, "query or properties")
    unknown = sorted(set(fields) - _QUERY)
    if unknown:
        raise _bad(f"{place} has a field that is none: {_short(unknown[0])}")
    said = [_said(each, place, things) for each in
            _list(fields.get("properties", []), "properties", PROPERTIES)]  # fmt: skip
    text = _text(fields.get("query", ""), f"query of {place}").strip()
    if not text and not said:
        raise _bad(f"{place} has neither a query nor properties")
    limit = fields.get("limit", CANDIDATES)
    if isinstance(limit, bool) or not isinstance(limit, int) or limit < 1:
        raise _bad(f"the limit of {place} is not a whole number of 1 or more")
    wanted = Wanted(text, _types(fields.get("type"), place, things), tuple(filter(None, said)))
    return BatchQuery(wanted, min(limit, MOST))


def _types(told: object, place: str, things: PublishedThings) -> tuple[str, ...]:
    """Return the IRIs of types; of an unknown one nothing is, which its own text stands for."""
    if told is None or told == "":
        return ()
    asked = [told] if isinstance(told, str) else _list(told, "type", PROPERTIES)
    known = {each.id: each.iri for each in things.types.values()}
    return tuple(known.get(name, name) for name in (_text(e, f"type of {place}") for e in asked))


def _said(told: object, place: str, things: PublishedThings) -> tuple[str, tuple[str, ...]] | None:
    fields = _object(told, f"a property of {place}", "pid and v")
    if "v" not in fields:
        raise _bad(f"a property of {place} has no v")
    name = _text(fields.get("pid"), f"pid of {place}")
    value = fields["v"]
    values = value if isinstance(value, list) else [value]
    texts = tuple(_value(each, place, things) for each in values[:PROPERTIES])
    property_ = _properties(things).get(name)
    return None if property_ is None else (property_, texts)


def _value(told: object, place: str, things: PublishedThings) -> str:
    if isinstance(told, bool):
        return "true" if told else "false"
    if isinstance(told, int | float):
        return f"{told:g}" if isinstance(told, float) else str(told)
    if isinstance(told, Mapping):
        name = _text(told.get("id"), f"a value of {place}")
        return things.thing(name) or _text(told.get("name", name), f"a value of {place}")
    return _text(told, f"a value of {place}")


def _properties(things: PublishedThings) -> dict[str, str]:
    """Return IRIs of properties by the ids and IRIs under which they may be named."""
    return {name: iri for iri, each in things.properties.items() for name in (each.id, iri)}


def _json(text: str, field: str) -> object:
    try:
        told: object = json.loads(text, parse_constant=_no_number)
        json.dumps(told, ensure_ascii=False).encode()  # half a pair of surrogates is no text
        return told
    except (ValueError, RecursionError) as error:
        reason = f"the field {field} is no JSON: {str(error)[:200]}"
        raise Problem(HTTPStatus.BAD_REQUEST, reason, "write it as the API has it") from None


def _no_number(text: str) -> object:
    raise ValueError(f"{text} is no number in JSON")


def _object(told: object, what: str, holding: str) -> dict[str, Any]:
    if not isinstance(told, dict):
        raise _bad(f"{what} is no object with {holding}")
    return told


def _list(told: object, what: str, most: int) -> Sequence[object]:
    if not isinstance(told, list):
        raise _bad(f"{what} is no list")
    if len(told) > most:
        raise Problem(
            HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
            f"{what} has {len(told):,} entries",
            f"send at most {most} at a time",
        )
    return told


def _texts(told: object, what: str, most: int) -> tuple[str, ...]:
    return tuple(dict.fromkeys(_text(each, what) for each in _list(told, what, most)))


def _text(told: object, what: str) -> str:
    if not isinstance(told, str):
        raise _bad(f"{what} is no text")
    if len(told) > TEXT:
        raise _bad(f"{what} is longer than {TEXT:,} characters")
    return told


def _short(text: str) -> str:
    return json.dumps(text if len(text) <= 40 else f"{text[:40]}…", ensure_ascii=False)


def _bad(reason: str) -> Problem:
    return Problem(HTTPStatus.BAD_REQUEST, reason, "write it as the API has it")
