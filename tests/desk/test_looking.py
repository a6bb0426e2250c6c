"""To look: every view shows what is on record, and leads on to what it rests on."""

import base64
import csv
import hashlib
import io
import re
from html import unescape

import pytest

from desks import Desk, words
from glost.words.sentences import unboxed


def test_the_start_says_what_is_there_and_what_disagrees(large: Desk) -> None:
    page = large.get("/").text
    with (large.folder / "tables/shapes.csv").open(newline="", encoding="utf-8") as file:
        shapes = {row["shape"] for row in csv.DictReader(file)}
    assert re.search(rf'/things/shape">Shapes</a> <span>{len(shapes)}<', page)
    said = words(page)
    assert "I have a page" in said and re.search(r"[0-9]+ contradictions", said)
    assert 'href="/claim/' in page


def test_a_thing_is_its_report_with_its_rows_each_to_be_corrected(large: Desk) -> None:
    answer = large.get("/thing/shape/alder")
    assert answer.status_code == 200
    assert "<h1>Alder" in answer.text
    rows = set(re.findall(r'href="/claim/([\w-]+)/correct"', answer.text))
    assert rows
    claim = sorted(rows)[0]
    said = words(large.get(f"/claim/{claim}").text)
    assert "What it rests on" in said and "Its row in" in said and "tables/" in said


def test_every_link_of_a_page_leads_to_a_page(large: Desk) -> None:
    for start in ("/", "/thing/shape/alder", "/conflicts", "/pages"):
        links = {
            unescape(link).partition("#")[0]
            for link in re.findall(r'href="(/[^"]*)"', large.get(start).text)
        }
        for link in sorted(links)[::7]:
            assert large.get(link).status_code == 200, (start, link)


def test_a_row_of_a_page_that_was_withdrawn_says_so(large: Desk) -> None:
    """The blueprint's overall length was misread as 384 ft, and corrected to 348."""
    page = large.get("/page/ot-bp-1923.png").text
    gone = [row for row in page.split("<tr") if "withdrawn" in row]
    assert ["384 ft" in row for row in gone] == [True]


def test_as_of_a_day_shows_what_was_believed_then(large: Desk) -> None:
    page = large.get("/?as_of=2021-12-31").text
    assert "As it was believed on 2021-12-31" in page
    claims = [
        int(words(large.get(a).text).split(" claims in all")[0].split()[-1].replace(",", ""))
        for a in ("/", "/?as_of=2021-12-31")
    ]
    assert claims[1] < claims[0]
    assert large.get("/?as_of=yesterday").status_code == 400


@pytest.mark.parametrize("text", ["Alder", "alder", "shape/alder", "ALDER"])
def test_a_thing_is_found_by_any_of_its_names(large: Desk, text: str) -> None:
    assert "/thing/shape/alder" in large.get(f"/finding?q={text}").text


def test_what_is_not_there_is_said_to_be_missing(large: Desk) -> None:
    for address in ("/thing/shape/nobody", "/claim/nobody", "/things/nothing", "/image/none.png",
                    "/page/none.png", "/ask/nothing", "/picture/nothing", "/enter/nothing", "/x/y"):  # fmt: skip
        assert large.get(address).status_code == 404, address


def test_conflicts_show_both_sides_and_what_would_settle_them(large: Desk) -> None:
    page = large.get("/conflicts?severity=contradiction").text
    first = page[page.index("<article") : page.index("</article>")]
    claims = re.findall(r'name="claim" value="([\w-]+)"', first)
    assert len(claims) > 1 and "What would settle it" in first
    asked = "&".join(f"claim={claim}" for claim in claims[:1])
    said = words(large.get(f"/aside?{asked}").text)
    assert "If this were set aside" in said and "Nothing was changed" in said


def test_a_page_that_waits_for_the_collection_says_so_and_goes_on(
    small: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    from concurrent.futures import Future

    never: Future[None] = Future()
    app = small.client.app._app  # type: ignore[attr-defined]
    monkeypatch.setattr(app.state, "begun", never)
    monkeypatch.setattr("glost.desk.app._PATIENCE", 0.01)
    answer = small.client.get("/")
    assert "is being opened" in answer.text and answer.headers["refresh"] == "2"
    never.set_result(None)
    assert "is being opened" not in small.client.get("/").text


# -- questions -------------------------------------------------------------------------------------


def test_a_question_is_a_form_with_pick_lists_and_an_address_to_send(large: Desk) -> None:
    form = large.get("/ask/in-production").text
    assert re.search(r'<option value="pottery/orrin"[^>]*>Orrin', form)
    page = large.get("/ask/in-production?year=1910&pottery=pottery/orrin").text
    assert re.search(r'<option value="pottery/orrin" selected>', page)
    assert re.search(r'name="year" value="1910"', page)
    assert "Rests on" in page and re.search(r"<details><summary>[0-9]+ claims?</summary>", page)
    assert re.search(r'class="grounds"><li><a href="/claim/', page)


def test_an_answer_is_taken_as_csv_and_sorted_by_any_column(large: Desk) -> None:
    text = large.get("/ask/runs-reckoned?put=1&as=csv").text
    rows = list(csv.reader(line for line in io.StringIO(text) if not line.startswith("#")))
    assert len(rows) > 5
    column = rows[0][0]
    up = _column(large.get(f"/ask/runs-reckoned?put=1&by={column}").text)
    down = _column(large.get(f"/ask/runs-reckoned?put=1&by={column}&down=1").text)
    assert up == sorted(up, key=str.casefold)
    assert down == sorted(down, key=str.casefold, reverse=True)
    assert sorted(up) == sorted(row[0] for row in rows[1:])
    narrowed = _column(large.get("/ask/runs-reckoned?put=1&only=alder").text)
    assert 0 < len(narrowed) < len(up)


def _column(page: str) -> list[str]:
    body = page[page.index("<tbody>") :]
    cells = re.findall(r"<tr><td[^>]*>(.*?)</td>", body, re.DOTALL)
    return [unescape(re.sub("<[^>]+>", "", cell)) for cell in cells]


def test_what_cannot_be_asked_is_said_with_what_could(large: Desk) -> None:
    answer = large.get("/ask/shared-flatware?shape=aldr&put=1")
    assert answer.status_code == 400
    assert "nearest: Alder" in words(answer.text)


def test_free_sparql_is_answered_and_nothing_can_be_changed_by_it(large: Desk) -> None:
    query = "SELECT ?s ?n { ?s a glost:Shape ; rdfs:label ?n } ORDER BY ?n LIMIT 3"
    page = large.client.get("/sparql", params={"query": query}).text
    assert "/thing/shape/" in page
    bad = large.client.get("/sparql", params={"query": "DELETE WHERE { ?s ?p ?o }"})
    assert bad.status_code == 400 and "It cannot be answered" in words(bad.text)


def test_a_picture_is_drawn_with_links_and_told_in_a_table(large: Desk) -> None:
    page = large.get("/picture/runs").text
    assert "<svg" in page and 'href="/thing/shape/alder"' in page
    assert "The same as a table" in page
    assert large.get("/picture/plant").status_code in (200, 400)


# -- to print --------------------------------------------------------------------------------------


def test_a_sheet_a_label_and_a_picking_list(large: Desk) -> None:
    sheet = large.get("/sheet/shape/alder")
    policy = sheet.headers["content-security-policy"]
    style = re.search(r"<style>(.*?)</style>", sheet.text, re.DOTALL)
    assert style is not None and "script-src" not in policy
    digest = base64.b64encode(hashlib.sha256(style[1].encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}'" in policy
    assert "Identifier: " in sheet.text
    assert not [s for s in re.findall(r"(?s)<summary>.*?</summary>", sheet.text) if "<a " in s]
    label = large.get("/labels?of=shape/alder").text
    assert 'class="qr"' in label and "shape/alder" in label
    picks = words(large.get("/picking?of=shape/alder").text)
    assert "Kept by" in picks and "Number" in picks


def test_two_things_stand_side_by_side_without_an_id_twice(large: Desk) -> None:
    page = large.get("/compare?a=shape/alder&b=shape/tamsin").text
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    assert page.count("<h1>") == 3


def test_no_part_of_a_report_is_taken_for_a_part_of_the_desk_that_lies_over_the_page(
    large: Desk,
) -> None:
    style = large.get("/assets/desk.css").text
    over = {
        name
        for selectors, rules in re.findall(r"([^{}]+)\{([^{}]*position: (?:absolute|fixed)[^{}]*)\}", style)
        for name in re.findall(r"\.([\w-]+)", selectors)
    }  # fmt: skip
    parts = re.findall(r'<section class="([\w -]+)"', large.get("/thing/shape/alder").text)
    assert {"skip", "hint"} <= over and "offered" in parts
    assert not over & {name for part in parts for name in part.split()}


def test_a_place_is_named_without_the_numbers_of_its_region(large: Desk) -> None:
    page = large.get("/conflicts").text
    assert "sheet 2, overall dimension" in page and "xywh" not in words(page)
    assert unboxed("p. 2, p7.png#xywh=1,2,3,4") == "p. 2"
    assert unboxed("xywh=percent:1,2,3,4") == "a part of the page"
    assert unboxed("") == ""


def test_what_a_text_may_mean_is_told_by_kind_the_potteries_first(large: Desk) -> None:
    page = large.get("/find?q=al&list=1").text
    kinds = re.findall(r"<h2>([^<]+)</h2>", page)
    assert kinds[:3] == ["Potteries", "Shapes", "Treatments"]
    assert kinds.index("Articles") > kinds.index("People")
    assert re.search(r"<summary>\d+ more</summary>", page)


def test_the_history_gives_the_reason_of_each_correction(large: Desk) -> None:
    page = words(large.get("/history").text)
    assert "The sheet was dated by a pencil note that proves to be a price." in page
    assert "says of Red Sail" in page and "withdraws" not in page
