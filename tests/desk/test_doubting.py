"""What is left open: another source beside a claim, a doubt, a conflict with a note that stays."""

import csv
import re
from html import unescape
from pathlib import Path

from desks import Desk, words
from glost.answer.snapshot import Snapshot
from glost.record.record import read


def rows(folder: Path, table: str) -> list[dict[str, str]]:
    text = (folder / "tables" / f"{table}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def claim(folder: Path) -> str:
    record = read(folder)
    return next(c.id for c in record.claims if str(c.origin) == "tables/shapes.csv row 2")


def test_another_source_is_entered_beside_a_claim_and_both_stand(small: Desk) -> None:
    name = claim(small.folder)
    page = small.get(f"/claim/{name}/dispute")
    link = re.search(r'href="(/enter/shapes\?[^"]*)"', page.text)
    assert link
    address = unescape(link[1])
    form = small.form(address)
    assert form["cell-shape"] == "alder" and not form["cell-begin"], "only what names it is kept"
    assert f"/claim/{name}" in small.get(address).text, "what it is beside stays in sight"
    form |= {"cell-begin": "1910", "cell-source": "letter", "do": "save"}
    assert small.post("/enter/shapes", form).status_code == 303
    differing = [f for f in Snapshot(small.folder).findings() if f.kind == "differing-values"]
    assert any("1908 or 1910" in each.message for each in differing)


def test_a_doubt_is_noted_shown_and_found(small: Desk) -> None:
    name = claim(small.folder)
    doubt = {"on": name, "text": "A later hand wrote it.", "source": "Letter of a traveller"}
    assert small.post("/remark", doubt).status_code == 303
    (row,) = rows(small.folder, "remarks")
    assert (row["on"], row["text"], row["source"]) == (name, "A later hand wrote it.", "letter")
    assert "Doubted: A later hand wrote it." in words(small.get(f"/claim/{name}").text)
    assert "It is doubted: A later hand wrote it." in words(small.get("/conflicts").text)
    (found,) = (f for f in Snapshot(small.folder).findings() if f.kind == "doubted")
    assert found.claims[0].endswith(name) and "A later hand wrote it." in found.message


def test_a_conflict_is_left_open_with_a_note_that_stays_with_it_and_with_no_other(
    small: Desk,
) -> None:
    for begin in ("1910", "1911"):
        row = {"cell-shape": "birch", "cell-begin": begin, "cell-source": "letter", "do": "save"}
        assert small.post("/enter/shapes", row).status_code == 303
    page = small.get("/conflicts").text
    article = next(
        a for a in re.findall(r"(?s)<article.*?</article>", page) if "or 1911" in words(a)
    )
    names = re.findall(r"on=(\w+)", article)
    assert len(set(names)) > 1
    note = {"on": names, "text": "Wait for the list of 1912.", "recorded_by": "J. Fell"}
    assert small.post("/remark", note).status_code == 303
    (row,) = rows(small.folder, "remarks")
    assert set(row["on"].split("|")) == set(names) and row["source"] == "notes-j-fell"
    own = next(r for r in rows(small.folder, "sources") if r["source"] == "notes-j-fell")
    assert own["author"] == "J. Fell", "where no source says it, it rests on their own notes"
    again = small.get("/conflicts").text
    noted = [a for a in re.findall(r"(?s)<article.*?</article>", again) if "Wait for" in a]
    assert noted and all(set(names) <= set(re.findall(r'value="(\w+)"', a)) for a in noted)
    assert small.post("/undo/2").status_code == 303
    assert not rows(small.folder, "remarks")


def test_a_note_without_text_or_claim_is_refused_and_what_was_written_is_kept(small: Desk) -> None:
    assert small.post("/remark", {"text": "x"}).status_code == 400
    bad = small.post("/remark", {"on": claim(small.folder), "text": "", "locator": "p. 99"})
    assert bad.status_code == 400 and "text" in words(bad.text) and 'value="p. 99"' in bad.text


def test_no_remedy_at_the_desk_names_a_command_that_is_a_form_here(large: Desk) -> None:
    told = words(large.get("/conflicts").text) + words(large.get("/enter/public_statements").text)
    told += words(large.get("/enter/errata").text) + words(large.get("/enter/remarks").text)
    assert not re.findall(r"glost (?:correct|show|ask|undo|terms|conflicts|errata)\b", told)
