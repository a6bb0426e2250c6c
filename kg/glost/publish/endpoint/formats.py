"""The formats of results, and how a request chooses one."""

from dataclasses import dataclass

from glost.publish.endpoint.messages import PAGE
from glost.publish.endpoint.negotiate import choose

HTML = "text/html"


@dataclass(frozen=True, slots=True)
class WrittenResult:
    """A format of results.

    Attributes
    ----------
    name
        As `glost.answer.sparql.Result.write` and the ``format`` of a request call it.
    media
        Its media type, as it is sent.
    also
        Other media types by which it is asked for.
    suffix
        The ending of a file that holds it.
    """

    name: str
    media: str
    also: tuple[str, ...] = ()
    suffix: str = ""


TABLES = (
    WrittenResult("json", "application/sparql-results+json", ("application/json",), "srj"),
    WrittenResult("xml", "application/sparql-results+xml", ("application/xml", "text/xml"), "srx"),
    WrittenResult("csv", "text/csv", (), "csv"),
    WrittenResult("tsv", "text/tab-separated-values", (), "tsv"),
)
"""Formats of tables and of yes or no, the one sent to those who do not mind first."""

STATEMENTS = (
    WrittenResult("turtle", "text/turtle", ("application/x-turtle",), "ttl"),
    WrittenResult("nt", "application/n-triples", ("text/plain",), "nt"),
    WrittenResult("json-ld", "application/ld+json", ("application/json",), "jsonld"),
    WrittenResult("rdf-xml", "application/rdf+xml", ("application/xml", "text/xml"), "rdf"),
)
"""Formats of statements, likewise."""

PAGES = WrittenResult(PAGE, HTML, ("application/xhtml+xml",), "html")
"""A page for readers, of any result."""

FORMS = {"table": TABLES, "yes or no": TABLES, "statements": STATEMENTS}
"""Formats by what a query gives."""


class NotAcceptable(Exception):  # noqa: N818 - said to a client as it stands
    """A client wants no format that there is; the message lists them."""


def wanted(accept: str | None, named: str = "") -> dict[str, str]:
    """Return the format of each kind of result that a request wants.

    Parameters
    ----------
    accept
        The request's ``Accept`` header.
    named
        A format named in the request itself, which goes before the header; one that does not
        exist is passed over.

    Returns
    -------
    dict
        Names of formats by what a query gives; what the client wants none of is left out.

    Raises
    ------
    NotAcceptable
        If it wants no format of any kind.
    """
    found = {}
    for gives, formats in FORMS.items():
        known = (each.name for each in (*formats, PAGES))
        name = named if named in known else _accepted(accept, formats)
        if name:
            found[gives] = name
    if not found:
        raise NotAcceptable(f"no result can be written so; there are {listed()}")
    return found


def listed() -> str:
    """List the media types of results, for a message."""
    return ", ".join(each.media for each in (*TABLES, *STATEMENTS, PAGES))


def _accepted(accept: str | None, formats: tuple[WrittenResult, ...]) -> str:
    offers = {media: each for each in (*formats, PAGES) for media in (each.media, *each.also)}
    chosen = choose(accept, list(offers))
    return offers[chosen].name if chosen else ""


def written(gives: str, name: str) -> WrittenResult:
    """Return the format of a kind of result by its name."""
    return next(each for each in (*FORMS[gives], PAGES) if each.name == name)
