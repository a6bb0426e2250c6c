"""Pieces dated by a little collection whose every limit can be found by hand."""

from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rdflib import URIRef

import shelf
from glost.answer.dating import date_piece, limiter_of
from glost.answer.snapshot import Snapshot
from glost.record.dates import to_iso
from glost.record.errors import RecordErrors
from glost.trade.dating import Between, Dated, Limiter, customs, date_seen, misreadings, narrowings
from glost.trade.dating.batch import GIVEN, cells, columns, date_table
from glost.trade.dating.dated import _table
from glost.trade.dating.law import MISSING
from glost.trade.naming.reading import Reader

TABLES = {
    "sources": "source,title,kind,date,pages\nbook,A book,book,1950,100\n",
    "potteries": "pottery,name,begin,end,source\nloam,Loam,1890,1950,book\nsilt,Silt,1899,,book\n",
    "shapes": "shape,pottery,name,begin,end,source,locator\n"
    "ash,loam,Ash,1901,1920,book,p. 1\nbeech,loam,Beech,1943,,book,p. 2\ncane,,Cane,,,book,\n",
    "treatments": "treatment,pottery,number,shape,begin,end,source\n"
    "a1,,A-1,ash,1924,,book\na2,,A-2,ash,1905,1912,book\nb3,,B-3,beech,1910,1911,book\n",
    "glazes": "glaze,name,begin,end,source\nmoss,Moss,1915,1918,book\n",
    "plants": "plant,pottery,number,begin,end,source\np4,loam,4,1922,1925,book\np5,loam,5,,,book\n",
    "marks": "mark,pottery,wording,applied,scheme,begin,end,source\n"
    "under,loam,LOAM,underglaze,,1903,1931,book\nover,,Sold by X,overglaze,,1925,1930,book\n"
    "label,,Best,paper-label,,1900,1935,book\ncoded,loam,LOAM (code),impressed,codes,,,book\n"
    "brush,,M. L.,painted,,1926,1928,book\nbare,loam,L,,,1906,1907,book\n",
    "code_schemes": "scheme,pottery,codes,pattern,source\ncodes,loam,date,{year}{works},book\n",
    "code_parts": "scheme,part,value,means,thing,year,source\n"
    "codes,year,K,year,,1912,book\ncodes,year,L,year,,1923,book\ncodes,year,M,year,,1930,book\n"
    "codes,works,4,plant,plant/p4,,book\ncodes,works,5,plant,plant/p5,,book\n",
    "pieces": "piece,shape,form,treatment,mark,date_code\n"
    "q1,ash,plate,a2,coded,K5\nq2,ash,plate,a2,under,\n",
}


@cache
def snapshot(folder: Path, pieces: str = "") -> Snapshot:
    empty = dict.fromkeys(shelf.TABLES, "")
    tables = {**TABLES, "pieces": TABLES["pieces"] + pieces}
    return Snapshot(shelf.write(folder / f"shelf{len(pieces)}", **{**empty, **tables}))


@cache
def limiter(folder: Path) -> Limiter:
    return limiter_of(snapshot(folder))


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("dating")


def dated(place: Path, **what: str) -> Dated:
    seen, errors = Reader(snapshot(place).record).read(what, "here")
    assert errors == []
    return date_seen(limiter(place), seen)


def days(span: Between) -> tuple[str, str]:
    first, last = (".." if day is None else to_iso(day) for day in span.days)
    return first, last


def test_a_start_in_1943_and_an_end_in_1931_contradict_each_other(place: Path) -> None:
    """Terminus post and ante quem on one piece; *common practice*, years of the check."""
    found = dated(place, shape="beech", mark="under")
    assert days(found.made) == ("1943-01-01", "1931-12-31")
    assert found.made.empty and found.contradictory
    (clash,) = [c for c in found.clashes if c.not_before.observation == "shape"]
    assert clash.days == 4019  # 1943-01-01 less 1931-12-31
    assert "The piece is of another shape: see it beside a sure one." in clash.hypotheses
    assert clash.hypotheses[-1] == "One of the sources is wrong about its dates."


def test_not_before_is_the_latest_start_and_not_after_the_earliest_end(place: Path) -> None:
    found = dated(place, shape="ash", mark="under", pottery="loam")
    assert days(found.made) == ("1903-01-01", "1920-12-31")
    assert found.made.not_before is not None and found.made.not_before.observation == "mark"
    assert found.made.not_after is not None and found.made.not_after.observation == "shape"
    assert len(found.limits) == 6


def test_every_limit_names_the_claims_and_the_rule_it_rests_on(place: Path) -> None:
    found = dated(place, shape="ash", mark="coded", number="A-2", date_code="K5", glaze="moss")
    assert {x.observation for x in found.limits} == {
        "shape", "treatment", "glaze", "date code", "plant",
    }  # fmt: skip
    for limit in found.limits:
        assert limit.claims and limit.why.endswith(".")
    (end,) = [x for x in found.limits if x.observation == "shape" and x.late]
    assert [c.passage.locator for c in end.claims] == ["p. 1"]
    assert str(end) == "made no later than 1920: the end of Ash"


def test_decoration_bounds_the_making_on_one_side_only(place: Path) -> None:
    found = dated(place, number="B-3")
    assert days(found.made) == ("..", "1911-12-31")
    assert days(found.decorated) == ("1910-01-01", "1911-12-31")


def test_marks_speak_of_making_decorating_or_sale_by_how_they_were_put_on(place: Path) -> None:
    assert days(dated(place, mark="under").made) == ("1903-01-01", "1931-12-31")
    assert days(dated(place, mark="under").decorated) == ("1903-01-01", "..")
    for mark, first, last in (("over", "1925", "1930"), ("brush", "1926", "1928")):
        found = dated(place, mark=mark)
        assert days(found.made) == ("..", f"{last}-12-31")
        assert days(found.decorated) == (f"{first}-01-01", f"{last}-12-31")
    assert days(dated(place, mark="label").decorated) == ("..", "1935-12-31")
    assert dated(place, mark="bare").limits == ()  # how it was put on is not said


def test_a_coloured_glaze_lies_between_making_and_decorating(place: Path) -> None:
    found = dated(place, glaze="moss")
    assert (days(found.made), days(found.decorated)) == (
        ("..", "1918-12-31"), ("1915-01-01", ".."),
    )  # fmt: skip


def test_a_blank_decorated_later_is_a_gap_and_no_contradiction(place: Path) -> None:
    found = dated(place, shape="ash", form="plate", number="A-1")
    assert not found.contradictory
    assert days(found.decorated) == ("1924-01-01", "..")
    (gap,) = found.clashes
    assert gap.kind == "gap"
    assert gap.hypotheses[0].startswith("A blank was decorated later")
    assert any(text.startswith("Shared flatware") for text in gap.hypotheses)
    (gap,) = dated(place, shape="ash", form="teapot", number="A-1").clashes
    assert not any(text.startswith("Shared flatware") for text in gap.hypotheses)


def test_lid_and_body_may_be_a_marriage_only_in_hollow_ware(place: Path) -> None:
    for form, thought_of in (("teapot", True), ("plate", False), ("", False)):
        (clash,) = dated(place, shape="beech", form=form, number="B-3").clashes
        assert any("marriage" in text for text in clash.hypotheses) == thought_of


def test_a_worn_number_bounds_by_whichever_it_may_be(place: Path) -> None:
    """A-1 runs from 1924 with no end, A-2 from 1905 to 1912: together from 1905, with no end."""
    found = dated(place, number="A-?")
    assert days(found.decorated) == ("1905-01-01", "..")
    assert "whichever of 2" in str(found.limits[0])


def test_date_codes_are_read_by_the_scheme_of_the_mark(place: Path) -> None:
    found = dated(place, mark="coded", date_code="K5")
    assert days(found.made) == ("1912-01-01", "1912-12-31")
    assert days(dated(place, mark="coded", date_code="?5").made) == ("1912-01-01", "1930-12-31")
    assert days(dated(place, date_code="L5").made) == ("1923-01-01", "1923-12-31")


def test_a_plant_in_a_code_bounds_too_and_may_contradict_it(place: Path) -> None:
    found = dated(place, mark="coded", date_code="K4")
    (clash,) = found.clashes
    assert (clash.not_before.observation, clash.not_after.observation) == ("plant", "date code")
    assert clash.hypotheses[0].startswith("The plant's number is misread")


def test_what_cannot_be_read_is_remarked_and_bounds_nothing(place: Path) -> None:
    found = dated(place, mark="what...", number="Z-9", date_code="Q")
    assert found.limits == ()
    assert len([r for r in found.remarks if "Z-9" in r or "what..." in r or "“Q”" in r]) == 3


WHAT = {
    "shape": "ash", "pottery": "loam", "number": "A-?", "glaze": "moss", "plant": "p4",
    "mark": "coded", "date_code": "?5", "form": "plate", "country": "England",
}  # fmt: skip


@settings(max_examples=80)
@given(st.sets(st.sampled_from(sorted(WHAT))), st.sets(st.sampled_from(sorted(WHAT))))
def test_observations_never_widen_limits(place: Path, some: set[str], more: set[str]) -> None:
    fewer = dated(place, **{name: WHAT[name] for name in some})
    every = dated(place, **{name: WHAT[name] for name in some | more})
    for one, other in ((fewer.made, every.made), (fewer.decorated, every.decorated)):
        for late in (False, True):
            before, after = one.days[late], other.days[late]
            if before is not None:
                assert after is not None and (after <= before if late else after >= before)


def test_the_most_telling_thing_to_look_for_is_found_by_hand(place: Path) -> None:
    """Ash is on two pieces: both bear A-2, of 1905 to 1912, and one the code of 1912.

    Making lies in 1901 to 1920 (7305 days), decorating from 1901 to the horizon, 1950 (18262).
    A-2 leaves 1901 to 1912 (4383) and 1905 to 1912 (2922); the code 366 and 18262 less eleven
    years with two leap days.
    """
    first, second, *_ = narrowings(limiter(place), dated(place, shape="ash"))
    assert (first.observation, first.showing, first.of) == ("treatment", 2, 2)
    assert first.years == pytest.approx(((7305 - 4383) + (18262 - 2922)) / 2 / 365.2425)
    assert (second.observation, second.showing, second.of) == ("date_code", 1, 2)
    gain = (7305 - 366) + (11 * 365 + 2)
    assert second.years == pytest.approx(gain / 2 / 2 / 365.2425)


def test_nothing_is_looked_for_to_narrow_a_contradiction(place: Path) -> None:
    assert narrowings(limiter(place), dated(place, shape="beech", mark="under")) == ()


def test_one_sign_read_otherwise_that_would_settle_it_is_named(place: Path) -> None:
    """B-3 of 1910 and 1911 on Beech of 1943; codes K5, L5, M5 of 1912, 1923, 1930 on Ash to 1920."""
    found = dated(place, shape="ash", mark="coded", date_code="M5")
    (other,) = misreadings(limiter(place), found)
    assert (other.observation, other.read, other.instead) == ("date code", "M5", "K5")
    assert days(other.dated.made) == ("1912-01-01", "1912-12-31")
    found = dated(place, mark="coded", date_code="L5", number="A-2")
    (other,) = [m for m in misreadings(limiter(place), found) if m.observation == "number"]
    assert other.instead == "A-1"
    assert misreadings(limiter(place), dated(place, shape="ash")) == ()


def test_a_piece_on_record_is_no_evidence_for_itself(place: Path) -> None:
    """q3 is of Ash, which ended in 1920, and bears a code of 1930."""
    on_snapshot = snapshot(place, "q3,ash,teapot,,coded,M5\n")
    found = date_piece(on_snapshot, URIRef("https://example.org/shelf/piece/q3")).dated
    assert found.contradictory
    assert {c.not_after.observation for c in found.clashes} == {"shape"}
    assert {str(c.not_before.value) for c in found.clashes} == {"M5"}


def test_the_country_law_of_1891_is_told_and_bounds_nothing(place: Path) -> None:
    """26 Stat. 567, ch. 1244, s. 6 (1 October 1890): in force 1 March 1891; verified."""
    found = dated(place, country="England")
    (law,) = found.customs
    assert law.not_before is not None and to_iso(law.not_before) == "1891-03-01"
    assert law.standing == "verified" and "26 Stat. 567" in law.source
    assert found.limits == () and MISSING not in found.remarks


def test_made_in_is_soft_evidence_and_a_missing_country_proves_little(place: Path) -> None:
    made_in, _ = dated(place, country="Made in England").customs
    assert made_in.standing == "memory" and not made_in.bounds and "soft evidence" in made_in.text
    assert MISSING in dated(place, mark="under").remarks


def test_a_postal_code_bounds_and_a_postal_zone_does_not(place: Path) -> None:
    """ZIP codes 1 July 1963, postal zones May 1943; verified in encyclopedias."""
    found = dated(place, mark="Loam Pottery, Harrow, ZZ 12345")
    assert days(found.decorated) == ("1963-07-01", "..")
    found = dated(place, mark="Loam Pottery, Harrow 8, Zeeland")
    (zone,) = found.customs
    assert zone.not_before is not None and to_iso(zone.not_before) == "1943-05-01"
    assert found.limits == ()
    registered = dated(place, mark="Reg. No. 38551").customs
    assert "dates the design" in registered[0].text


def test_every_custom_and_hypothesis_is_a_sentence_with_its_standing() -> None:
    assert len(customs()) == 6 and len(_table()) > 20
    for custom in customs():
        assert custom.text.endswith(".") and custom.standing in (
            "verified", "memory", "common practice",
        )  # fmt: skip
    known = {"shape", "mark", "treatment", "date code", "glaze", "plant", "pottery", "stated date"}
    for row in _table():
        assert {row["one"], row["other"]} <= known | {"*"}
        assert row["text"].endswith(".") and row["kind"] in ("clash", "gap")


def test_a_table_gives_one_row_for_each_and_the_same_dates(place: Path) -> None:
    text = "id,shape,mark,trade_size,number_read,note\nx,ash,under,8,A-2,mine\ny,,,,B-3,\n"
    rows = date_table(snapshot(place).record, limiter(place), text, "tray.csv")
    assert columns(rows) == ["id", "shape", "mark", "trade_size", "number_read", "note", *GIVEN]
    assert cells(rows[0])[:6] == ["x", "ash", "under", "8", "A-2", "mine"]
    alone = dated(place, shape="ash", mark="under", number="A-2")
    assert cells(rows[0])[6:10] == [*days(alone.made), *days(alone.decorated)]
    assert cells(rows[1])[6:] == [
        "", "1911-12-31", "1910-01-01", "1911-12-31", "treatment", "", "",
    ]  # fmt: skip


def test_everything_wrong_with_a_table_is_told_at_once(place: Path) -> None:
    text = "id,shape,form\na,ahs,plate\nb,ash,plat\nc,ash\n"
    with pytest.raises(RecordErrors) as bad:
        date_table(snapshot(place).record, limiter(place), text, "tray.csv")
    assert [(e.row, e.column) for e in bad.value.errors] == [(2, "shape"), (3, "form"), (4, "")]
    with pytest.raises(RecordErrors, match='there is no column "shpae"; did you mean "shape"'):
        date_table(snapshot(place).record, limiter(place), "shpae\nash\n", "tray.csv")
    with pytest.raises(RecordErrors, match="the table is empty"):
        date_table(snapshot(place).record, limiter(place), "", "tray.csv")


MORE = {
    "plants": TABLES["plants"].replace("p5,loam,5,,,", "p5,loam,5,1930,1933,"),
    "marks": TABLES["marks"] + "both,loam,LL,underglaze,,1906,1907,book\n"
    "both,loam,LL,overglaze,,1906,1907,book\n",
    "code_schemes": TABLES["code_schemes"] + "nobodys,,date,N{letter},book\n",
    "code_parts": TABLES["code_parts"] + "nobodys,letter,Q,year,,1909,book\n",
}


@pytest.fixture(scope="module")
def more(tmp_path_factory: pytest.TempPathFactory) -> tuple[Snapshot, Limiter]:
    """The same with a mark of which it is said that it is under and over the glaze."""
    empty = dict.fromkeys(shelf.TABLES, "")
    top = shelf.write(tmp_path_factory.mktemp("more") / "shelf", **{**empty, **TABLES, **MORE})
    opened = Snapshot(top)
    return opened, limiter_of(opened)


def dated_by(more: tuple[Snapshot, Limiter], **what: str) -> Dated:
    seen, errors = Reader(more[0].record).read(what, "here")
    assert errors == []
    return date_seen(more[1], seen)


def test_a_mark_said_to_be_under_and_over_the_glaze_bounds_neither_side(
    more: tuple[Snapshot, Limiter],
) -> None:
    assert days(dated_by(more, mark="under").made) == ("1903-01-01", "1931-12-31")
    found = dated_by(more, mark="both")
    assert [limit for limit in found.limits if limit.observation == "mark"] == []


def test_a_code_that_may_tell_two_plants_is_dated_by_neither(
    more: tuple[Snapshot, Limiter],
) -> None:
    one = dated_by(more, mark="coded", date_code="K4")
    assert {limit.value for limit in one.limits if limit.observation == "plant"} != set()
    worn = dated_by(more, mark="coded", date_code="K?")
    assert [limit for limit in worn.limits if limit.observation == "plant"] == []


def test_a_scheme_of_no_pottery_reads_the_code_of_any(more: tuple[Snapshot, Limiter]) -> None:
    found = dated_by(more, pottery="silt", date_code="NQ")
    code = [limit for limit in found.limits if limit.observation == "date code"]
    assert {to_iso(limit.day)[:4] for limit in code} == {"1909"}
