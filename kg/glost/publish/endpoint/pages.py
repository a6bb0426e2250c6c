"""The pages of the endpoint: to try queries, to read results, and to be told what is wrong."""

import re
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import quote, unquote, urlencode

from jinja2 import Environment
from markupsafe import Markup

from glost.answer.questions import catalogue
from glost.names import PREFIXES
from glost.publish.endpoint.formats import FORMS
from glost.publish.endpoint.grounds import Cited
from glost.publish.endpoint.messages import Fields, Query, Titled
from glost.publish.endpoint.problems import Problem
from glost.publish.endpoint.shown import ROWS, ShownResult
from glost.publish.layout import SECTIONS, Frame, around, environment

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
    return _page(
        "query.html",
        named,
        text=_HEADER.sub("", text) if chosen else text,
        chosen=chosen,
        unsupported=catalogue()[chosen].header.unsupported if chosen else "",
        shown=shown,
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
        "unsupported": "",
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
        cell=cell,
        ground=ground,
        sentence=lambda text: text[:1].upper() + text[1:] + ".",
    )


def cell(value: dict[str, str] | None, names: dict[str, str], base: str) -> Markup:
    """Return a cell of a table as HTML.

    Parameters
    ----------
    value
        The cell as in SPARQL 1.1 Query Results JSON; None if it is empty.
    names
        Names of things by IRI.
    base
        Base IRI of the collection: things under it are linked on the site itself.
    """
    if value is None:
        return Markup("")
    text = value["value"]
    if value["type"] == "bnode":
        return Markup("_:{}").format(text)
    if value["type"] != "uri":
        language = value.get("xml:lang", "")
        if language:
            return Markup('<span lang="{}">{}</span>').format(language, text)
        return Markup("{}").format(text)
    if text.startswith(base):
        rest = text.removeprefix(base)
        told = names.get(text) or rest
        return Markup('<a href="./{}">{}</a>').format(quote(rest, safe="/#%"), told)
    told = names.get(text) or _short(text)
    if text.startswith(("http://", "https://")):
        return Markup('<a href="{}" rel="external">{}</a>').format(text, told)
    return Markup("{}").format(text)


def ground(claim: Cited, base: str) -> Markup:
    """Return a claim under a row as a link: the name of its source, and where in it.

    Parameters
    ----------
    claim
        The claim.
    base
        Base IRI of the collection.
    """
    source = claim.name or unquote(claim.source.removeprefix(base).rpartition("/")[2])
    told = ", ".join(part for part in (source, claim.place) if part) or "the claim"
    rest = quote(claim.iri.removeprefix(base), safe="/#%")
    return Markup('<a href="./{}">{}</a>').format(rest, told)


def _short(iri: str) -> str:
    """Write an IRI with one of the usual prefixes, if one fits."""
    for prefix, namespace in ((name, str(each)) for name, each in PREFIXES.items()):
        if iri.startswith(namespace) and len(iri) > len(namespace):
            return f"{prefix}:{iri.removeprefix(namespace)}"
    return iri


def _downloads(asked: Fields, gives: str) -> list[tuple[str, str]]:
    """Return names and addresses of the same result in the formats for machines."""
    fields = [(name, value) for name, value in asked if name != "format"]
    return [(form.name, "?" + urlencode([*fields, ("format", form.name)])) for form in FORMS[gives]]
