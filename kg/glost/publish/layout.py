"""The one layout of pages, of the site and of the endpoint alike: what stands round them."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

_TEMPLATES = Path(__file__).parent / "templates"

CAUTION = (
    "Nothing here says whether ware may be used for food or whether a kiln may be entered: "
    "laboratories, competent surveyors, licensed practice and the codes of the place decide."
)
"""What every page says at its foot."""

SECTIONS = (
    ("Collection", "index.html"),
    ("Sources", "source/index.html"),
    ("Pictures", "pictures/index.html"),
    ("Questions", "questions/index.html"),
    ("Findings", "findings/index.html"),
    ("Vocabulary", "vocabulary/index.html"),
    ("Data", "data/index.html"),
)
"""The sections that every page leads to."""


@dataclass(frozen=True)
class Frame:
    """What stands round every page.

    Attributes
    ----------
    title, publisher, licence, licence_href, description
        The collection's; the licence's address is empty if it is none.
    day
        A sentence that says as of which day the site speaks.
    caution
        What every page says at its foot.
    sections
        Names and files of the sections that every page leads to.
    """

    title: str
    publisher: str = ""
    licence: str = ""
    licence_href: str = ""
    description: str = ""
    day: str = ""
    caution: str = CAUTION
    sections: tuple[tuple[str, str], ...] = SECTIONS


def environment(templates: Path, **filters: Callable[..., object]) -> Environment:
    """Return templates of a folder, with the layout, everything in them escaped for HTML."""
    made = Environment(
        loader=FileSystemLoader([templates, _TEMPLATES]),
        autoescape=True,
        auto_reload=False,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    made.filters.update(filters)
    return made


_AROUND = environment(_TEMPLATES).get_template("around.html")


@lru_cache(maxsize=64)
def around(frame: Frame, way: str, section: str) -> tuple[Markup, Markup]:
    """Return what stands above and below the middle of every page of a section.

    Parameters
    ----------
    frame
        What stands round every page.
    way
        The way from the page to the top of the site, ``../``.
    section
        The section that the page belongs to; empty for none.
    """
    made: Any = _AROUND.module
    return made.top(frame, way, section), made.foot(frame, way)
