"""Pairs that may be one: the least certain first, each decided by one key, as a claim of somebody."""

import csv
import re
import shutil
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from desks import Desk, desk, fields_of, words

WEND = Path(__file__).resolve().parents[2] / "examples" / "wend-valley"
LISTS = "/review?list=source/ot-cat-1906&with=source/ot-cat-1909"


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    folder = tmp_path_factory.mktemp("reviewed") / "wend-valley"
    shutil.copytree(WEND, folder)
    with desk(folder) as made:
        yield made


def links(folder: Path) -> list[dict[str, str]]:
    with (folder / "tables/links.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def left(page: str) -> tuple[int, int]:
    """Return how many pairs are left, and how likely it is that the one shown is one."""
    found = re.search(r"([\d,]+) pairs? left.*?Of this one: (\d+) in 100", words(page))
    assert found, words(page)
    return int(found[1].replace(",", "")), int(found[2])


def test_pairs_come_least_certain_first_and_each_is_decided_or_put_off(opened: Desk) -> None:
    before, seen = links(opened.folder), []
    many = left(opened.get(LISTS).text)[0]
    kinds = {"later": "undecided", "yes": "same", "no": "not-the-same"}
    for done, (do, kind) in enumerate(kinds.items()):
        page = opened.get(LISTS).text
        number, sure = left(page)
        assert number == many - max(0, done - 1), "what was decided comes no more"
        seen.append(abs(sure - 50))
        form = fields_of(page)
        form |= {"do": do, "recorded_by": "J. Fell"}
        assert opened.post(LISTS, form).status_code == 303
        row = links(opened.folder)[-1]
        ends = {form["one"].partition("/wend/")[2], form["other"].partition("/wend/")[2]}
        assert {row["one"], row["other"]} == ends and row["kind"] == kind
        assert row["source"].startswith("comparison-j-fell-")
        assert row["evidence"] == form["evidence"]
    assert seen == sorted(seen), "the least certain comes first"
    assert len(links(opened.folder)) == len(before) + 3
    assert "1 of them put off" in words(opened.get(LISTS).text)
    opened.post("/undo/2")
    assert len(links(opened.folder)) == len(before) + 2
    assert left(opened.get(LISTS).text)[0] == many - 1, "what was undone is to be decided again"


def test_both_are_shown_with_what_speaks_for_it_and_the_page(opened: Desk) -> None:
    page = opened.get("/review?list=source/ot-pl-1909&with=source/ot-pl-1917").text
    form = fields_of(page)
    assert unescape(page).count("/thing/offering/") >= 2 and form["evidence"]
    assert 'data-key="y"' in page and 'data-key="n"' in page and 'data-key="l"' in page
    assert "Compared" in words(page) and re.search(r"[+-]\d+\.\d", words(page))
    assert page.count('svg class="part"') == 2, "the parts of both pages stand side by side"


def test_what_cannot_be_reviewed_or_rests_on_nobody_is_refused(opened: Desk) -> None:
    assert opened.get("/review?kind=nothing").status_code == 404
    assert opened.get("/review?list=source/ot-cat-1906&with=source/nothing").status_code == 404
    before = links(opened.folder)
    form = fields_of(opened.get(LISTS).text)
    assert opened.post(LISTS, {**form, "do": "marry"}).status_code == 400
    bad = opened.post(LISTS, {**form, "do": "yes", "recorded_by": "", "source": "nobody knows"})
    assert bad.status_code == 400 and "nobody knows" in words(bad.text)
    assert (
        opened.post(LISTS, {**form, "do": "yes", "recorded_by": "", "source": ""}).status_code
        == 400
    )
    assert links(opened.folder) == before


def test_a_pair_that_was_answered_in_another_tab_is_shown_with_both_answers(opened: Desk) -> None:
    before = links(opened.folder)
    form = fields_of(opened.get(LISTS).text) | {"recorded_by": "J. Fell"}
    assert opened.post(LISTS, {**form, "do": "yes", "evidence": "by the list"}).status_code == 303
    refused = opened.post(LISTS, {**form, "do": "no", "evidence": "by the foot"})
    assert refused.status_code == 409 and len(links(opened.folder)) == len(before) + 1
    assert "by the list" in words(refused.text) and "by the foot" in words(refused.text)
    assert "not-the-same" in words(refused.text)
    again = fields_of(refused.text) | {"do": "no"}
    assert opened.post(LISTS, again).status_code == 303
    assert [row["kind"] for row in links(opened.folder)[-2:]] == ["same", "not-the-same"]
