"""The site's pages for search engines: the protocol of sitemaps.org, version 0.9."""

from collections.abc import Iterator
from urllib.parse import quote
from xml.sax.saxutils import escape

from glost.publish.data.catalogue import last_day
from glost.publish.layout import SECTIONS
from glost.publish.site.holdings import SiteContents

_MOST = 50_000
"""Addresses that a file may hold."""
_SPACE = "http://www.sitemaps.org/schemas/sitemap/0.9"


def sitemap(holdings: SiteContents) -> Iterator[tuple[str, bytes]]:
    """Yield ``sitemap.xml``: the sections and the page of each thing; an index of several if long.

    Claims, passages and recorders are reached from these. ``robots.txt`` leads to it where the
    site stands at the top of its server.
    """
    pages = [file for _, file in SECTIONS]
    pages += [f"{holdings.addresses.stems[iri]}.html" for iri in holdings.things]
    day = last_day(holdings)
    parts = [pages[at : at + _MOST] for at in range(0, len(pages), _MOST)]
    if len(parts) == 1:
        yield "sitemap.xml", _listed("urlset", "url", holdings.base, parts[0], day)
        return
    names = [f"sitemap-{number}.xml" for number in range(1, len(parts) + 1)]
    for name, part in zip(names, parts, strict=True):
        yield name, _listed("urlset", "url", holdings.base, part, day)
    yield "sitemap.xml", _listed("sitemapindex", "sitemap", holdings.base, names, day)


def _listed(whole: str, one: str, base: str, files: list[str], day: str) -> bytes:
    last = f"<lastmod>{day}</lastmod>" if day else ""
    rows = "\n".join(
        f"<{one}><loc>{escape(base + quote(file))}</loc>{last}</{one}>" for file in files
    )
    head = '<?xml version="1.0" encoding="UTF-8"?>'
    return f'{head}\n<{whole} xmlns="{_SPACE}">\n{rows}\n</{whole}>\n'.encode()
