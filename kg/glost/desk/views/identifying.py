"""A piece in the hand: what shape it may be of, when it was made, and what to look at next."""

from dataclasses import dataclass
from urllib.parse import urlencode

from rdflib import URIRef
from starlette.responses import Response

from glost.desk.asked import Asked, Routes
from glost.desk.frame import page, part
from glost.desk.opened import Opened
from glost.desk.state import State
from glost.record.errors import RecordError
from glost.record.tables import tables
from glost.trade.dating import Dated, Limiter, date_seen
from glost.trade.naming import Naming, ranked
from glost.trade.naming.reading import COLUMNS, Reader
from glost.words.spans import between

_FIRST = ("form", "rim", "handle", "mark", "number", "glaze", "features")
"""What is asked for first; the rest stands behind a fold."""
_SEVERAL = 8


@dataclass(frozen=True, slots=True)
class Identified:
    """What a piece may be.

    Attributes
    ----------
    naming, dated
        Shapes it may be of, and its dates; None where what was seen cannot be read.
    errors
        What is wrong with what was written.
    made, decorated
        When, in words.
    save
        The address of a form for a row of it.
    """

    naming: Naming | None
    dated: Dated | None
    errors: tuple[RecordError, ...]
    made: str = ""
    decorated: str = ""
    save: str = ""


def piece(opened: Opened, asked: Asked) -> Response:
    """Show the form for what is seen, and what that comes to."""
    state = opened.state(asked.as_of)
    return page(
        "piece",
        state,
        here="/piece",
        first=_FIRST,
        rest=[name for name in COLUMNS if name not in _FIRST],
        given={name: asked.get(name) for name in COLUMNS},
        found=identified(state, asked),
        several=_SEVERAL,
        words=state.snapshot.words,
    )


def answer(opened: Opened, asked: Asked) -> Response:
    """Show what it comes to, as a part of a page, while one types."""
    state = opened.state(asked.as_of)
    return part(
        "identified",
        state=state,
        found=identified(state, asked),
        several=_SEVERAL,
        words=state.snapshot.words,
    )


def identified(state: State, asked: Asked) -> Identified | None:
    """Say what a piece may be by what is seen on it; None if nothing was said."""
    given = {name: asked.get(name) for name in COLUMNS if asked.get(name)}
    if not given:
        return None
    seen, errors = Reader(state.record).read(given, "what you see")
    if errors:
        return Identified(None, None, tuple(errors))
    naming = ranked(state.naming, seen)
    dated = date_seen(Limiter(state.naming, state.snapshot.chronology), seen)
    return Identified(
        naming,
        dated,
        (),
        between(dated.made.days),
        between(dated.decorated.days),
        f"/enter/pieces?{urlencode(_cells(given, naming))}",
    )


def _cells(given: dict[str, str], naming: Naming) -> dict[str, str]:
    """Return the cells of a row that says what was seen, and of what shape only if one leads."""
    columns = {column.name for column in tables()["pieces"].real}
    told = {"number": "number_read", "date_code": "date_code_read"}
    found = {told.get(name, name): text for name, text in given.items()}
    if "shape" not in found and len(naming.equal) == 1:
        found["shape"] = _slug(naming.equal[0].shape)
    return {f"cell-{name}": text for name, text in found.items() if name in columns}


def _slug(iri: URIRef) -> str:
    return str(iri).rsplit("/", 1)[-1]


ROUTES: Routes = (
    ("/piece", piece),
    ("/piece/answer", answer),
)
