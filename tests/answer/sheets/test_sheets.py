"""Fact sheets of a little collection, and of everything in the example."""

import re
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.sheets import Maker, Sheet, html, markdown
from glost.answer.sheets.images import pixels
from glost.answer.sheets.known import links
from glost.answer.snapshot import Snapshot
from glost.data import vocabulary
from glost.names import GLOST

BASE = "https://example.org/shelf/"
SAFE = re.compile(r"\b(un)?safe(ly|r|st|ty)?\b|\bharmless\b", re.IGNORECASE)
CALL = re.compile(r"\[\^(\d+)\]")
KINDS = {
    "shape": "tamsin", "treatment": "t-311", "plant": "ot-4", "mark": "ot-octavine",
    "kiln": "ot-4-a", "piece": "wv-056", "pottery": "haskett", "decal": "ferry-rose",
    "glaze": "barley-cream",
}  # fmt: skip


@cache
def maker(path: Path) -> Maker:
    return Maker(Snapshot(path))


def sheet(snapshot: Snapshot, thing: str) -> Sheet:
    return maker(snapshot.path).sheet(URIRef(snapshot.record.base + thing))


def section(made: Sheet, name: str) -> list[str]:
    (found,) = [s for s in made.sections if s.name == name]
    return [str(statement) for group in found.groups for statement in group.statements]


class Page(HTMLParser):
    """What matters of a page: its tags, its ids, where it leads, and its text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.open: list[str] = []
        self.text: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        for name, value in attrs:
            if name == "id":
                self.ids.append(str(value))
            if name in ("href", "src"):
                self.links.append(str(value))
        if tag not in ("meta", "img", "image", "use"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag in self.open:
            assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open[-1:] not in (["style"], ["script"]):
            self.text.append(data)


def test_what_is_known_is_said_once_with_every_source(tricky: Snapshot) -> None:
    known = section(sheet(tricky, "shape/ash"), "known")
    assert "Called Ash. [Loam ware, p. 1] [Notes of a <visitor> (repeats Loam ware)]" in known
    assert any(line.startswith("Rim: fluted, <b>gilt</b>. [Loam ware, p. 1]") for line in known)
    assert any(
        line.startswith("Loam ware (1905), stated to be complete: 2 articles.") for line in known
    )
    assert any(line.startswith("“LOAM / ASH”") for line in known)


def test_both_sides_of_a_dispute_are_told_and_neither_as_known(tricky: Snapshot) -> None:
    made = sheet(tricky, "shape/ash")
    assert not any("Began" in line for line in section(made, "known"))
    (dispute,) = [s for s in section(made, "disputed") if "1904 or 1906" in s]
    assert "[Loam ware, p. 1]" in dispute and "[Notes of a <visitor> (repeats" in dispute
    (found,) = [s for s in made.sections if s.name == "disputed"]
    sides = [str(part) for part in found.groups[0].statements[0].parts]
    assert [side.partition(" [")[0] for side in sides] == ["Ash began 1904.", "Ash began 1906."]


def test_what_was_withdrawn_is_told_with_the_reason(tricky: Snapshot) -> None:
    (line,) = section(sheet(tricky, "shape/beech"), "withdrawn")
    assert "Beech began 1903~" in line and "The 3 is a 5." in line
    assert "Began 1905. [Loam ware, p. 2]" in section(sheet(tricky, "shape/beech"), "known")


def test_what_is_reckoned_comes_with_its_argument(tricky: Snapshot) -> None:
    made = sheet(tricky, "shape/beech")
    (found,) = [s for s in made.sections if s.name == "reckoned"]
    texts = [str(s) for s in found.groups[0].statements]
    assert texts[0].startswith("Began not before 1905-01-01. [Loam ware, p. 2]")
    assert [str(p).split(";")[0] for p in found.groups[0].statements[0].parts] == [
        "Beech began 1905"
    ]


def test_articles_are_lost_only_where_a_complete_list_lacks_them(valley: Snapshot) -> None:
    """Alder's list of 1906 claims to be complete, those of 1899 and 1909 do not."""
    lines = [s for s in section(sheet(valley, "shape/alder"), "reckoned") if s.startswith("From")]
    assert len(lines) == 2
    first, second = (line.partition(" [")[0] for line in lines)
    assert "lost:" in first and "gained:" not in first
    assert "not seen in the second:" in second and "lost:" not in second


def test_what_follows_names_its_rule(tricky: Snapshot) -> None:
    lines = section(sheet(tricky, "shape/beech"), "inferred")
    assert any(
        re.match(r"B-11 .*\[piece p1\].*\[Inferred by rule prp-spo2", line) for line in lines
    )


def test_exhibits_are_pieces_and_parts_of_pages(tricky: Snapshot) -> None:
    exhibits = sheet(tricky, "shape/ash").exhibits
    assert [e.crop.box for e in exhibits if e.crop] == [(10.0, 10.0, 30.0, 20.0)]
    pieces = [str(e.statement) for e in sheet(tricky, "shape/beech").exhibits]
    assert [text.partition(":")[0] for text in pieces] == ["piece p1", "piece p2"]


def test_markdown_calls_every_note_and_breaks_nothing(tricky: Snapshot) -> None:
    made = sheet(tricky, "shape/ash")
    text = markdown(made, tricky.graph)
    body, _, notes = text.partition("## Notes")
    assert {int(n) for n in CALL.findall(body)} == set(range(1, len(made.notes) + 1))
    assert [int(n) for n in CALL.findall(notes)] == list(range(1, len(made.notes) + 1))
    assert r"\<b\>gilt\</b\>" in body and r"\*stars\*" in body
    assert re.search(r"(?<!\\)<script", text) is None
    for line in body.splitlines():
        if line.lstrip().startswith("- "):
            assert CALL.search(line), line


def test_the_page_is_whole_needs_nothing_beside_it_and_runs_nothing(tricky: Snapshot) -> None:
    text = html(sheet(tricky, "shape/ash"), tricky.graph, tricky.path)
    page = Page(text)
    assert page.open == [] and len(page.ids) == len(set(page.ids))
    assert "script" not in page.tags and "<script>alert(1)</script>" in "".join(page.text)
    inside = [link for link in page.links if link.startswith("#")]
    assert {link[1:] for link in inside} <= set(page.ids)
    rest = [link for link in page.links if not link.startswith("#")]
    assert rest and all(link.startswith("data:image/") for link in rest)
    assert {"html", "title", "main", "h1", "h2", "figcaption"} <= set(page.tags)
    assert 'viewBox="0 0 52 42"' in text  # the part with a margin, within the picture
    assert 'lang="en"' in text and "@media print" in text


def test_a_picture_outside_the_collection_or_missing_is_left_out(tricky: Snapshot) -> None:
    made = sheet(tricky, "shape/ash")
    (crop,) = [e.crop for e in made.exhibits if e.crop]
    assert "data:image" not in html(made, tricky.graph, tricky.path / "tables")
    assert crop.file == "images/page.png"


def test_the_size_of_a_picture_is_read_from_its_head() -> None:
    jpeg = bytes.fromhex("ffd8ffe000040102ffc0000b080032006401012200")
    assert pixels(jpeg + bytes(8)) == (100, 50)
    assert pixels(b"GIF89a" + bytes([100, 0, 50, 0])) == (100, 50)
    assert pixels(b"RIFF....WEBP") is None


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_sheet_can_be_made_and_calls_no_ware_free_of_danger(
    valley: Snapshot, kind: str
) -> None:
    made = sheet(valley, f"{kind}/{KINDS[kind]}")
    text = markdown(made, valley.graph)
    assert made.statements and made.notes
    assert not SAFE.search(text) and not SAFE.search(html(made, valley.graph, valley.path))
    body = text.partition("## Notes")[0]
    assert {int(n) for n in CALL.findall(body)} == set(range(1, len(made.notes) + 1))
    headings = {group.heading for group in made.cautions}
    expected = "Disused kilns" if kind in ("kiln", "plant") else "Lead and cadmium"
    assert expected in headings


def test_what_more_there_is_and_what_a_thing_is_rest_on_claims_too(valley: Snapshot) -> None:
    made = sheet(valley, "shape/tamsin")
    assert str(made.more) == "12 more pieces on record. [Counted from the record]"
    assert made.more is not None and len(made.more.claims) == 12
    assert [str(kind).partition(" [")[0] for kind in made.kinds] == ["shape"]


def test_the_same_sheet_comes_out_every_time(valley: Snapshot) -> None:
    first, second = (sheet(valley, "shape/tamsin") for _ in range(2))
    assert markdown(first, valley.graph) == markdown(second, valley.graph)


def test_every_link_of_the_table_is_a_property_and_a_class_of_the_vocabulary() -> None:
    words = set(vocabulary().subjects())
    assert len(links()) >= 7
    for kind, some in links().items():
        assert GLOST[kind] in words
        for link in some:
            assert {link.property_, *link.tell} <= words, link


def test_crossings_stand_on_the_sheets_of_treatment_and_both_shapes(valley: Snapshot) -> None:
    """Gold Verge was issued for Tamsin and is seen on Halewin; each explanation has its reason."""
    for name in ("treatment/t-302", "shape/tamsin", "shape/halewin"):
        text = markdown(sheet(valley, name), valley.graph)
        assert "T-302 (Gold Verge), at home on Tamsin, was seen on Halewin" in text
        assert "Explanation, strong: shared flatware." in text
    assert "seen on another shape" not in markdown(sheet(valley, "shape/moraine"), valley.graph)
