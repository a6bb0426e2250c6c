"""What every page shares: the site's name and sections, the templates, and how they are filled."""

from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, Template
from markupsafe import Markup

from glost.publish import layout
from glost.publish.layout import Frame, around
from glost.publish.site.holdings import SiteContents
from glost.publish.site.paths import root

HERE = Path(__file__).parent

_LICENCES = {
    "https://creativecommons.org/licenses/by/4.0/": "CC BY 4.0",
    "https://creativecommons.org/licenses/by-sa/4.0/": "CC BY-SA 4.0",
    "https://creativecommons.org/publicdomain/zero/1.0/": "CC0 1.0",
}


class PageFrame(Frame):
    """What stands round every page of a site."""

    @classmethod
    def of(cls, holdings: SiteContents) -> "PageFrame":
        """Take it from the collection's settings."""
        settings = holdings.snapshot.record.collection
        last = max((claim.recorded_on for claim in holdings.claims), default="")
        day = f"Last claim recorded on {last}." if last else ""
        if holdings.snapshot.as_of is not None:
            day = f"As believed on {holdings.snapshot.as_of.isoformat()}."
        licence = settings.licence
        linked = licence if licence.startswith(("http://", "https://")) else ""
        return cls(
            settings.title,
            settings.publisher,
            _LICENCES.get(licence, licence),
            linked,
            settings.description,
            day,
        )


@cache
def environment() -> Environment:
    """Return the templates of the site."""
    made = layout.environment(
        HERE / "templates",
        one=lambda count, one, many: f"{count:,} {one if count == 1 else many}",
    )
    made.globals.update(status=status)
    return made


@cache
def status(word: str) -> Markup:
    """Show how something stands, in a word."""
    return Markup('<span class="st {0}">{0}</span>').format(word)


def blocks() -> Any:
    """Return the macros of the parts that pages are made of."""
    return environment().get_template("blocks.html").module


def fill(template: str, page: str, frame: PageFrame, **values: Any) -> tuple[str, bytes]:
    """Fill a template for a page; return the page's file and content."""
    return page, filled(template, frame, root(page), **values)


def filled(template: str, frame: PageFrame, way: str, **values: Any) -> bytes:
    """Fill a template for a page from which `way` leads to the top of the site."""
    top, foot = around(frame, way, str(values.get("section", "")))
    text = _template(template).render(site=frame, root=way, top=top, foot=foot, **values)
    return text.encode()


@cache
def _template(name: str) -> Template:
    return environment().get_template(name)
