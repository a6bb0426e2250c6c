"""I have a page, I have a piece, I bring files: rows entered, checked as one types, seen first."""

import csv
import re
from html import unescape
from io import BytesIO
from pathlib import Path

from PIL import Image

from desks import Desk, desk, words
from glost.record.record import read
from glost.record.starting import begin

PAGE = "/page/p3.png"


def rows(folder: Path, table: str) -> list[dict[str, str]]:
    with (folder / "tables" / f"{table}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_a_page_shows_every_region_on_record_linked_to_its_claims(small: Desk) -> None:
    page = small.get(PAGE).text
    boxes = re.findall(
        r'class="cited" x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)"', page
    )
    # As in the table: pixels as they are, per cent of 400 by 300.
    assert [tuple(map(float, box)) for box in boxes] == [(10, 20, 200, 30), (20, 90, 200, 30)]
    found = re.findall(
        r'<tr id="r(\d)"><th scope="row"><a href="/claim/\w+">(.+?)</a>(.+)</tr>', page
    )
    assert [(n, place) for n, place, _ in found] == [
        ("1", "p. 3, item 101"),
        ("2", "p. 3, item 103"),
    ]
    # What both rows say alike stands above them, the rest in columns.
    assert [re.findall("<td>(.*?)</td>", cells) for *_, cells in found] == [
        ["dinner plate", "8", "101", "1.20"],
        ["teapot", "36s", "103", "4.80"],
    ]
    assert "Assortments Catalogue No. 4, Alder, dozen" in words(page)
    assert "Without a row yet: item 102" in words(page)
    assert 'href="/page/p3.png"' in small.get("/pages").text


def test_a_row_is_entered_from_a_page_by_names_and_words(small: Desk) -> None:
    form = small.form(f"{PAGE}?table=assortments&region=xywh=5,5,50,20")
    assert (form["cell-catalogue"], form["cell-region"], form["cell-locator"]) == (
        "cat1908",
        "xywh=5,5,50,20",
        "p. 3",
    )
    form |= {
        "cell-shape": "Birch",
        "cell-form": "Dinner Plate",
        "cell-item": "102",
        "cell-locator": "p. 3, item 102",
    }
    seen = small.post(f"{PAGE}?table=assortments", {**form, "do": "look"})
    assert "What would follow" in words(seen.text) and len(rows(small.folder, "assortments")) == 2
    saved = small.post(f"{PAGE}?table=assortments", {**form, "do": "again"})
    assert saved.status_code == 303
    last = rows(small.folder, "assortments")[-1]
    assert (last["shape"], last["form"], last["item"], last["region"]) == (
        "birch",
        "dinner-plate",
        "102",
        "xywh=5,5,50,20",
    )
    again = small.form(saved.headers["location"].partition("#")[0])
    assert (again["cell-shape"], again["cell-item"], again["cell-locator"]) == (
        "birch",
        "103",
        "p. 3, item 103",
    )
    assert again["cell-region"] == ""
    assert small.get(PAGE).text.count('class="cited"') == 3


def test_errors_stand_at_their_cells_and_nothing_is_written(small: Desk) -> None:
    form = small.form(f"{PAGE}?table=assortments")
    form |= {"cell-shape": "aldr", "cell-form": "plat"}
    bad = small.post(f"{PAGE}?table=assortments", {**form, "do": "save"})
    assert bad.status_code == 400
    said = words(bad.text)
    assert 'Nothing describes "aldr" in shapes; did you mean "alder"?' in said
    assert "is no term of the list of form terms" in said
    assert len(rows(small.folder, "assortments")) == 2


def test_the_same_row_sent_twice_is_entered_once(small: Desk) -> None:
    form = small.form("/enter/flatware") | {
        "cell-shape": "birch",
        "cell-with": "alder",
        "cell-source": "letter",
    }
    assert small.post("/enter/flatware", {**form, "do": "save"}).status_code == 303
    twice = small.post("/enter/flatware", {**form, "do": "save"})
    assert twice.status_code == 400 and "the very same row is there already" in words(twice.text)
    assert len(rows(small.folder, "flatware")) == 2


def test_what_was_entered_is_undone_and_the_table_is_as_before(small: Desk) -> None:
    before = (small.folder / "tables/flatware.csv").read_text(encoding="utf-8")
    form = small.form("/enter/flatware") | {
        "cell-shape": "birch",
        "cell-with": "alder",
        "cell-source": "letter",
    }
    small.post("/enter/flatware", {**form, "do": "save"})
    assert small.post("/undo/0").status_code == 303
    kept = rows(small.folder, "flatware")
    assert [(r["shape"], r["with"]) for r in kept] == [("alder", "birch")]
    assert before.splitlines()[1] in (small.folder / "tables/flatware.csv").read_text(
        encoding="utf-8"
    )


def test_a_cell_is_told_while_one_types(small: Desk) -> None:
    def told(table: str, column: str, text: str) -> str:
        return unescape(
            small.client.get("/cell", params={"table": table, "column": column, "text": text}).text
        )

    assert 'data-take="alder"' in told("assortments", "shape", "ald")
    good = told("assortments", "shape", "Alder")
    assert 'class="good">Alder <code>alder</code>' in good
    assert 'data-take="dinner-plate"' in told("assortments", "form", "dinn")
    bad = told("shapes", "begin", "about 1908")
    assert "is not an EDTF date" in bad and 'class="bad"' in bad
    new = told("assortments", "shape", "Willow Tree")
    assert 'href="/enter/shapes?cell-shape=Willow+Tree"' in new
    assert small.get("/cell?table=no&column=no&text=x").status_code == 404


def test_what_a_row_would_contradict_is_told_while_one_types(small: Desk) -> None:
    fields = {
        "cell-shape": "alder",
        "cell-pottery": "harrow",
        "cell-name": "Alder",
        "cell-end": "1905",
        "cell-source": "letter",
    }
    seen = small.client.get("/foretold/shapes", params=fields)
    assert "New findings" in words(seen.text)
    empty = small.client.get("/foretold/shapes", params={"cell-shape": "alder"})
    assert "as soon as the cells that are needed are filled" in words(empty.text)


# -- a piece ---------------------------------------------------------------------------------------


def test_what_is_seen_gives_ranked_shapes_and_dates_with_reasons(large: Desk) -> None:
    page = large.get("/piece?form=plate").text
    said = words(page)
    assert "score" in said and "What to look at next" in said and "Made" in said
    assert re.search(r'class="candidates"><li><h3><a href="/thing/shape/', page)
    part = large.get("/piece/answer?form=plate&rim=octagonal").text
    assert "<html" not in part and "What it may be" in part
    wrong = words(large.get("/piece/answer?form=plaet").text)
    assert "is not one form of the list" in wrong and "plate" in wrong


def test_a_piece_is_saved_from_what_was_seen(small: Desk) -> None:
    link = re.search(
        r'href="(/enter/pieces\?[^"]*)"', small.get("/piece?form=dinner plate&number=A12").text
    )
    assert link
    form = small.form(unescape(link[1]))
    assert form["cell-number_read"] == "A12"
    small.post("/enter/pieces", form | {"cell-piece": "p3", "do": "save"})
    assert rows(small.folder, "pieces")[-1]["piece"] == "p3"
    assert "A12" in words(small.get("/thing/piece/p3").text)


# -- to bring in -----------------------------------------------------------------------------------


def _png(width: int = 30, height: int = 20) -> bytes:
    out = BytesIO()
    Image.new("RGB", (width, height), "white").save(out, "PNG")
    return out.getvalue()


def test_an_image_is_brought_and_shown(small: Desk) -> None:
    saved = small.post("/bring", files={"files": ("Page 7 (left).PNG", _png(), "image/png")})
    assert saved.status_code == 303 and saved.headers["location"] == "/page/Page-7-left.png"
    assert (small.folder / "images/Page-7-left.png").read_bytes() == _png()
    assert "Describe its source" in words(small.get("/page/Page-7-left.png").text)
    again = small.post("/bring", files={"files": ("Page 7 (left).PNG", _png(), "image/png")})
    assert again.status_code == 400 and "there is an image of that name already" in words(
        again.text
    )


def test_a_table_is_brought_its_errors_told_by_cell_and_mended_in_place(small: Desk) -> None:
    text = "shape,with,source\nalder,brch,letter\nbirch,Alder,letter\n"
    shown = small.post("/bring", files={"files": ("flatware.csv", text.encode(), "text/csv")})
    assert 'value="brch" aria-label="with, row 1" aria-invalid="true"' in shown.text
    assert 'did you mean "birch"' in words(shown.text) and "Add these rows" not in shown.text
    from desks import fields_of

    grid = shown.text[shown.text.index('class="row"') - 40 :]
    fields = fields_of(grid) | {"row-1-with": "birch", "row-1-source": "letter"}
    checked = small.post(
        "/bring",
        {
            **fields,
            "row-1-shape": "birch",
            "row-1-with": "alder",
            "row-2-with": "birch",
            "row-2-shape": "birch",
            "do": "look",
        },
    )
    assert checked.status_code in (200, 400)
    good = {
        "table": "flatware",
        "row-1-shape": "birch",
        "row-1-with": "Alder",
        "row-1-source": "letter",
    }
    assert "Add these rows" in small.post("/bring", {**good, "do": "look"}).text
    assert small.post("/bring", {**good, "do": "save"}).status_code == 303
    assert rows(small.folder, "flatware")[-1] | {} == rows(small.folder, "flatware")[-1]
    assert (
        rows(small.folder, "flatware")[-1]["shape"],
        rows(small.folder, "flatware")[-1]["with"],
    ) == ("birch", "alder")


def test_a_newcomer_begins_with_an_empty_collection(tmp_path: Path) -> None:
    begin(tmp_path / "new", "My shelf", "https://example.org/my/")
    with desk(tmp_path / "new") as opened:
        assert "Nothing yet. Begin with a source" in words(opened.get("/").text)
        opened.post("/bring", files={"files": ("list.png", _png(), "image/png")})
        form = opened.form("/enter/sources?cell-image=list.png")
        form |= {
            "cell-source": "list",
            "cell-title": "Price list",
            "cell-kind": "price list",
            "do": "save",
        }
        assert opened.post("/enter/sources", form).status_code == 303
        page = opened.get("/page/list.png?table=potteries")
        assert "Price list" in words(page.text) and 'name="cell-source" value="list"' in page.text
    assert read(tmp_path / "new").ids["source"] == {"list"}


def test_the_same_again_is_typed_on_in_the_first_empty_cell_and_enter_goes_on(small: Desk) -> None:
    row = {
        "cell-catalogue": "cat1911",
        "cell-shape": "alder",
        "cell-form": "plate",
        "cell-per": "dozen",
    }
    saved = small.post("/enter/assortments", {**row, "cell-item": "1", "do": "again"})
    page = small.get(saved.headers["location"]).text
    (field,) = re.findall(r"<input [^>]*autofocus[^>]*>", page)
    assert 'value=""' in field and 'id="cell-' in field
    assert page.index('value="again"') < page.index('value="save"'), "the first is what Enter does"
    first = small.get("/enter/assortments").text
    assert re.search(r"autofocus[^>]*data-column=\"catalogue\"", first)
    assert first.index('value="save"') < first.index('value="again"')


def test_a_remedy_that_asks_ends_with_its_question(small: Desk) -> None:
    told = small.get("/cell?table=assortments&column=shape&text=aldr").text
    assert re.search(r"did you mean[^<]*\?</span>", unescape(told)) and "?." not in told
