"""What a report looks like as text, CSV, JSON, Markdown and HTML, and that no text breaks out."""

import csv as reading
import html as text_of
import io
import json as reading_json
import re
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console

from glost.report.as_csv import csv, table, tables
from glost.report.as_html import html
from glost.report.as_json import json
from glost.report.as_markdown import escaped, markdown
from glost.report.as_text import TextTable, text
from glost.report.tree import (
    CitedClaim,
    CitedPassage,
    Column,
    Exhibit,
    Group,
    Outline,
    Picture,
    Proof,
    Ref,
    Report,
    Row,
    Rule,
    Section,
    Statement,
    Table,
    together,
)

X = "https://example.org/x/"
FIRST = CitedClaim(f"{X}claim/c1", "tables/shapes.csv row 2", "p. 1, xywh=1,2,3,4", "certain")
GONE = CitedClaim(f"{X}claim/c2", "tables/shapes.csv row 9", withdrawn="It says 5.", note="Faint.")
BOOK = CitedPassage(Ref(f"{X}source/book", "A book, 1950"), "p. 1", (FIRST,))
CARD = CitedPassage(Ref(f"{X}source/card", "Card <b>"), "", (GONE,))
RULE = Rule("A body is made before it is decorated", "common practice", "https://example.org/r")
ALDER = Ref(f"{X}shape/alder", "Alder")
PROOF = Proof((Statement(("The list of 1906 shows it.",), (BOOK,)), Statement(("So.",), (RULE,))))


def report(word: str = "jug") -> Report:
    facts = Group(
        (
            Statement((word,), (BOOK,), _name=("Form",)),
            Statement(("teapot",), (CARD,), "disputed", ("Form",)),
            Statement((ALDER,), (BOOK,), _name=("Shape",)),
        )
    )
    sides = Group(
        (Statement(("1904",), (BOOK,)), Statement(("1906",), (CARD,))), ("Began",), sides=True
    )
    columns = (Column("article", "Article", "thing"), Column("price", "Price", "number"))
    rows = (
        Row((ALDER, 4), (BOOK,)),
        Row((("=1+1 ", word), None), (BOOK, CARD, RULE), "possibly"),
    )
    page = Picture("images/p.png", "A page", 100, 50, outlines=(Outline(1, 2, 3, 4, ALDER),))
    return Report(
        f"{X}piece/p1",
        f"Jug, {word}",
        (Statement(("Made in 1906 by ", ALDER, "."), (PROOF,)),),
        (
            Section("said", "Statements", (facts,)),
            Section("disputed", "Conflicts", (sides,), "Both cannot hold."),
            Section("list", "Assortment", (Table(columns, rows, ("List",), ("article",)),)),
            Section("more", "More", (Group((Statement(("a",), (BOOK,)),), short=True),), "", True),
        ),
        (Exhibit(Statement(("Page 1.",), (BOOK,)), page),),
        (Statement(("Not for food unless tested.",), (RULE,)),),
        kind="Piece",
        collection="The X",
    )


class Tags(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.open: list[str] = []
        self.ids: list[str] = []
        self.hrefs: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append(tag)
        self.open += [tag]
        for name, value in attrs:
            if name == "id":
                self.ids.append(str(value))
            if name == "href":
                self.hrefs.append(str(value))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def linked(iri: str) -> str | None:
    return "../" + iri.removeprefix(X) + ".html" if iri.startswith(X) else None


def test_html_is_whole_and_every_mark_leads_to_a_note() -> None:
    for link in (linked, lambda iri: None):
        page = html(report(), link, rests="claims" if link is linked else "notes")
        tags = Tags(page)
        assert tags.open == [] and len(tags.ids) == len(set(tags.ids))
        inside = [href for href in tags.hrefs if href.startswith("#")]
        assert inside and {href[1:] for href in inside} <= set(tags.ids)
        assert {"h1", "h2", "dl", "table", "details", "figure", "sup"} <= set(tags.found)
    assert '<a href="../shape/alder.html">Alder</a>' in html(report(), linked, rests="claims")
    assert "../shape" not in html(report())


def test_html_gathers_values_of_one_name_and_marks_the_one_in_dispute() -> None:
    page = html(report(), linked, rests="claims")
    (form,) = re.findall(r"<div><dt>Form</dt>(.*?)</div>", page)
    one, two = form.split("<dd>")[1:]
    assert one.startswith("jug<sup>") and "disputed" not in one
    assert two.startswith("teapot<sup>") and '<span class="st disputed">disputed</span>' in two


def test_html_notes_hold_every_claim_with_region_row_remark_and_why_it_was_withdrawn() -> None:
    notes = html(report(), linked, rests="claims").partition('id="notes"')[2]
    for each in ("claim/c1.html", "claim/c2.html", "tables/shapes.csv row 2", "xywh=1,2,3,4",
                 "certain", "It says 5.", "Faint.", "Card &lt;b&gt;"):  # fmt: skip
        assert each in notes


def test_rows_lead_to_their_claims_where_those_have_pages_and_tables_to_notes_elsewhere() -> None:
    rows = (
        html(report(), linked, rests="claims")
        .partition("<tbody>")[2]
        .partition("</tbody>")[0]
        .split("</tr>")
    )
    assert '<a href="../claim/c1.html">c1</a>' in rows[0] and "<sup>" not in rows[0]
    assert "2 claims" in rows[1] and "<sup>" in rows[1]  # the rule has no page
    alone = html(report()).partition("<tbody>")[2].partition("</tbody>")[0].split("</tr>")
    assert "claim/" not in alone[0] and "<sup>" not in "".join(alone)
    assert re.search(r'aria-label="List"|<h3>List<sup>', html(report()))


def test_markdown_calls_every_note_and_tables_are_tables() -> None:
    body, _, notes = markdown(report()).partition("## Notes")
    called = {int(n) for n in re.findall(r"\[\^(\d+)\]", body)}
    listed = [int(n) for n in re.findall(r"\[\^(\d+)\]:", notes)]
    assert called == set(listed) and listed == [1, 2, 3]
    assert "### List[^1][^3][^2]" in body
    assert "| Article | Price |\n| --- | --: |\n| Alder | 4 |" in body
    assert "- Form: teapot[^3] *(disputed)*" in body
    assert r"Card \<b\>. [tables/shapes.csv row 9; claim c2; withdrawn]" in notes


def test_text_prints_at_any_width_with_words_whole() -> None:
    for width in (40, 80, 160):
        console = Console(width=width, file=io.StringIO(), highlight=False)
        console.print(text(report("covered dish")))
        out = console.file.getvalue()  # type: ignore[attr-defined]
        assert max(map(len, out.splitlines())) <= width
        assert "Jug, covered dish" in out and "Form" in out and "teapot (disputed) [3]" in out
        assert "covered" in out.split()  # not parted
    assert "[1]" not in _printed(text(report(), notes=False))
    assert "tables/shapes.csv" not in _printed(text(report(), notes=False))


def _printed(what: object, width: int = 80) -> str:
    console = Console(width=width, file=io.StringIO(), highlight=False)
    console.print(what)
    return console.file.getvalue()  # type: ignore[attr-defined, no-any-return]


def test_no_word_of_a_table_is_parted_that_fits_the_line() -> None:
    heads = ["treatment", "number", "home", "form", "seen in", "explanation", "strength", "late"]
    rows = [["L-7 (Blue Line)", "L-7", "Linden", "saucer", "Saucer, Sorb, L-7 (p1)",
             "shared flatware", "strong", "not known"]]  # fmt: skip
    told = _printed(TextTable(heads, rows), 84)
    assert all(head in told for head in heads)


def test_a_table_too_wide_for_the_line_becomes_records() -> None:
    rows = [["Covered dish", "a long remark that goes on", "4"], ["", "x", "5"]]
    wide = _printed(TextTable(["article", "remark", "price"], rows, right=[False, False, True]))
    assert wide.splitlines()[0].split() == ["article", "remark", "price"]
    narrow = _printed(TextTable(["article", "remark", "price"], rows), 20)
    assert max(map(len, narrow.splitlines())) <= 20
    assert [line.split()[0] for line in narrow.splitlines() if line[:1].strip()] == [
        "article", "remark", "price", "remark", "price",
    ]  # fmt: skip


def test_csv_has_a_line_for_every_statement_and_row_and_no_formula() -> None:
    lines = list(reading.DictReader(io.StringIO(csv(report()))))
    assert [line["says"] for line in lines][:3] == [
        "Made in 1906 by Alder.", "The list of 1906 shows it.", "So.",
    ]  # fmt: skip
    (teapot,) = [line for line in lines if line["says"] == "teapot"]
    assert teapot == {
        "section": "Statements", "under": "", "tells": "Form", "says": "teapot",
        "status": "disputed", "rests_on": "Card <b>", "claims": f"{X}claim/c2",
    }  # fmt: skip
    (of,) = [part for s in report().sections for part in s.parts if isinstance(part, Table)]
    rows = list(reading.reader(io.StringIO(table(of))))
    assert rows[0] == ["article", "price", "status", "rests_on", "claims"]
    assert rows[2][0] == "'=1+1 jug" and rows[2][1:3] == ["", "possibly"]
    assert rows[2][4] == f"{X}claim/c1 {X}claim/c2"


def test_json_is_the_tree() -> None:
    value = reading_json.loads(json(report()))
    assert value["heading"] == "Jug, jug"
    fact = value["sections"][0]["parts"][0]["statements"][1]
    assert fact["sentence"] == ["teapot"] and fact["status"] == "disputed"
    assert fact["grounds"][0]["type"] == "passage"
    assert fact["grounds"][0]["claims"][0]["withdrawn"] == "It says 5."


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("*bold* _it_ `x`", r"\*bold\* \_it\_ \`x\`"),
        ("[a](b) <i> #h", r"\[a\](b) \<i\> \#h"),
        ("O. & T. &amp;", r"O. & T. \&amp;"),
        ("1. first\n2", r"1\. first 2"),
        ("- a", r"\- a"),
    ],
)
def test_markdown_prints_a_text_as_it_stands(written: str, expected: str) -> None:
    assert escaped(written) == expected


WORDS = st.text(min_size=1).filter(str.strip)


@given(WORDS)
def test_no_text_can_break_out_of_a_page(word: str) -> None:
    expected = Tags(html(report())).found
    page = html(report(word))
    assert Tags(page).found == expected
    assert f"<dd>{word}" in text_of.unescape(page) or "\0" in word or "&" in word


@given(WORDS)
def test_no_text_can_break_a_line_of_markdown(word: str) -> None:
    assert len(escaped(word).splitlines()) <= 1


def test_text_may_have_beside_each_statement_where_it_rests() -> None:
    """Under a leaf stand its places, under what has steps only these; nothing is numbered."""
    console = Console(width=200, file=io.StringIO(), highlight=False)
    console.print(text(report(), beside=True))
    lines = [" ".join(line.split()) for line in console.file.getvalue().splitlines()]  # type: ignore[attr-defined]
    book = "A book, 1950, p. 1 [tables/shapes.csv row 2; claim c1; certain]"
    at = lines.index("- The list of 1906 shows it.")
    assert lines[at - 1] == "Made in 1906 by Alder." and lines[at + 1] == book
    assert lines[lines.index("- 1904") + 1] == book
    assert "Rests on" not in lines and not any("[1" in line for line in lines)


def aside() -> Table:
    columns = (Column("article", "Article"), Column("grams", "", "number", True))
    return Table(columns, (Row((ALDER, 4200), (BOOK,)),), ("List",))


def test_columns_for_programs_stand_in_csv_and_json_alone() -> None:
    for_programs = Table((Column("grams", "", "number", True),), (Row((4300,), (RULE,)),), ("No",))
    sections = (Section("list", "Assortment", (aside(), for_programs)),)
    made = Report("", "Jug", sections=sections)
    console = Console(width=200, file=io.StringIO(), highlight=False)
    console.print(text(made))
    read = (console.file.getvalue(), markdown(made), html(made))  # type: ignore[attr-defined]
    for written in read:
        assert "Alder" in written and "List" in written
        assert not any(hidden in written for hidden in ("4200", "4300", "No\n", ">No<", RULE.text))
    assert "4200" in table(aside()) and b"4200" in json(made) and b"4300" in json(made)


def test_reports_of_several_things_are_put_together() -> None:
    one, two = (
        Report(f"{X}{name}", name, sections=(Section("list", "Lists", (aside(),)),), cautions=report().cautions)
        for name in ("a", "b")
    )  # fmt: skip
    made = together((one, two), "Both", f"{X}group/g", report().lead)
    assert [(each.id, each.heading) for each in made.sections] == [
        ("list.1", "a: Lists"), ("list.2", "b: Lists"),
    ]  # fmt: skip
    assert len(made.cautions) == 1 and made.heading == "Both" and made.lead == report().lead
    rows = list(reading.DictReader(io.StringIO(tables(made, "list"))))
    assert [(row["article"], row["grams"]) for row in rows] == [("Alder", "4200")] * 2
    assert tables(made, "nowhere") == ""
