"""The index that a site is searched by, read back as the page that searches reads it."""

import json
import re
from collections.abc import Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glost.publish.site.search import BLOCK, PART, Entry, index_files, words_of
from glost.report.kinds import Kind

PIECE, SHAPE = Kind("piece", "Pieces", "Piece", "", 1), Kind("shape", "Shapes", "Shape", "", 0)


def read(files: Iterable[tuple[str, bytes]]) -> dict[str, dict[str, object]]:
    """Return what each kind of script hands over, by key."""
    found: dict[str, dict[str, object]] = {}
    for _, content in files:
        call = re.fullmatch(r"glostSearch\.(\w+)\((.*)\);\n", content.decode())
        assert call is not None
        key, told = json.loads(f"[{call[2]}]")
        found.setdefault(call[1], {})[str(key)] = told
    return found


def numbers(gaps: str) -> list[int]:
    at, found = 0, []
    for gap in gaps.split():
        at += int(gap, 36)
        found.append(at)
    return found


def postings(index: dict[str, dict[str, object]]) -> dict[str, tuple[list[int], list[int]]]:
    rows = [row for part in index["part"].values() for row in part]  # type: ignore[attr-defined]
    return {word: tuple(map(numbers, text.split("|"))) for word, text in rows}  # type: ignore[misc]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("A-112", ["a", "112", "a112"]),
        ("WV-056", ["wv", "056", "wv056", "wv56"]),
        ("Café Straße", ["cafe", "strasse"]),
        ("hand-painted", ["hand", "painted"]),
        ("2001.6", ["2001", "6", "20016"]),
        ("0-7", ["0", "7", "07"]),
    ],
)
def test_words_of_a_text(text: str, words: list[str]) -> None:
    assert words_of(text) == words


def test_names_and_what_is_said_lead_to_entries() -> None:
    entries = [
        Entry(SHAPE, "shape/alder.html", "Alder", ("The first plain shape", "alder"), (1896, 1908)),
        Entry(SHAPE, "shape/birch.html", "Birch", ("birch",)),
        Entry(PIECE, "piece/a-7.html", "Jug, Alder, A-7", ("plain", "a-7"), (1903, 1903)),
    ]
    index = read(index_files(entries, {"gravy boat": "sauceboat"}))
    about = index["about"][""]
    assert about["kinds"] == [["shape", "Shape", "Shapes", 2], ["piece", "Piece", "Pieces", 1]]  # type: ignore[index]
    assert about["also"] == {"gravy boat": "sauceboat"}  # type: ignore[index]
    found = postings(index)
    assert found["alder"] == ([0, 2], [])
    assert found["plain"] == ([], [0, 2])
    assert found["a7"] == ([2], [])
    assert index["block"]["0"][0] == ["alder", "Alder", "The first plain shape"]  # type: ignore[index]
    assert index["years"] == {"1896": "000c....0707"}


@given(
    st.lists(
        st.tuples(
            st.text("abc7é-", max_size=9),
            st.lists(st.text("abx ", max_size=12), max_size=2),
            st.none() | st.tuples(st.integers(1700, 2000), st.integers(0, 90)),
        ),
        min_size=1,
        max_size=60,
    )
)
def test_the_index_holds_every_word_of_every_entry_and_no_other(
    told: list[tuple[str, list[str], tuple[int, int] | None]],
) -> None:
    entries = [
        Entry(SHAPE, f"shape/{at}.html", name, tuple(said), y and (y[0], y[0] + y[1]))
        for at, (name, said, y) in enumerate(told)
    ]
    index = read(index_files(entries, {}))
    expected: dict[str, tuple[set[int], set[int]]] = {}
    for at, entry in enumerate(entries):
        named = set(words_of(entry.name))
        for word in named:
            expected.setdefault(word, (set(), set()))[0].add(at)
        for word in {w for text in entry.said for w in words_of(text)} - named:
            expected.setdefault(word, (set(), set()))[1].add(at)
    if expected:
        assert postings(index) == {w: (sorted(a), sorted(b)) for w, (a, b) in expected.items()}
    (first, years), *_ = index["years"].items()
    for at, entry in enumerate(entries):
        four = years[4 * at : 4 * at + 4]  # type: ignore[index]
        spelt = [int(first) + int(four[i : i + 2], 36) for i in (0, 2)] if four != "...." else None
        assert spelt == (list(entry.years) if entry.years else None)


def test_a_large_index_is_read_in_small_scripts() -> None:
    entries = [
        Entry(PIECE, f"piece/a-{at}.html", f"Jug {at}, Alder, A-{at}", (f"a-{at}",), (1900, 1901))
        for at in range(3000)
    ]
    files = list(index_files(entries, {}))
    index = read(files)
    assert max(len(content) for file, content in files if "/w-" in file) < 1.4 * PART
    assert len(index["block"]) == -(-3000 // BLOCK)
    assert postings(index)["a77"] == ([77], [])
    assert len(postings(index)["alder"][0]) == 3000
    keys = index["about"][""]["parts"]  # type: ignore[index]
    assert sorted(keys) == sorted(index["part"])


def test_two_thousand_things_are_searched_in_three_hundred_kilobytes() -> None:
    forms = ("covered dish", "jug", "plate", "sauceboat", "teapot")
    makers = ("Orrin", "Quillan", "Haskett")
    entries = [
        Entry(
            PIECE,
            f"piece/wv-{at}.html",
            f"{forms[at % 5].capitalize()}, {makers[at % 3]}, A-{at}, about {1890 + at % 50}",
            (f"seen at a sale in {at % 97}", f"wv-{at}"),
            (1890 + at % 50, 1893 + at % 50),
        )
        for at in range(2000)
    ]
    assert sum(len(content) for _, content in index_files(entries, {})) < 300_000
