"""A fact sheet as Markdown and as one HTML page that needs nothing beside it.

The templates stand in ``templates/``. They are run in a sandbox that keeps them from a
statement's bare text: all they can print of it is what `Statement.told` gives, marks and all.
"""

import re
from functools import cache
from importlib.resources import files
from pathlib import Path

from jinja2 import PackageLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from jinja2.sandbox import SandboxedEnvironment
from markupsafe import Markup, escape
from rdflib import Graph

from glost.answer.sheets.images import Gallery
from glost.answer.sheets.model import Note, Sheet, Statement
from glost.answer.sheets.notes import rows_of

_SPECIAL = re.compile(r"([\\`*_\[\]<>|~#])")
_ENTITY = re.compile(r"&(?=#?\w+;)")
_NUMBERED = re.compile(r"^(\d+)([.)])(?=\s)")


def markdown(sheet: Sheet, graph: Graph) -> str:
    """Write a sheet as Markdown, with footnotes.

    Parameters
    ----------
    sheet
        The sheet.
    graph
        What is believed, with the vocabulary, for wording.
    """
    text = environment("md").get_template("sheet.md.j2").render(_given(sheet, graph))
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"


def html(sheet: Sheet, graph: Graph, folder: Path) -> str:
    """Write a sheet as one HTML page, with its pictures in it.

    Parameters
    ----------
    sheet, graph
        As for `markdown`.
    folder
        The collection's folder, in which pictures are looked for. One that is not there is left
        out.
    """
    style = files(__package__).joinpath("templates", "sheet.css").read_text(encoding="utf-8")
    gallery = Gallery(folder, [e.crop for e in sheet.exhibits if e.crop is not None])
    given = _given(sheet, graph) | {"style": Markup(style), "gallery": gallery}
    return environment("html").get_template("sheet.html.j2").render(given)


def _given(sheet: Sheet, graph: Graph) -> dict[str, object]:
    notes = sheet.notes
    return {
        "sheet": sheet,
        "notes": [(note, rows_of(note, graph)) for note in notes],
        "numbers": {note.key: number for number, note in enumerate(notes, 1)},
        "called": set(),
    }


@cache
def environment(form: str) -> SandboxedEnvironment:
    """Return what templates are run in, for ``md`` or ``html``."""
    environment = SandboxedEnvironment(
        loader=PackageLoader("glost.answer.sheets"),
        autoescape=form == "html",
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["told"] = _told_in_html if form == "html" else _told_in_markdown
    environment.filters["plain"] = plain
    return environment


@pass_context
def _told_in_html(context: Context, statement: Statement) -> Markup:
    numbers, called = context["numbers"], context["called"]

    def mark(note: Note) -> str:
        number = numbers[note.key]
        first = "" if number in called else f' id="call-{number}"'
        called.add(number)
        return (
            f'<sup><a{first} class="call" href="#note-{number}" role="doc-noteref" '
            f'aria-label="note {number}">{number}</a></sup>'
        )

    return Markup(statement.told(lambda text: str(escape(text)), mark))


@pass_context
def _told_in_markdown(context: Context, statement: Statement) -> str:
    numbers = context["numbers"]
    return statement.told(plain, lambda note: f"[^{numbers[note.key]}]")


def plain(text: str) -> str:
    """Escape a text so that Markdown prints it as it stands, on one line."""
    line = " ".join(text.split())
    line = _SPECIAL.sub(r"\\\1", line)
    return _NUMBERED.sub(r"\1\\\2", _ENTITY.sub(r"\\&", line))
