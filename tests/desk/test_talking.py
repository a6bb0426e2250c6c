"""Talks: arranged, shown, given, and told of when what was said in them is corrected."""

import csv
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from desks import Desk, words
from glost.record.record import read
from glost_cli.main import glost

ADD = {"about": "shape/alder", "wording": "Alder, from 1908.", "do": "add"}


def said(folder: Path) -> list[tuple[str, str, str]]:
    """Return the place, words and used claims of each thing shown, by place."""
    file = folder / "tables/public_statements.csv"
    rows = csv.DictReader(file.read_text(encoding="utf-8").splitlines())
    return sorted((r["place_in_talk"], r["wording"], r["uses"]) for r in rows)


def claim(folder: Path, row: int) -> str:
    record = read(folder)
    return next(c.id for c in record.claims if str(c.origin) == f"tables/shapes.csv row {row}")


@pytest.fixture
def begun(small: Desk) -> Desk:
    """Return a desk on which a talk was begun with two things to show."""
    made = small.post("/talks", {"title": "Alder & others", "author": "J. Fell"})
    assert made.headers["location"] == "/talk/alder-others"
    arrange = "/talk/alder-others/arrange"
    small.post(arrange, {**ADD, "uses": claim(small.folder, 2), "image": "p3.png"})
    small.post(arrange, {**ADD, "wording": "Birch."})
    return small


def test_things_are_arranged_with_their_evidence_and_each_step_undone(begun: Desk) -> None:
    alder = claim(begun.folder, 2)
    first, second = ("1", "Alder, from 1908.", alder), ("2", "Birch.", "")
    assert said(begun.folder) == [first, second]
    page = begun.get("/talk/alder-others")
    assert "It rests on no claim" in words(page.text) and f"/claim/{alder}" in page.text
    assert "Catalogue No. 4" in words(page.text) and "/image/p3.png" in page.text
    begun.post("/talk/alder-others/arrange", {"do": "up-2"})
    assert said(begun.folder) == [("1", "Birch.", ""), ("2", "Alder, from 1908.", alder)]
    begun.post(
        "/talk/alder-others/arrange", {"do": "change-1", "wording": "Birch now.", "uses": ""}
    )
    assert said(begun.folder)[0] == ("1", "Birch now.", "")
    begun.post("/talk/alder-others/arrange", {"do": "out-1"})
    assert said(begun.folder) == [("2", "Alder, from 1908.", alder)]
    for expected in (
        [("1", "Birch now.", ""), ("2", "Alder, from 1908.", alder)],
        [("1", "Birch.", ""), ("2", "Alder, from 1908.", alder)],
        [first, second],
    ):
        steps = begun.get("/history").text.count('action="/undo/')
        assert begun.post(f"/undo/{steps - 1}").status_code == 303
        assert said(begun.folder) == expected


def test_what_cannot_be_arranged_is_refused_and_nothing_changes(begun: Desk) -> None:
    before = said(begun.folder)
    for do in ("up-1", "down-2", "out-3", "out-x", "burn-1", ""):
        assert begun.post("/talk/alder-others/arrange", {"do": do}).status_code == 400, do
    bad = begun.post("/talk/alder-others/arrange", {**ADD, "uses": "nosuchclaim"})
    assert bad.status_code == 400 and "nosuchclaim" in words(bad.text)
    bad = begun.post("/talk/alder-others/arrange", {**ADD, "wording": ""})
    assert bad.status_code == 400 and "wording" in words(bad.text)
    assert begun.get("/talk/nothing").status_code == 404
    assert begun.get("/talk/alder-others/arrange").status_code == 404
    assert said(begun.folder) == before


def test_it_is_shown_on_the_screen_and_as_one_file(begun: Desk) -> None:
    screen = begun.get("/talk/alder-others/screen")
    assert screen.text.count('<section class="slide') == 4, "a title, two things, a last one"
    assert words(screen.text).index("Alder, from 1908.") < words(screen.text).index("Birch.")
    assert "[Catalogue No. 4, 1908" in words(screen.text), "the evidence stands under it"
    assert "/image/p3.png" in screen.text and "lazy" not in screen.text, "no picture comes late"
    assert screen.text.count("slide bare") == 1, "what has no picture stands in the middle"
    printed = begun.get("/talk/alder-others/printed")
    assert "data:image/png;base64," in printed.text
    assert not re.findall(r'(?:src|href)="(?!#|data:)', printed.text), "it needs nothing beside it"
    assert "Still to be given" in words(printed.text) and "Catalogue No. 4" in words(printed.text)


def correct(opened: Desk) -> None:
    name = claim(opened.folder, 2)
    form = opened.form(f"/claim/{name}/correct")
    form |= {"cell-begin": "1909", "reason": "the list is later", "source": "cat1911", "do": "save"}
    seen = opened.post(f"/claim/{name}/correct", {**form, "do": "look"})
    assert "withdrawn" in words(seen.text) and "Alder, from 1908." in words(seen.text), (
        "told before"
    )
    assert opened.post(f"/claim/{name}/correct", form).status_code == 303


def errata(folder: Path) -> str:
    return CliRunner().invoke(glost, ["errata", "-c", str(folder)]).output


def test_before_it_is_given_a_correction_asks_for_other_words(begun: Desk) -> None:
    correct(begun)
    assert "Withdrawn since:" in words(begun.get("/talk/alder-others").text)
    assert "To be said in a talk, but withdrawn" in words(begun.get("/conflicts").text)
    assert "0 to be put right" in errata(begun.folder), "nothing was said yet"


def test_once_it_was_given_a_correction_is_an_erratum(begun: Desk) -> None:
    assert begun.post("/talk/alder-others/given", {"date": ""}).status_code == 400
    assert begun.post("/talk/alder-others/given", {"date": "2020-03-01"}).status_code == 303
    assert "It has been given" in words(begun.get("/talk/alder-others").text)
    refused = begun.post("/talk/alder-others/arrange", {"do": "out-1"})
    assert refused.status_code == 400 and "has been given" in words(refused.text)
    correct(begun)
    page = words(begun.get("/talk/alder-others").text)
    assert (
        "Withdrawn since it was said:" in page
        and "1908" in page
        and "now: Alder began in 1909" in page
    )
    assert "Said in public and since withdrawn" in words(begun.get("/conflicts").text)
    assert "Alder, from 1908." in errata(begun.folder)
    assert "1 March 2020" in words(begun.get("/talk/alder-others/printed").text)


def test_the_talks_of_the_example_are_told_with_what_became_of_them(large: Desk) -> None:
    listed = words(large.get("/talks").text)
    assert "3 things shown" in listed and "4 things shown, still to be given" in listed
    given = words(large.get("/talk/talk-2022").text)
    assert given.count("Withdrawn since it was said:") == 2
    coming = words(large.get("/talk/talk-war-lines").text)
    assert coming.count("Withdrawn since:") == 1 and "1908 or earlier" in coming
    begin = words(large.get("/talk/talk-war-lines/screen").text)
    assert "Tamsin began 1907" in begin and "rim plain round" not in begin, "only the cells used"
