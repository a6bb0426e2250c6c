"""Cells as somebody types them: found by name, checked in the reader's words, shown in a form."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from unicodedata import normalize

from glost.desk.state import State
from glost.record.cells import CellError
from glost.record.entering import check_cell
from glost.record.schemes import fold
from glost.record.tables import SEPARATOR, ColumnDescription, tables

_MINUTES = re.compile(r"(?<=[=,])([0-9]:[0-5][0-9](?:\.[0-9]+)?)(?=,|&|$)")
_IDS = re.compile(r"[^a-z0-9]+")
NAMED = ("name", "title")
"""Columns that say what a thing is called."""
SHOWN = 8
"""Things that are offered for a cell."""


@dataclass(frozen=True, slots=True)
class ToldCell:
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


def tell(
    state: State, column: ColumnDescription, text: str, lately: Sequence[str] = ()
) -> ToldCell:
    """Say what a cell comes to, and what could stand there.

    Parameters
    ----------
    state
        The collection.
    column
        Where the cell stands.
    text
        What was typed.
    lately
        IRIs of things that rows were entered of at this sitting, the last one first: they are
        offered first where nothing is typed yet.
    """
    offered = tuple(_offered(state, column, text, lately))
    if not text.strip():
        return ToldCell(offered=offered)
    try:
        plain = check_cell(state.record, column, resolved(state, column, text))
    except CellError as bad:
        return ToldCell(message=bad.message, remedy=bad.remedy, offered=offered)
    means = meant(state, column, plain)
    exact = plain == text.strip()
    return ToldCell(plain, means, offered=() if exact and len(offered) < 2 else offered)


def resolved(state: State, column: ColumnDescription, text: str) -> str:
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


def named_row(state: State, table: str, row: Mapping[str, str]) -> dict[str, str]:
    """Do the same, and make an id of the name of what has none yet and is called like nothing else.

    Where something is called so already the id is left empty, and asked for: whether this is the
    same cannot be known here.
    """
    found = resolved_row(state, table, row)
    described = tables()[table]
    key = described.key[0] if described.kind and described.key else ""
    name = next((found[each] for each in NAMED if each in found), "")
    plain = normalize("NFKD", fold(name)).encode("ascii", "ignore").decode()
    slug = _IDS.sub("-", plain).strip("-")[:40]
    if not key or found.get(key) or not slug or slug in state.record.ids.get(described.kind, ()):
        return found
    known = state.names.find(name, (described.kind,), whole=True)
    return found if known else {key: slug, **found}


def _id(state: State, column: ColumnDescription, kinds: tuple[str, ...], part: str) -> str:
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


def _kinds(column: ColumnDescription) -> tuple[str, ...]:
    """Return the kinds of things that a column's cells may name."""
    return tuple(tables()[name].kind for name in column.refers if name in tables())


def _scheme(column: ColumnDescription) -> str:
    first = column.refers[0] if column.refers else ""
    return first.removeprefix("scheme/") if first.startswith("scheme/") else ""


def meant(state: State, column: ColumnDescription, plain: str) -> str:
    """Say what a cell in its plain form names, in words; empty if it names nothing."""
    return "; ".join(filter(None, (_means(state, column, p) for p in plain.split(SEPARATOR))))


def _means(state: State, column: ColumnDescription, part: str) -> str:
    if name := _scheme(column):
        iri = state.record.schemes[name].iris.get(part)
        return state.called(str(iri)) if iri is not None else ""
    if column.refers == ("*",):
        return state.found(f"{state.base}{part}")
    for kind in _kinds(column):
        if part in state.record.ids.get(kind, ()):
            return state.found(str(state.iri(kind, part)))
    return ""


def _offered(
    state: State, column: ColumnDescription, text: str, lately: Sequence[str]
) -> Iterable[tuple[str, str, str]]:
    last = text.rpartition(SEPARATOR)[2].strip() if column.many else text.strip()
    if name := _scheme(column):
        yield from _terms(state, name, last)
        return
    kinds = _kinds(column)
    if not kinds and column.refers != ("*",):
        return
    from glost.desk.views.looking import found_for

    first = [] if last else [i for i in lately if _named(state, i).partition("/")[0] in kinds]
    for iri in list(dict.fromkeys([*first, *found_for(state, last, kinds)]))[:SHOWN]:
        kind, _, name = _named(state, iri).partition("/")
        yield (f"{kind}/{name}" if column.refers == ("*",) else name, state.found(iri), kind)


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
