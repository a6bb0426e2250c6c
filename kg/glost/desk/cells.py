"""Cells as somebody types them: found by name, checked in the reader's words, shown in a form."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from glost.desk.opened import State
from glost.record.cells import CellError
from glost.record.entering import check_cell
from glost.record.schemes import fold
from glost.record.tables import SEPARATOR, Column, tables

_MINUTES = re.compile(r"(?<=[=,])([0-9]:[0-5][0-9](?:\.[0-9]+)?)(?=,|&|$)")
SHOWN = 8
"""Things that are offered for a cell."""


@dataclass(frozen=True, slots=True)
class Told:
    """What is said of a cell.

    Attributes
    ----------
    plain
        Its plain form; empty if it has none.
    means
        What it names, in words; empty if it names nothing.
    message, remedy
        What is wrong and what to do about it; empty if nothing is.
    offered
        What could stand there: the cell, what that is called, and of what kind it is.
    """

    plain: str = ""
    means: str = ""
    message: str = ""
    remedy: str = ""
    offered: tuple[tuple[str, str, str], ...] = ()


def tell(state: State, table: str, column: Column, text: str) -> Told:
    """Say what a cell comes to, and what could stand there."""
    offered = tuple(_offered(state, column, text))
    if not text.strip():
        return Told(offered=offered)
    try:
        plain = check_cell(state.record, column, resolved(state, column, text))
    except CellError as bad:
        return Told(message=bad.message, remedy=bad.remedy, offered=offered)
    means = meant(state, column, plain)
    exact = plain == text.strip()
    return Told(plain, means, offered=() if exact and len(offered) < 2 else offered)


def resolved(state: State, column: Column, text: str) -> str:
    """Put ids where names were written, wherever a name is that of one thing only.

    Minutes of a recording become two digits wide (``t=6:43``, ``t=06:43``), as the standard asks.

    Parameters
    ----------
    state
        The collection.
    column
        The column the text was written in.
    text
        What was written.
    """
    if column.quantity == "fragment":
        return _MINUTES.sub(r"0\1", text)
    kinds = _kinds(column)
    if not kinds and column.refers != ("*",):
        return text
    parts = text.split(SEPARATOR) if column.many else [text]
    return SEPARATOR.join(_id(state, column, kinds, part.strip()) for part in parts)


def resolved_row(state: State, table: str, row: Mapping[str, str]) -> dict[str, str]:
    """Do the same with every cell of a row, and leave out the empty ones."""
    columns = {column.name: column for column in tables()[table].real}
    return {
        name: resolved(state, columns[name], text) if name in columns else text
        for name, text in row.items()
        if text.strip()
    }


def _id(state: State, column: Column, kinds: tuple[str, ...], part: str) -> str:
    whole = column.refers == ("*",)
    if any(part in state.record.ids.get(kind, ()) for kind in kinds) or not part:
        return part
    found = state.names.find(part, kinds, whole=True)
    if len(found) != 1:
        return part
    name = _named(state, found[0])
    return name if whole else name.partition("/")[2]


def _named(state: State, iri: str) -> str:
    from urllib.parse import unquote

    return unquote(iri.removeprefix(state.base))


def _kinds(column: Column) -> tuple[str, ...]:
    """Return the kinds of things that a column's cells may name."""
    return tuple(tables()[name].kind for name in column.refers if name in tables())


def _scheme(column: Column) -> str:
    first = column.refers[0] if column.refers else ""
    return first.removeprefix("scheme/") if first.startswith("scheme/") else ""


def meant(state: State, column: Column, plain: str) -> str:
    """Say what a cell in its plain form names, in words; empty if it names nothing."""
    return "; ".join(filter(None, (_means(state, column, p) for p in plain.split(SEPARATOR))))


def _means(state: State, column: Column, part: str) -> str:
    if name := _scheme(column):
        iri = state.record.schemes[name].iris.get(part)
        return state.called(str(iri)) if iri is not None else ""
    if column.refers == ("*",):
        return state.called(f"{state.base}{part}")
    for kind in _kinds(column):
        if part in state.record.ids.get(kind, ()):
            return state.called(str(state.iri(kind, part)))
    return ""


def _offered(state: State, column: Column, text: str) -> Iterable[tuple[str, str, str]]:
    last = text.rpartition(SEPARATOR)[2].strip() if column.many else text.strip()
    if name := _scheme(column):
        yield from _terms(state, name, last)
        return
    kinds = _kinds(column)
    if not kinds and column.refers != ("*",):
        return
    from glost.desk.views.looking import found_for

    for iri in found_for(state, last, kinds)[:SHOWN]:
        kind, _, name = _named(state, iri).partition("/")
        yield (f"{kind}/{name}" if column.refers == ("*",) else name, state.called(iri), kind)


def _terms(state: State, scheme: str, text: str) -> Iterable[tuple[str, str, str]]:
    terms = state.record.schemes[scheme]
    folded = fold(text)
    begun = {
        slug
        for spelling, slugs in terms.spellings.items()
        if folded and folded in spelling
        for slug in slugs
    }
    listed = sorted(begun) if text else sorted(terms.iris)
    first = [slug for slug in terms.find(text) if slug in terms.iris]
    for slug in list(dict.fromkeys([*first, *listed]))[: SHOWN if text else 3 * SHOWN]:
        yield slug, state.called(str(terms.iris[slug])), ""
