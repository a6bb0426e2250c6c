"""Page images: what stands on record of a page, region by region, and rows entered from it."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from http import HTTPStatus
from pathlib import PurePosixPath
from urllib.parse import unquote

from rdflib import URIRef
from starlette.responses import Response

from glost.desk.asked import Asked, Missing, Routes
from glost.desk.frame import page
from glost.desk.opened import Opened
from glost.desk.state import State
from glost.desk.views.entering import row_form
from glost.desk.views.looking import last_step, told
from glost.desk.views.rows import page_rows
from glost.names import GLOST, SCHEMES
from glost.record.claims import Claim, Passage
from glost.record.fragments import FragmentError, read_fragment
from glost.record.images import FOLDER, ImageFile, look
from glost.record.spelling import id_of
from glost.record.tables import TableDescription, tables

_ITEM = re.compile(r"\b(?:item|no\.?|line)\s*([0-9]{1,5})\b", re.IGNORECASE)
_FIRST = ("assortments", "treatments", "shapes", "appearances", "marks", "decals", "pieces")
"""The tables that most pages fill, first."""
_GAPS = 60
_RECORDING = URIRef(f"{SCHEMES}source-kind/recording")


@dataclass(frozen=True, slots=True)
class Outlined:
    """A region of a page with what rests on it.

    Attributes
    ----------
    box
        Left, top, width and height in pixels.
    passage
        The passage.
    claims
        The claims that rest on it, each with what it says.
    """

    box: tuple[float, float, float, float]
    passage: Passage
    claims: tuple[tuple[Claim, str], ...]


def pages(opened: Opened, asked: Asked) -> Response:
    """Show every image of the collection, with what it is of."""
    state = opened.state(asked.as_of)
    files = sorted({*state.pictures, *_files(state)})
    cited = [state.image_of(passage) for passage in state.resting]
    listed = []
    for file in files:
        found = state.image(file)
        if found is not None:
            of = [(iri, state.called(iri)) for iri in state.pictures.get(file, ())]
            listed.append((file.removeprefix(f"{FOLDER}/"), found, of, cited.count(file)))
    return page("pages", state, here="/pages", listed=listed, recordings=recordings(state))


def recordings(state: State) -> list[tuple[str, str, int]]:
    """Return the sources that are recordings: id, name, and stretches of each on record."""
    facts = state.snapshot.belief.graph
    found = {str(each) for each in facts.subjects(GLOST.sourceKind, _RECORDING)}
    counts = dict.fromkeys(found, 0)
    for passage in state.resting:
        if timed(passage.region):
            counts[str(passage.source)] = counts.get(str(passage.source), 0) + 1
    named = ((state.called(iri), iri.rpartition("/")[2], n) for iri, n in counts.items())
    return [(name, called, n) for called, name, n in sorted(named)]


def timed(region: str) -> bool:
    try:
        return bool(region) and read_fragment(region).timed
    except FragmentError:
        return False


def _files(state: State) -> Iterator[str]:
    """Yield the image files in the collection's folder that can be shown."""
    top = state.record.collection.path
    for path in sorted((top / FOLDER).rglob("*")):
        file = path.relative_to(top).as_posix()
        hidden = any(part.startswith(".") for part in PurePosixPath(file).parts)
        if not hidden and path.is_file() and isinstance(look(top, file), ImageFile):
            yield file


def of_page(opened: Opened, asked: Asked) -> Response:
    """Show a page image with its regions, and the form for a row of it."""
    state = opened.state(asked.as_of)
    name = asked.places["file"]
    file = f"{FOLDER}/{name}"
    found = state.image(file)
    if found is None:
        raise Missing("there is no such image in the collection")
    outlined = list(regions(state, found))
    of = state.pictures.get(file, ())
    sources = [unquote(iri.rpartition("/")[2]) for iri in of if _kind(state, iri) == "source"]
    source = sources[0] if len(sources) == 1 else ""
    chosen = asked.get("table")
    form = None
    status = HTTPStatus.OK
    region = asked.get("region")
    if chosen and source:
        table = tables().get(chosen)
        begun = defaults(state, table, source, outlined, region) if table else {}
        form = row_form(opened, state, asked, chosen, begun, f"/page/{name}")
        if isinstance(form, Response):
            return form
        wrong = form.errors or any(each.message for each in form.told.values())
        status = HTTPStatus.BAD_REQUEST if wrong and asked.saves else HTTPStatus.OK
        region = form.cells.get("region", "") or region
    state = opened.state(asked.as_of)
    places = ((n, each.passage.locator) for n, each in enumerate(outlined, 1))
    listed, left = page_rows(
        state,
        [(place, claim) for place, each in zip(places, outlined, strict=True)
         for claim, _ in each.claims],
    )  # fmt: skip
    return page(
        "page",
        state,
        here="/pages",
        status=status,
        file=name,
        image=found,
        of=[(iri, state.called(iri)) for iri in of],
        source=source,
        outlined=outlined,
        listed=listed,
        left=[(place, claim, told(state, claim)) for place, claim in left],
        gaps=gaps(each.passage.locator for each in outlined),
        tables=in_order(),
        form=form,
        drawn=box(region, found),
        prefix=prefix(state, source, file),
        saved=last_step(opened, asked),
    )


def _kind(state: State, iri: str) -> str:
    return iri.removeprefix(state.base).partition("/")[0]


def in_order() -> list[TableDescription]:
    """Return the tables, those that most pages fill first."""
    return sorted(
        tables().values(),
        key=lambda t: (_FIRST.index(t.name) if t.name in _FIRST else len(_FIRST), t.name),
    )


def defaults(
    state: State, table: TableDescription, source: str, outlined: Sequence[Outlined], region: str
) -> dict[str, str]:
    """Return the cells that a row read from a page begins with.

    What must be named, the kiln of a zone or the shape of an article, is the one thing of its kind
    that stands on record from the page, if there is but one.
    """
    found = {"region": region, **_spoken_of(state, table, outlined)}
    own = table.source_from if table.source_from in _names(table, "sources") else "source"
    if table.kind != "source":
        found[own] = source
    places = {each.passage.locator.partition(",")[0] for each in outlined}
    if len(places) == 1:
        found["locator"] = places.pop()
    return found


def _spoken_of(
    state: State, table: TableDescription, outlined: Sequence[Outlined]
) -> dict[str, str]:
    there: dict[str, set[str]] = {}
    for each in outlined:
        for claim, _ in each.claims:
            for subject, _, value in claim.statements:
                for node in (subject, value):
                    if str(node).startswith(state.base):
                        kind, _, name = id_of(str(node)).partition("#")[0].partition("/")
                        there.setdefault(kind, set()).add(unquote(name))
    found = {}
    for column in table.real:
        of = column.refers[0] if column.required and len(column.refers) == 1 else ""
        names = there.get(tables()[of].kind, set()) if of in tables() and of != "sources" else set()
        if len(names) == 1 and not column.many:
            found[column.name] = next(iter(names))
    return found


def _names(table: TableDescription, target: str) -> list[str]:
    """Return the columns of a table that name things of another."""
    return [column.name for column in table.real if target in column.refers]


def prefix(state: State, source: str, file: str) -> str:
    """Return what stands before a region: the image's name, if its source has several."""
    iri = str(state.iri("source", source))
    own = [each for each, of in state.pictures.items() if iri in of]
    return f"{file.removeprefix(f'{FOLDER}/')}#" if len(own) > 1 else ""


def regions(state: State, image: ImageFile) -> Iterator[Outlined]:
    """Yield the regions of an image that claims rest on, from the top left."""
    found = []
    for passage, claims in state.resting.items():
        place = box(passage.region, image) if state.image_of(passage) == image.file else None
        if place is not None:
            said = tuple((claim, told(state, claim)) for claim in claims)
            found.append(Outlined(place, passage, said))
    yield from sorted(found, key=lambda each: (each.box[1], each.box[0], each.passage.locator))


def box(region: str, image: ImageFile) -> tuple[float, float, float, float] | None:
    """Return a region in pixels of an image; None if it is no part of it."""
    try:
        written = read_fragment(region).box if region else ""
    except FragmentError:
        return None
    unit, colon, numbers = written.rpartition(":")
    if not numbers or not image.width:
        return None
    x, y, w, h = map(float, numbers.split(","))
    if colon and unit == "percent":
        x, w = x * image.width / 100, w * image.width / 100
        y, h = y * image.height / 100, h * image.height / 100
    w, h = min(w, image.width - x), min(h, image.height - y)
    return (x, y, w, h) if w > 0 and h > 0 else None


def gaps(locators: Iterable[str]) -> list[int]:
    """Return the item numbers between the first and the last on a page that have no row yet."""
    there = {int(found[1]) for each in locators if (found := _ITEM.search(each))}
    if not there:
        return []
    return [n for n in range(min(there), max(there)) if n not in there][:_GAPS]


ROUTES: Routes = (
    ("/pages", pages),
    ("/page/{file:path}", of_page),
)
