"""Recordings: what is on record of each stretch of time, and rows entered from one."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from http import HTTPStatus

from rdflib import URIRef
from starlette.responses import Response

from glost.desk.asked import Asked, Missing, Routes
from glost.desk.frame import page
from glost.desk.opened import Opened
from glost.desk.state import State
from glost.desk.views.entering import row_form
from glost.desk.views.looking import last_step, told
from glost.desk.views.paging import defaults, in_order, timed
from glost.names import GLOST
from glost.record.claims import Claim, Passage
from glost.record.fragments import read_fragment
from glost.record.tables import tables


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a recording with what rests on it.

    Attributes
    ----------
    begin, end
        Seconds from the start; the end is None if it lasts to the end of the recording.
    words
        The stretch in words.
    passage
        The passage.
    claims
        The claims that rest on it, each with what it says.
    """

    begin: Fraction
    end: Fraction | None
    words: str
    passage: Passage
    claims: tuple[tuple[Claim, str], ...]


def of_recording(opened: Opened, asked: Asked) -> Response:
    """Show a recording with its stretches, and the form for a row of one."""
    state = opened.state(asked.as_of)
    name = asked.places["name"]
    if name not in state.record.ids.get("source", ()):
        raise Missing(f"there is no recording {name} here")
    iri = state.iri("source", name)
    heard = sorted(stretches(state, iri), key=lambda each: (each.begin, each.words))
    chosen, form, status = asked.get("table"), None, HTTPStatus.OK
    if chosen:
        table = tables().get(chosen)
        begun = defaults(state, table, name, (), asked.get("region")) if table else {}
        form = row_form(opened, state, asked, chosen, begun, f"/recording/{name}")
        if isinstance(form, Response):
            return form
        wrong = form.errors or any(each.message for each in form.told.values())
        status = HTTPStatus.BAD_REQUEST if wrong and asked.saves else HTTPStatus.OK
    state = opened.state(asked.as_of)
    return page(
        "recording",
        state,
        here="/pages",
        status=status,
        iri=str(iri),
        name=name,
        heard=heard,
        strip=_strip(heard),
        tables=in_order(),
        form=form,
        region=asked.get("region"),
        addresses=sorted(map(str, state.snapshot.belief.graph.objects(iri, GLOST.address))),
        saved=last_step(opened, asked),
    )


def stretches(state: State, source: URIRef) -> Iterator[Stretch]:
    """Yield the stretches of a recording that claims rest on."""
    for passage, claims in state.resting.items():
        if passage.source != source or not timed(passage.region):
            continue
        part = read_fragment(passage.region)
        said = tuple((claim, told(state, claim)) for claim in claims)
        yield Stretch(part.begin or Fraction(0), part.end, part.words, passage, said)


def _strip(heard: Sequence[Stretch]) -> list[tuple[float, float]]:
    """Lay stretches along a strip of a thousand, as wide as the last of them needs."""
    last = max((each.end or each.begin + 30 for each in heard), default=Fraction(1))
    found = []
    for each in heard:
        width = (each.end or last) - each.begin
        found.append((float(1000 * each.begin / last), max(4.0, float(1000 * width / last))))
    return found


ROUTES: Routes = (("/recording/{name}", of_recording),)
