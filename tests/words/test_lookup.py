"""What a user calls a thing: every way of writing it, several that fit, and what comes nearest."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glost.answer.showing import find_thing
from glost.record.changes import Change, changed
from glost.record.errors import RecordErrors
from glost.record.record import Record, read
from glost.record.spelling import fold, joined, runs
from glost.words.lookup import Names, names_after, names_of
from shelf import write

BASE = "https://example.org/shelf/"
SHAPES = (
    "shape,pottery,name,other_names,source\nalder,harrow,Alder,Elder Shape|No. 5,letter\n"
    "marl,harrow,Marl Édition,,letter\n"
)
TREATMENTS = (
    "treatment,pottery,number,name,shape,source\nt-blue,harrow,A-112,Blue Rim,alder,letter\n"
    "t-gold,harrow,B-012,Gold Line,alder,letter\nt-red,harrow,C-112,Red Line,alder,letter\n"
    "t-wide,harrow,D-1121,Wide Band,alder,letter\n"
)
PIECES = "piece,shape,form\nwv-056,alder,plate\nwv-57,alder,saucer\n"


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Record:
    tables = {"shapes": SHAPES, "treatments": TREATMENTS, "pieces": PIECES, "flatware": ""}
    folder = write(tmp_path_factory.mktemp("lookup") / "shelf", assortments="", **tables)
    return read(folder)


@pytest.mark.parametrize(
    ("text", "thing"),
    [
        ("alder", "shape/alder"),
        ("shape/alder", "shape/alder"),
        (f"{BASE}shape/alder", "shape/alder"),
        ("ALDER", "shape/alder"),
        ("elder shape", "shape/alder"),
        ("Elder-Shape", "shape/alder"),
        ("marl edition", "shape/marl"),
        ("Harrow pottery", "pottery/harrow"),
        ("A-112", "treatment/t-blue"),
        ("a112", "treatment/t-blue"),
        ("A 112", "treatment/t-blue"),
        ("A-112 (Blue Rim)", "treatment/t-blue"),
        ("b12", "treatment/t-gold"),
        ("12", "treatment/t-gold"),
        ("012", "treatment/t-gold"),
        ("1121", "treatment/t-wide"),
        ("blue", "treatment/t-blue"),
        ("goldline", "treatment/t-gold"),
        ("wv56", "piece/wv-056"),
        ("WV 56", "piece/wv-056"),
        ("56", "piece/wv-056"),
        ("piece/wv56", "piece/wv-056"),
        ("no 5", "shape/alder"),
    ],
)
def test_every_way_of_writing_it_finds_it(record: Record, text: str, thing: str) -> None:
    assert str(find_thing(record, text)) == BASE + thing


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "112",
            '"112" may be A-112 (Blue Rim) (treatment/t-blue) or C-112 (Red Line)'
            " (treatment/t-red); write which",
        ),
        ("line", '"line" may be B-012 (Gold Line) (treatment/t-gold) or C-112 (Red Line)'),
        ("aldre", 'nothing here is called "aldre"; nearest: Alder (shape/alder)'),
        ("Elder Shap", "nearest: Alder (shape/alder)"),
        ("A-113", "nearest: A-112 (Blue Rim) (treatment/t-blue)"),
        ("harow pottery", "nearest: Harrow Pottery (pottery/harrow)"),
        ("zzzz", "glost overview shows what there is"),
        ("11", 'nothing here is called "11"'),
    ],
)
def test_nothing_is_guessed(record: Record, text: str, message: str) -> None:
    with pytest.raises(RecordErrors) as bad:
        find_thing(record, text)
    assert message in str(bad.value)


def test_a_kind_settles_what_is_meant(record: Record) -> None:
    assert str(find_thing(record, "56", "piece")) == f"{BASE}piece/wv-056"
    with pytest.raises(RecordErrors, match=r'"alder" is Alder \(shape/alder\); name a piece'):
        find_thing(record, "alder", "piece")
    with pytest.raises(RecordErrors, match=r'no piece is called "wv-65"; nearest: .*wv-056'):
        find_thing(record, "wv-65", "piece")


@pytest.mark.parametrize(
    ("text", "folded", "parts", "together"),
    [
        ("Wv-056", "wv 056", ("wv", "56"), "wv56"),
        ("A112", "a112", ("a", "112"), "a112"),
        ("1-12", "1 12", ("1", "12"), "1.12"),
        ("11-2", "11 2", ("11", "2"), "11.2"),
        ("Orrin & Tasker", "orrin and tasker", ("orrin", "and", "tasker"), "orrinandtasker"),
        ("No. 000", "no 000", ("no", "0"), "no0"),
        ("Orvaux, Faïencerie d'", "orvaux faiencerie d", ("orvaux", "faiencerie", "d"),
         "orvauxfaienceried"),
        ("—", "", (), ""),
    ],
)  # fmt: skip
def test_spellings(text: str, folded: str, parts: tuple[str, ...], together: str) -> None:
    assert (fold(text), runs(text), joined(text)) == (folded, parts, together)


@given(st.lists(st.text("aB1 0-é", min_size=1, max_size=5), min_size=1, max_size=6), st.data())
def test_each_of_its_names_finds_a_thing_or_asks_back(
    texts: list[str], data: st.DataObject
) -> None:
    """Whatever things are called, a name finds its thing, alone or among those it also fits."""
    called = {f"{BASE}shape/s{at}": (text,) for at, text in enumerate(texts)}
    names = Names(called)
    at = data.draw(st.integers(0, len(texts) - 1))
    found = names.find(texts[at])
    if joined(texts[at]):
        assert found
        same = [i for i, (name,) in called.items() if fold(name) == fold(texts[at])]
        assert f"{BASE}shape/s{at}" in same
        assert set(found) == set(same) or found == (f"{BASE}shape/{texts[at]}",)
    else:
        assert found == ()


def test_what_has_a_number_and_no_name_is_told_by_its_label(tmp_path: Path) -> None:
    """A kiln's number alone would say little; its label is found whole, and by no part of it."""
    kilns = "kiln,plant,kind,firing,number,source\nk7,works,bottle,glost,7,letter\n"
    plants = "plant,pottery,name,source\nworks,harrow,Low Works,letter\n"
    record = read(write(tmp_path / "shelf", kilns=kilns, plants=plants))
    names = names_of(record)
    assert names.told(f"{BASE}kiln/k7") == "Glost bottle kiln 7, Low Works (kiln/k7)"
    assert names.find("glost bottle kiln 7 low works") == (f"{BASE}kiln/k7",)
    assert names.find("low works") == (f"{BASE}plant/works",)
    assert names.find("bottle") == ()


def test_things_are_found_by_the_beginning_of_a_name_or_id() -> None:
    names = Names({f"{BASE}shape/alder": ["Alder", "Elder"], f"{BASE}shape/aller": ["Äller Ware"],
                   f"{BASE}treatment/a-112": ["A-112"]})  # fmt: skip
    found = list(names.beginning("AL"))
    assert found == [f"{BASE}shape/alder", f"{BASE}shape/aller"]
    assert list(names.beginning("eld")) == [f"{BASE}shape/alder"]
    assert list(names.beginning("treatment/a")) == [f"{BASE}treatment/a-112"]
    assert list(names.beginning("der")) == [] and len(list(names.beginning(""))) == 3


WAYS = ("_by_id", "_by_name", "_by_label", "_by_joined", "_near", "_by_run")


@pytest.mark.parametrize("where", ["examples/one-shelf", "tests/answer/little"])
def test_kept_as_plain_values_they_are_the_same_with_all_ways_in(where: str) -> None:
    names = names_of(read(Path(__file__).parents[2] / where))
    back = Names.of_plain(json.loads(json.dumps(names.plain())))
    assert set(vars(back)) >= set(WAYS)
    for way in ("_called", "composed", "_in_part", *WAYS):
        assert getattr(back, way) == getattr(names, way), way


@pytest.mark.parametrize("where", ["examples/one-shelf", "tests/answer/little"])
def test_after_a_change_things_are_called_as_if_gathered_anew(where: str) -> None:
    """Each claim taken out and put back: names, labels and all ways in are those of a new start."""
    record = read(Path(__file__).parents[2] / where)
    names = names_of(record)
    for text in ("alder", "no such thing", "8"):
        names.find(text)  # so that every index is there to be patched
    names.nearest("aldr")
    for claim in list(record.claims)[:40]:
        without = changed(record, Change(removed=(claim.iri,)))
        for now in (without, changed(without, Change(added=(claim,)))):
            names = names_after(names, now, [claim])
            fresh = names_of(replace(now))
            assert names.called == fresh.called and names.composed == fresh.composed
            for way in WAYS:
                assert getattr(names, way) == getattr(fresh, way), (way, str(claim.origin))
