"""What every page of the desk shares: its head, its way round, and how templates are filled."""

import csv
import re
from base64 import b64encode
from collections.abc import Iterator
from functools import cache
from hashlib import sha256
from http import HTTPStatus
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape
from starlette.responses import HTMLResponse

from glost.publish.layout import CAUTION
from glost.report.as_html import Html
from glost.report.as_html import status as standing
from glost.report.kinds import kind
from glost.report.tree import Picture, Report
from glost.words.sentences import unboxed

if TYPE_CHECKING:
    from glost.desk.state import State

HERE = Path(__file__).parent
WAYS = (
    ("/", "Collection"),
    ("/pages", "Pages"),
    ("/piece", "A piece"),
    ("/questions", "Questions"),
    ("/conflicts", "Conflicts"),
    ("/timeline", "Timeline"),
    ("/pictures", "Pictures"),
    ("/talks", "Talks"),
    ("/history", "History"),
)
"""The parts of the desk that every page leads to."""


def page(
    template: str,
    state: "State | None" = None,
    *,
    here: str = "",
    status: int = HTTPStatus.OK,
    **values: Any,
) -> HTMLResponse:
    """Fill a template.

    Parameters
    ----------
    template
        Its name without ending.
    state
        The collection; None where it cannot be read.
    here
        The way that leads to the page, of `WAYS`.
    status
        Of the answer.
    values
        What else the template shows.
    """
    known = {
        "state": state,
        "title": state.record.collection.title if state else "",
        "as_of": state.as_of if state else None,
        "here": here,
        "ways": WAYS,
        "caution": CAUTION,
    }
    text = environment().get_template(f"{template}.html").render({**known, **values})
    return HTMLResponse(text, status)


def part(name: str, **values: Any) -> HTMLResponse:
    """Fill a template that is a part of a page, for the script to put in its place."""
    return HTMLResponse(environment().get_template(f"{name}.html").render(values))


@cache
def environment() -> Environment:
    """Return the templates, everything in them escaped for HTML."""
    made = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        auto_reload=False,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals.update(standing=lambda word: Markup(standing(word)), kind=kind)
    made.filters["at_the_desk"] = at_the_desk
    made.filters["unboxed"] = unboxed
    made.filters["on"] = lambda claims: urlencode(
        [("on", iri.rpartition("/")[2]) for iri in dict.fromkeys(claims)]
    )
    made.filters["one"] = lambda count, one, many: f"{count:,} {one if count == 1 else many}"
    made.filters["capital"] = lambda text: text[:1].upper() + text[1:]
    return made


def compiling() -> Iterator[None]:
    """Compile the templates, one at each step, for who has else to do."""
    for name in environment().list_templates():
        environment().get_template(name)
        yield


def at_the_desk(text: str) -> str:
    """Say a remedy that names a command as it is done at the desk."""
    for said, here in _commands():
        text = text.replace(said, here)
    return text


@cache
def _commands() -> tuple[tuple[str, str], ...]:
    with (HERE / "at_the_desk.csv").open(encoding="utf-8", newline="") as file:
        return tuple((said, here) for said, here in list(csv.reader(file))[1:])


def shown(state: "State", report: Report) -> Html:
    """Return what writes a report, its links and pictures leading about the desk."""
    return Html(report, state.link, lambda picture: drawn(state, picture), rests="claims")


def drawn(state: "State", picture: Picture) -> str:
    """Show an image of the collection, or a part of one, that leads to the whole of it."""
    image = state.image(picture.file)
    if image is None:
        return ""
    name = escape(picture.file.removeprefix("images/"))
    told = escape(picture.alternative)
    if not image.width or picture.box is None:
        return f'<a href="/page/{name}"><img src="/image/{name}" alt="{told}" loading="lazy"></a>'
    x, y, w, h = (round(each) for each in picture.box)
    x, y = max(0, x - 12), max(0, y - 12)
    w, h = min(w + 24, image.width - x), min(h + 24, image.height - y)
    return (
        f'<a href="/page/{name}?region=xywh={x},{y},{w},{h}"><svg role="img" aria-label="{told}" '
        f'viewBox="{x} {y} {max(1, w)} {max(1, h)}" width="{max(1, w)}" height="{max(1, h)}">'
        f'<image href="/image/{name}" width="{image.width}" height="{image.height}"/></svg></a>'
    )


def policy(text: str) -> str:
    """Say what a sheet may show: it is one file, its own style stands in it, and no script does.

    The style is named by its SHA-256 (Content Security Policy Level 3, section 2.3.1).
    """
    styles = re.findall(r"<style>(.*?)</style>", text, re.DOTALL)
    hashes = (b64encode(sha256(each.encode()).digest()).decode() for each in styles)
    named = " ".join(f"'sha256-{each}'" for each in hashes) or "'none'"
    return f"default-src 'none'; style-src {named}; img-src data:"
