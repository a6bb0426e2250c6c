"""The pages of the endpoint: to try queries, to read results, and to be told what is wrong."""

import re
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

from jinja2 import Environment

from glost.answer.questions import catalogue
from glost.names import PREFIXES
from glost.publish.endpoint.formats import FORMS
from glost.publish.endpoint.messages import Fields, Query, Titled
from glost.publish.endpoint.problems import Problem
from glost.publish.endpoint.shown import ROWS, ShownResult
from glost.publish.layout import SECTIONS, Frame, around, environment
from glost.report.as_html import Html
from glost.report.tree import Report

HERE = Path(__file__).parent
_QUERY = "Query"
"""The section of the endpoint's own page."""
_HEADER = re.compile(r"\A(#[^\n]*\n)*\s*")
FIRST = """\
SELECT ?shape ?name WHERE {
  ?shape a glost:Shape ;
    rdfs:label ?name .
}
ORDER BY ?name
LIMIT 50
"""
"""The query that stands in an empty page."""


def prepare() -> None:
    """Read everything that pages are made of, so that no file is opened later."""
    catalogue()
    templates = _environment()
    for name in templates.list_templates():
        templates.get_template(name)


def empty(named: Titled) -> str:
    """Return the page to try queries on, with nothing asked yet."""
    return _page("query.html", named, text=FIRST, chosen="", shown=None)


def result(named: Titled, query: Query, text: str, shown: ShownResult) -> str:
    """Return the page with a result under its query.

    Parameters
    ----------
    named
        The collection.
    query
        What was asked.
    text
        The query, parameters in place.
    shown
        What is shown of its result.
    """
    chosen = dict(query.fields).get("question", "")
    report = Report("", "Result", sections=(shown.section,))
    made = Html(report, lambda iri: _link(iri, named.base), rests="places" if chosen else "nothing")
    return _page(
        "query.html",
        named,
        text=_HEADER.sub("", text) if chosen else text,
        chosen=chosen,
        shown=shown,
        rows=made.parts(shown.section),
        end=made.end() if chosen else "",
        downloads=_downloads(query.fields, shown.gives),
        given=dict(query.fields),
        cut=max(0, shown.total - ROWS),
    )


def problem(named: Titled, root: str, text: str, bad: Problem) -> str:
    """Return the page that says what is wrong with a request.

    Parameters
    ----------
    named
        The collection.
    root
        The way from the address asked for to the top of the site, ``../``.
    text
        The query as it was sent, to be put right; may be empty.
    bad
        What is wrong.
    """
    return _page("problem.html", named, root=root, text=text, bad=bad)


def preview(named: Titled, **told: Any) -> str:
    """Return what tells of a thing in a frame of another page; nothing in it runs.

    Parameters
    ----------
    named
        The collection.
    **told
        ``name`` and ``description`` of the thing, ``address`` of its page, and ``lines``: names of
        properties with their values.
    """
    return _environment().get_template("preview.html").render(title=named.title, **told)


def _page(template: str, named: Titled, **values: Any) -> str:
    known = {
        "title": named.title,
        "base": named.base,
        "root": "",
        "questions": tuple(catalogue().values()),
        "prefixes": sorted(PREFIXES),
        "downloads": [],
        "given": {},
        "cut": 0,
        "alternates": (),
    }
    given = {**known, **values}
    frame = Frame(named.title, sections=(*SECTIONS, (_QUERY, "sparql")))
    top, foot = around(frame, given["root"], _QUERY if template == "query.html" else "")
    page = _environment().get_template(template)
    return page.render(site=frame, top=top, foot=foot, **given)


@cache
def _environment() -> Environment:
    return environment(
        HERE / "templates",
        sentence=lambda text: text[:1].upper() + text[1:] + ".",
    )


def _link(iri: str, base: str) -> str | None:
    """Return where an IRI leads: under the base to the site itself, else out into the web."""
    if iri.startswith(base):
        return f"./{quote(iri.removeprefix(base), safe='/#%')}"
    return iri if iri.startswith(("http://", "https://")) else None


def _downloads(asked: Fields, gives: str) -> list[tuple[str, str]]:
    """Return names and addresses of the same result in the formats for machines."""
    fields = [(name, value) for name, value in asked if name != "format"]
    return [(form.name, "?" + urlencode([*fields, ("format", form.name)])) for form in FORMS[gives]]
