"""Dates against figures from outside.

Source: Library of Congress, Extended Date/Time Format (EDTF) Specification, 2019, the profile of
ISO 8601-2:2019; its 64 example strings with the bounds that the printed meanings give. Verified.
The PyPI package `edtf` is compared on the same strings; where it differs, the data file names the
clause that decides.
"""

import csv
import time
import warnings
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from pyparsing import ParserElement

from glost.record.dates import DateError, Edtf, from_iso, read, to_iso

HERE = Path(__file__).parent
SEASON = ("SEASON", "SEASON")


def rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        lines = (line for line in file if not line.startswith("#"))
        return list(csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE))


EXAMPLES = rows("edtf_examples.tsv")
REJECTED = [row["edtf"] for row in rows("edtf_rejected.tsv")]
DISAGREEMENTS = {row["edtf"]: row for row in rows("edtf_disagreements.tsv")}


def bounds(date: Edtf) -> tuple[str, str]:
    start = "-inf" if date.open_start else "unknown" if date.unknown_start else None
    end = "inf" if date.open_end else "unknown" if date.unknown_end else None
    if start is None:
        assert date.earliest is not None
        start = to_iso(date.earliest)
    else:
        assert date.earliest is None
    if end is None:
        assert date.latest is not None
        end = to_iso(date.latest)
    else:
        assert date.latest is None
    return start, end


def test_there_are_64_examples() -> None:
    assert len(EXAMPLES) == 64
    assert len(REJECTED) > 50


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["edtf"])
def test_example_has_the_stated_bounds(row: dict[str, str]) -> None:
    date = read(row["edtf"], margin_days=0)
    stated = (row["lower"], row["upper"])
    assert bounds(date) == stated or stated == SEASON
    assert (date.season == 21) == (stated == SEASON)


def test_a_season_spans_every_convention() -> None:
    """No normative bounds: ours hold northern March to May and southern September to December."""
    spring = read("2001-21")
    assert spring.earliest is not None
    assert spring.latest is not None
    assert spring.earliest <= from_iso("2001-03-01")
    assert spring.latest >= from_iso("2001-12-21")


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["edtf"])
def test_example_keeps_its_marks(row: dict[str, str]) -> None:
    text = row["edtf"]
    date = read(text)
    assert date.approximate == ("~" in text or "%" in text)
    assert date.uncertain == ("?" in text or "%" in text)
    assert date.unspecified == ("X" in text)
    assert (date.kind == "one of") == (text[0] == "[")
    assert (date.kind == "all of") == (text[0] == "{")
    assert (date.kind == "interval") == ("/" in text)


@pytest.mark.parametrize("text", REJECTED)
def test_rejected(text: str) -> None:
    with pytest.raises(DateError) as caught:
        read(text)
    assert caught.value.text == text
    assert caught.value.reason in str(caught.value)
    assert caught.value.remedy in str(caught.value)


@pytest.fixture(scope="module")
def peer() -> Iterator[ModuleType]:
    """Import the PyPI package, whose grammar warns when it is built and whose reader prints."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import edtf

        # It has every parser of the process remember what it tried, which slows down all SPARQL.
        ParserElement.disable_memoization()
        yield edtf


def peer_reading(peer: ModuleType, text: str) -> str:
    """Read with the PyPI package, which fails in many ways on what it cannot read."""

    def day(moment: time.struct_time | float) -> str:
        if isinstance(moment, float):
            return "open"
        return f"{moment.tm_year:04d}-{moment.tm_mon:02d}-{moment.tm_mday:02d}"

    try:
        date = peer.parse_edtf(text)
        return f"{day(date.lower_strict())}/{day(date.upper_strict())}"
    except Exception:
        return "error"


def our_reading(text: str) -> str:
    try:
        return (
            "/".join(bounds(read(text, margin_days=0)))
            .replace("-inf", "open")
            .replace("inf", "open")
        )
    except DateError:
        return "error"


ALL = list(dict.fromkeys([row["edtf"] for row in EXAMPLES] + REJECTED + list(DISAGREEMENTS)))


@pytest.mark.parametrize("text", ALL)
@pytest.mark.filterwarnings("ignore")
def test_every_disagreement_with_the_package_is_listed(peer: ModuleType, text: str) -> None:
    theirs, ours = peer_reading(peer, text), our_reading(text)
    listed = DISAGREEMENTS.get(text)
    if listed is None:
        assert theirs == ours
    else:
        assert (theirs, ours) == (listed["theirs"], listed["ours"])
        assert theirs != ours
        assert listed["clause"]
