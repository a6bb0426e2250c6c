"""Two tabs on one thing: the second is refused with both versions, and nothing written is lost."""

import csv
import re
from html import unescape
from html.parser import HTMLParser
from types import SimpleNamespace
from typing import cast

import pytest

from desks import Desk, words
from glost.desk.asked import Unclear
from glost.desk.opened import Opened
from glost.desk.saving import saved
from glost.record.amending import StaleRecordError
from glost.record.errors import RecordError
from glost.record.record import read


def rows(desk: Desk, table: str) -> list[dict[str, str]]:
    text = (desk.folder / "tables" / f"{table}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def alder(desk: Desk) -> str:
    record = read(desk.folder)
    return next(c.id for c in record.claims if str(c.origin) == "tables/shapes.csv row 2")


def all_fields(page: str, action: str) -> dict[str, list[str]]:
    """Return what a form holds, fields of one name together, as a browser without a script sends."""
    form = re.search(rf'(?s)<form method="post" action="{re.escape(action)}".*?</form>', page)
    assert form, page
    found: dict[str, list[str]] = {}
    for tag in re.findall(r"<input[^>]*>", form[0]):
        said = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if said.get("type") not in ("checkbox", "radio") or " checked" in tag:
            found.setdefault(said["name"], []).append(unescape(said.get("value", "")))
    button = re.search(r'<button name="do" value="([^"]*)"', form[0])
    return found | ({"do": [button[1]]} if button else {})


def test_a_note_on_a_row_that_was_corrected_meanwhile_is_kept_and_shown_beside(small: Desk) -> None:
    claim = alder(small)
    note = all_fields(small.get(f"/claim/{claim}/dispute").text, "/remark")
    note |= {"text": ["By another hand."], "source": ["letter"]}
    form = small.form(f"/claim/{claim}/correct")
    form |= {"cell-begin": "1909", "reason": "misread", "kind": "transcription", "do": "save"}
    assert small.post(f"/claim/{claim}/correct", form).status_code == 303
    refused = small.post("/remark", note)
    assert refused.status_code == 409 and not (small.folder / "tables/remarks.csv").exists()
    assert "has changed since you opened it" in words(refused.text)
    assert "By another hand." in refused.text and "began in 1908" in words(refused.text)
    again = all_fields(refused.text, "/remark")
    assert small.post("/remark", again).status_code == 303
    assert [(r["text"], r["on"]) for r in rows(small, "remarks")] == [("By another hand.", claim)]


def test_a_note_on_a_row_that_a_spreadsheet_took_out_is_not_lost(small: Desk) -> None:
    claim = alder(small)
    note = all_fields(small.get(f"/claim/{claim}/dispute").text, "/remark")
    note |= {"text": ["By another hand."], "source": ["letter"]}
    file = small.folder / "tables/shapes.csv"
    file.write_text(file.read_text(encoding="utf-8").replace("Alder", "Aldern"), encoding="utf-8")
    refused = small.post("/remark", note)
    assert refused.status_code == 409
    assert "Aldern" in words(refused.text) and "By another hand." in refused.text
    assert small.post("/remark", all_fields(refused.text, "/remark")).status_code == 303
    assert rows(small, "remarks")[0]["on"] == alder(small) != claim


@pytest.fixture
def talk(small: Desk) -> Desk:
    small.post("/talks", {"title": "Evening"})
    for wording in ("First.", "Second."):
        add = {"about": "shape/alder", "wording": wording, "do": "add"}
        assert small.post("/talk/evening/arrange", add).status_code == 303
    return small


ARRANGE = "/talk/evening/arrange"


def said(desk: Desk) -> list[str]:
    shown = sorted(rows(desk, "public_statements"), key=lambda row: row["place_in_talk"])
    return [row["wording"] for row in shown]


def test_words_of_a_talk_that_were_changed_in_another_tab_are_not_written_over(talk: Desk) -> None:
    one = all_fields(talk.get("/talk/evening").text, ARRANGE)
    two = dict(one)
    one |= {"wording": ["By the list."], "do": ["change-1"]}
    two |= {"wording": ["By the foot."], "do": ["change-1"]}
    assert talk.post(ARRANGE, one).status_code == 303
    refused = talk.post(ARRANGE, two)
    assert refused.status_code == 409 and said(talk) == ["By the list.", "Second."]
    assert "By the list." in words(refused.text) and "By the foot." in words(refused.text)
    assert talk.post(ARRANGE, all_fields(refused.text, ARRANGE)).status_code == 303
    assert said(talk) == ["By the foot.", "Second."]


def test_what_was_moved_in_another_tab_is_found_where_it_stands_now(talk: Desk) -> None:
    first = all_fields(talk.get("/talk/evening").text, ARRANGE)
    shown = rows(talk, "public_statements")
    assert talk.post(ARRANGE, {"do": "down-1"}).status_code == 303
    assert said(talk) == ["Second.", "First."]
    refused = talk.post(ARRANGE, first | {"wording": ["Mine."], "do": ["change-1"]})
    assert refused.status_code == 409, "its row is another now"
    assert "First." in words(refused.text) and "Second." not in words(refused.text)
    assert talk.post(ARRANGE, all_fields(refused.text, ARRANGE)).status_code == 303
    assert said(talk) == ["Second.", "Mine."] and len(rows(talk, "public_statements")) == 2
    assert {row["public_statement"] for row in shown} == {
        row["public_statement"] for row in rows(talk, "public_statements")
    }


def test_what_is_written_is_tried_again_on_the_files_as_they_are_then() -> None:
    records = iter(("old", "older", "now"))
    opened = cast(Opened, SimpleNamespace(state=lambda: SimpleNamespace(record=next(records))))

    def write(record: object) -> str:
        if record != "now":
            raise StaleRecordError([RecordError("", "moved on", "")])
        return "written"

    assert saved(opened, write) == "written"

    def never(record: object) -> str:
        raise StaleRecordError([RecordError("", "moved on", "")])

    still = cast(Opened, SimpleNamespace(state=lambda: SimpleNamespace(record="old")))
    with pytest.raises(Unclear, match="change all the time"):
        saved(still, never)


class Forms(HTMLParser):
    """Gathers the forms of a page: how each is sent, its buttons, and fields without a name."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[tuple[dict[str, str | None], list[str]]] = []
        self.nameless: list[str] = []
        self._in = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = dict(attrs)
        if tag == "form":
            self._in = True
            self.found.append((said, []))
        elif self._in and tag == "button" and said.get("type", "submit") == "submit":
            self.found[-1][1].append(said.get("value") or "")
        elif self._in and tag in ("input", "select", "textarea") and not said.get("name"):
            self.nameless.append(self.get_starttag_text() or "")

    def handle_endtag(self, tag: str) -> None:
        self._in = self._in and tag != "form"


PAGES = ("/", "/thing/shape/alder", "/claim/7a558c74d7b46d06", "/claim/7a558c74d7b46d06/correct",
         "/claim/7a558c74d7b46d06/dispute", "/piece", "/conflicts?severity=contradiction", "/timeline",
         "/page/ot-cat-1909-p13.png?table=assortments", "/recording/talk-2022?table=shapes", "/bring",
         "/talks", "/talk/talk-war-lines?show=Alder", "/ask/in-production", "/sparql", "/compare?a=shape/alder", "/pictures",
         "/labels", "/review", "/enter/pieces", "/history")  # fmt: skip


def test_every_form_can_be_sent_without_a_script(large: Desk) -> None:
    """All fields have names, and a button of its own sends each form to an address of the desk."""
    posted = set()
    for address in PAGES:
        forms = Forms(large.get(address).text)
        assert not forms.nameless, (address, forms.nameless)
        assert forms.found
        for said_, buttons in forms.found:
            assert buttons and (said_.get("action") or "").startswith("/"), (address, said_)
            if said_.get("method") == "post":
                posted.add((said_["action"] or "").partition("?")[0].split("/")[1])
    assert posted >= {"claim", "remark", "page", "recording", "bring", "talk", "talks", "enter"}
