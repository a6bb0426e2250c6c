"""A statement cannot be had without what it rests on."""

import html as text_of
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jinja2.exceptions import SecurityError

from glost.answer.sheets import Note, Statement, UngroundedError
from glost.answer.sheets.rendering import environment, plain


def test_a_statement_without_a_note_cannot_be_made() -> None:
    with pytest.raises(UngroundedError, match="nothing is given that this rests on: Alder"):
        Statement("Alder began 1908.", [])
    with pytest.raises(UngroundedError, match="must say something"):
        Statement("  ", [Note("A book, p. 1")])
    with pytest.raises(UngroundedError, match="must name a source"):
        Note(" ")


def test_its_text_comes_with_its_notes_however_it_is_printed() -> None:
    statement = Statement("Alder began 1908.", [Note("A book, p. 1"), Note("A letter")])
    assert str(statement) == f"{statement}" == "Alder began 1908. [A book, p. 1] [A letter]"
    assert "[A letter]" in repr(statement)
    assert [name for name in vars(Statement) if not name.startswith("_")] == [
        "notes", "parts", "claims", "told",
    ]  # fmt: skip


def test_a_mark_that_comes_out_empty_is_refused() -> None:
    statement = Statement("Alder began 1908.", [Note("A book, p. 1")])
    assert statement.told(str, lambda note: "[1]") == "Alder began 1908.[1]"
    with pytest.raises(UngroundedError, match="no mark"):
        statement.told(str, lambda note: " ")


def test_a_template_cannot_reach_the_bare_text() -> None:
    statement = Statement("Alder began 1908.", [Note("A book, p. 1")])
    for form in ("md", "html"):
        template = environment(form).from_string("{{ statement._text }}")
        with pytest.raises(SecurityError, match="_text"):
            template.render(statement=statement)


def test_the_parts_of_a_statement_are_statements_with_notes_of_their_own() -> None:
    part = Statement("Because it was listed.", [Note("A list")])
    whole = Statement("Alder began 1908.", [Note("A book")], [part])
    assert whole.parts == (part,) and part.notes == (Note("A list"),)


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("*bold* _it_ `x`", r"\*bold\* \_it\_ \`x\`"),
        ("[a](b) <i> #h", r"\[a\](b) \<i\> \#h"),
        ("O. & T. &amp;", r"O. & T. \&amp;"),
        ("1. first\n2", r"1\. first 2"),
    ],
)
def test_markdown_prints_a_text_as_it_stands(text: str, written: str) -> None:
    assert plain(text) == written


@given(st.text(min_size=1).filter(str.strip))
def test_no_text_can_break_out_of_a_page(text: str) -> None:
    class Tags(HTMLParser):
        def __init__(self) -> None:
            super().__init__()
            self.found: list[str] = []

        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            self.found.append(tag)

    note = Note(text)
    template = environment("html").from_string("{{ statement | told }}")
    numbers = {note.key: 1}
    page = template.render(statement=Statement(text, [note]), numbers=numbers, called=set())
    tags = Tags()
    tags.feed(page)
    assert tags.found == ["sup", "a"]
    assert text_of.unescape(page.partition("<sup>")[0]) == text.strip()


@given(st.text(min_size=1))
def test_no_text_can_break_a_line_of_markdown(text: str) -> None:
    assert len(plain(text).splitlines()) <= 1
