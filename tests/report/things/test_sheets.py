"""Reports of things of a little collection, and of everything in the example, as sheets."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.data import vocabulary
from glost.names import GLOST
from glost.report.as_markdown import markdown
from glost.report.gallery import pixels
from glost.report.kinds import kinds
from glost.report.sheet import sheet as as_html
from glost.report.things import Kept, Whole, report_of
from glost.report.things.full import PAGE, SHEET
from glost.report.things.lead import _patterns
from glost.report.things.related import linked
from glost.report.tree import CitedPassage, Group, Report, Statement, Table, plain

SAFE = re.compile(r"\b(un)?safe(ly|r|st|ty)?\b|\bharmless\b", re.IGNORECASE)
CALL = re.compile(r"\[\^(\d+)\]")
KINDS = {
    "shape": "tamsin", "treatment": "t-311", "plant": "ot-4", "mark": "ot-octavine",
    "kiln": "ot-4-a", "piece": "wv-056", "pottery": "haskett", "decal": "ferry-rose",
    "glaze": "barley-cream", "source": "ot-cat-1906",
}  # fmt: skip


WHOLE: dict[Path, Whole] = {}


def whole(snapshot: Snapshot) -> Whole:
    return WHOLE.setdefault(snapshot.path, Whole(snapshot))


def sheet(snapshot: Snapshot, thing: str) -> Report:
    return report_of(whole(snapshot), URIRef(snapshot.record.base + thing), SHEET, shown=True)


def groups(made: Report, name: str) -> list[Group]:
    (found,) = [s for s in made.sections if s.id == name]
    return [part for part in found.parts if isinstance(part, Group)]


def section(made: Report, name: str) -> list[str]:
    return [str(statement) for group in groups(made, name) for statement in group.statements]


def bare(statement: Statement) -> str:
    return str(statement).partition(" [")[0]


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


# -- what a person reads first -----------------------------------------------------------------------


def test_a_disputed_jug_is_told_as_a_curator_would(valley: Snapshot) -> None:
    """Row 38 of pieces.csv has it made in 1933-04, with the code D33N4 of the ring mark, which is
    underglaze; row 196 (the Collector, 1979) in 1927; rows 9 and 10 of shapes.csv end Halewin 1927.
    No other piece of Halewin is later. The pottery ended in 1942. H-433 uses Rookery Lane.
    """
    made = sheet(valley, "piece/wv-056")
    first, *rest = [bare(each) for each in made.lead]
    assert first.startswith("Made in April 1933, by the date code D33N4 of Mark ")
    assert first.endswith(
        "underglaze, by Orrin & Tasker Pottery Company; decorated between then and 1942."
    )
    assert made.lead[0].status == "disputed"
    assert "Shows the decal Rookery Lane." in rest
    (dispute,) = [text for text in rest if text.startswith("Disputed: ")]
    assert "The Wend Valley Collector, 1979" in dispute and "has it made in 1927" in dispute
    assert re.search(r"Pots of the Wend, 1961 and .* have Halewin end in 1927", dispute)
    assert dispute.endswith("what the piece itself shows is preferred.")
    assert "It is the only witness on record that Halewin was made after 1927." in rest
    assert "It is the only piece on record with H-433." in rest


def test_one_date_is_one_line_and_what_sources_say_under_it(valley: Snapshot) -> None:
    made, decorated = groups(sheet(valley, "piece/wv-056"), "dates")[0].statements
    assert bare(made) == "Made: April 1933; in any case between 1927 and April 1933"
    assert made.status == "disputed" and len(made.proofs) == 1
    assert [(bare(each).rpartition(": ")[2], each.status) for each in made.parts] == [
        ("1927", "disputed"),
        ("April 1933", ""),
    ]
    assert bare(decorated).startswith("Decorated: Between April 1933 and 1942")
    assert decorated.status == ""
    text = markdown(sheet(valley, "piece/wv-056"))
    assert "not after" not in text and "not before" not in text


@pytest.mark.parametrize(
    ("thing", "first"),
    [
        ("shape/tamsin", "Shape of Orrin & Tasker Pottery Company, begun in 1907"),
        ("source/ot-cat-1906", "Catalogue of Orrin & Tasker Pottery Company, dated in February"),
        ("kiln/ot-4-a", "Straight car tunnel kiln for bisque firing in Northfield Plant"),
        ("mark/ot-octavine", "Mark of Orrin & Tasker Pottery Company applied underglaze"),
    ],
)
def test_a_sheet_begins_with_what_it_is_by_whom_and_when(
    valley: Snapshot, thing: str, first: str
) -> None:
    assert str(sheet(valley, thing).lead[0]).startswith(first)


# -- what is said ------------------------------------------------------------------------------------


def test_a_value_is_said_once_with_every_source_and_marked_where_disputed(
    tricky: Snapshot,
) -> None:
    made = sheet(tricky, "shape/ash")
    said = section(made, "said")
    name = (
        "Name: Ash [Loam ware, 1905, p. 1] [Notes of a <visitor>, 1910 (repeats Loam ware, 1905)]"
    )
    assert name in said
    assert any(line.startswith("Rim: fluted, <b>gilt</b> [Loam ware, 1905, p. 1]") for line in said)
    assert {each.status for group in groups(made, "said") for each in group.statements} == {""}
    began = groups(made, "dates")[0].statements[0]
    assert began.status == "disputed" and len(began.parts) == 2


def test_a_conflict_has_a_headline_and_two_sides_with_their_sources(tricky: Snapshot) -> None:
    (found,) = [group for group in groups(sheet(tricky, "shape/ash"), "disputed") if group.sides]
    assert plain(found.heading).startswith("Ash began by 1904, yet in 1906 or later?")
    one, other = found.statements
    assert bare(one) == "No later than 1904" and "[Loam ware, 1905, p. 1]" in str(one)
    assert bare(other) == "No earlier than 1906" and "[Notes of a <visitor>" in str(other)


def test_a_conflict_is_told_once(valley: Snapshot) -> None:
    """Of the jug's date three checks find the same; what Halewin's end clashes with is another."""
    found = groups(sheet(valley, "piece/wv-056"), "disputed")
    assert len(found) == 2 and all(group.sides for group in found)


def test_what_was_withdrawn_is_told_with_the_reason(tricky: Snapshot) -> None:
    made = sheet(tricky, "shape/beech")
    (line,) = section(made, "withdrawn")
    assert "Beech began about 1903" in line and "The 3 is a 5." in line
    began = groups(made, "dates")[0].statements[0]
    assert bare(began) == "Began: 1905"
    (claim,) = [c for c in made.claims if c.id == "beech-old"]
    assert "The 3 is a 5." in claim.withdrawn


def test_a_date_comes_with_its_argument(tricky: Snapshot) -> None:
    began = groups(sheet(tricky, "shape/beech"), "dates")[0].statements[0]
    (proof,) = began.proofs
    assert [bare(step) for step in proof.steps] == ["Beech began in 1905."]


def test_articles_are_lost_only_where_a_complete_list_lacks_them(valley: Snapshot) -> None:
    """Alder's list of 1906 claims to be complete, those of 1899 and 1909 do not."""
    lines = [s for s in section(sheet(valley, "shape/alder"), "offered") if s.startswith("From")]
    assert len(lines) == 2
    first, second = (line.partition(" [")[0] for line in lines)
    assert "lost:" in first and "gained:" not in first
    assert "not seen in the second:" in second and "lost:" not in second


def test_an_assortment_is_a_table_of_items(tricky: Snapshot) -> None:
    """Loam ware lists a plate 8 and a teapot 30s of Ash; the card a plate 7."""
    (offered,) = [s for s in sheet(tricky, "shape/ash").sections if s.id == "offered"]
    (table,) = [part for part in offered.parts if isinstance(part, Table)]
    assert [column.title for column in table.columns] == ["Article", "Size", "1905", "1906"]
    assert [row.texts for row in table.rows] == [
        ("Plate", "7", "", "yes"),
        ("Plate", "8", "yes", ""),
        ("Teapot", "30s", "yes", ""),
    ]
    lists = section(sheet(tricky, "shape/ash"), "offered")
    assert any(
        line.startswith("Loam ware (1905), stated to be complete: 2 articles.") for line in lists
    )


def test_what_follows_has_a_proof_and_nothing_nobody_would_say(tricky: Snapshot) -> None:
    made = sheet(tricky, "shape/beech")
    (found,) = groups(made, "follows")
    assert plain(found.heading) == "Treatments that appear on it"
    (statement,) = found.statements
    assert bare(statement) == "B-11" and len(statement.proofs) == 1
    steps = [bare(step) for step in statement.proofs[0].steps]
    assert "Sugar, Beech, B-11: shape Beech" in steps
    assert "[Sugar, Beech, B-11 (p1)]" in str([*statement.all()])


def test_no_sheet_tells_a_superclass_a_thing_with_itself_or_a_nameless_class(
    valley: Snapshot,
) -> None:
    for kind, name in KINDS.items():
        made = sheet(valley, f"{kind}/{name}")
        told = [
            str(s)
            for section in made.sections
            if section.id == "follows"
            for part in section.parts
            for s in part.statements
        ]  # type: ignore[union-attr]
        assert not any("is of kind" in text or "nameless" in text for text in told)
        assert not any(text.partition(": ")[2].startswith(made.heading + " [") for text in told)


# -- exhibits, renderings ----------------------------------------------------------------------------


def test_exhibits_are_pieces_and_parts_of_pages(tricky: Snapshot) -> None:
    exhibits = sheet(tricky, "shape/ash").exhibits
    assert [e.picture.box for e in exhibits if e.picture] == [(10.0, 10.0, 30.0, 20.0)]
    pieces = [str(e.statement) for e in sheet(tricky, "shape/beech").exhibits]
    assert [text.partition(":")[0] for text in pieces] == ["Sugar, Beech, B-11", "Plate, Beech"]


def test_what_more_there_is_rests_on_claims_too(valley: Snapshot) -> None:
    *_, more = sheet(valley, "shape/tamsin").exhibits
    assert bare(more.statement) == "12 more pieces on record."
    passages = [note for note in more.statement.notes if isinstance(note, CitedPassage)]
    assert sum(len(passage.claims) for passage in passages) == 12


def test_markdown_calls_every_note_and_breaks_nothing(tricky: Snapshot) -> None:
    made = sheet(tricky, "shape/ash")
    text = markdown(made)
    body, _, notes = text.partition("## Notes")
    assert {int(n) for n in CALL.findall(body)} == set(range(1, len(made.notes) + 1))
    assert [int(n) for n in CALL.findall(notes)] == list(range(1, len(made.notes) + 1))
    assert r"\<b\>gilt\</b\>" in body and r"\*stars\*" in body
    assert re.search(r"(?<!\\)<script", text) is None
    for line in body.splitlines():
        if line.lstrip().startswith("- "):
            assert CALL.search(line), line


def test_the_page_is_whole_needs_nothing_beside_it_and_runs_nothing(tricky: Snapshot) -> None:
    text = as_html(sheet(tricky, "shape/ash"), tricky.path)
    page = Page(text)
    assert page.open == [] and len(page.ids) == len(set(page.ids))
    assert "script" not in page.tags and "<script>alert(1)</script>" in "".join(page.text)
    inside = [link for link in page.links if link.startswith("#")]
    assert {link[1:] for link in inside} <= set(page.ids)
    rest = [link for link in page.links if not link.startswith(("#", "https://www.w3.org/"))]
    assert rest and all(link.startswith("data:image/") for link in rest)
    assert {"html", "title", "main", "h1", "h2", "figcaption"} <= set(page.tags)
    assert 'viewBox="0 0 52 42"' in text  # the part with a margin, within the picture
    assert 'lang="en"' in text and "@media print" in text


def test_a_picture_outside_the_collection_or_missing_is_left_out(tricky: Snapshot) -> None:
    made = sheet(tricky, "shape/ash")
    (picture,) = [e.picture for e in made.exhibits if e.picture]
    assert "data:image" not in as_html(made, tricky.path / "tables")
    assert picture.file == "images/page.png"


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
    text = markdown(made)
    assert made.lead and made.notes
    assert not SAFE.search(text) and not SAFE.search(as_html(made, valley.path))
    body, _, notes = text.partition("## Notes")
    assert {int(n) for n in CALL.findall(body)} == set(range(1, len(made.notes) + 1))
    assert len(made.cautions) <= 2 or kind == "pottery"
    expected = "Disused kilns" if kind in ("kiln", "plant") else "Lead and cadmium"
    assert (expected in notes) == (kind != "source")


def test_the_same_sheet_comes_out_every_time(valley: Snapshot) -> None:
    first, second = (sheet(valley, "shape/tamsin") for _ in range(2))
    assert first == second


def test_crossings_stand_on_the_sheets_of_treatment_and_both_shapes(valley: Snapshot) -> None:
    """Gold Verge was issued for Tamsin and is seen on Halewin; each explanation has its reason."""
    for name in ("treatment/t-302", "shape/tamsin", "shape/halewin"):
        text = markdown(sheet(valley, name))
        assert "T-302 (Gold Verge), at home on Tamsin, was seen on Halewin" in text
        assert "Explanation, strong: shared flatware: A source says" in text
    assert "seen on another shape" not in markdown(sheet(valley, "shape/moraine"))


# -- nothing is lost -----------------------------------------------------------------------------------


def test_every_claim_about_every_thing_is_on_its_page_with_its_passage(valley: Snapshot) -> None:
    """Withdrawn ones with the reason; what each rests on and says is read from the record itself."""
    basis = whole(valley)
    looked = 0
    for thing, claims in basis.by_thing.items():
        cited = {claim.iri: claim for claim in report_of(basis, URIRef(thing), PAGE).claims}
        for claim in claims:
            told = cited[str(claim.iri)]
            assert told.read_from == str(claim.origin)
            assert told.place == claim.passage.place and told.note == claim.note
            assert claim.recorded_by in told.recorded and claim.recorded_on in told.recorded
            assert bool(told.withdrawn) == (claim.iri in valley.belief.withdrawn)
            looked += 1
    assert looked >= len(valley.record.claims)


def test_what_is_kept_tells_the_same_dates_and_statements(
    valley: Snapshot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOST_CACHE", str(tmp_path))
    thing = URIRef(valley.record.base + "piece/wv-056")
    kept = report_of(Kept(Snapshot(valley.path)), thing, PAGE)
    full = report_of(whole(valley), thing, PAGE)
    for name in ("dates", "said", "related", "withdrawn"):
        assert [s for s in kept.sections if s.id == name] == [
            s for s in full.sections if s.id == name
        ]


# -- the data that says how things are told ------------------------------------------------------------


def test_tables_of_words_speak_of_the_vocabulary_and_of_kinds_there_are() -> None:
    words = set(vocabulary().subjects())
    names = {*kinds(), "", "sharing", "glaze-use"}
    assert len(linked()) > 60
    for link in linked():
        tell = {GLOST[name] for name in link.tell if name not in ("made", "run", "date")}
        assert {link.property_, *tell} <= words, link
        assert link.kind in names, link
    for kind, some in _patterns().items():
        assert GLOST[kind] in words
        assert {property_ for property_, _ in some} <= words
