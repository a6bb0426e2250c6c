"""A report as one HTML page that needs nothing beside it, its pictures within it."""

from functools import cache
from importlib.resources import files
from pathlib import Path

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from glost.report.as_html import Html
from glost.report.gallery import Gallery
from glost.report.tree import Picture, Report


def sheet(report: Report, folder: Path) -> str:
    """Write a report as one HTML page.

    Parameters
    ----------
    report
        The report.
    folder
        The collection's folder, in which pictures are looked for. One that is not there is left
        out.
    """
    style = files(__package__).joinpath("templates", "sheet.css").read_text(encoding="utf-8")
    gallery = Gallery(folder, _pictures(report))
    made = Html(report, drawn=gallery.drawn)
    return (
        _environment()
        .get_template("sheet.html")
        .render(
            report=report,
            style=Markup(style),
            pictures=gallery.shared(),
            head=made.head(),
            main=made.main(),
            end=made.end(),
        )
    )


def _pictures(report: Report) -> list[Picture]:
    shown = [e.picture for e in report.exhibits if e.picture is not None]
    parts = [part for section in report.sections for part in section.parts]
    return [*shown, *(part for part in parts if isinstance(part, Picture))]


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("glost.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
