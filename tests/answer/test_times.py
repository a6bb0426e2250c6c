"""The chronology of the example, its bounds in the dataset, and what is told of it."""

import json
from pathlib import Path

import pytest
from rdflib import Literal, URIRef
from rdflib.namespace import XSD

from glost.answer.dated import settlement, when
from glost.answer.snapshot import Snapshot
from glost.answer.times import bounds as is_bound
from glost.answer.times import reckoned
from glost.names import GLOST
from glost.plain import plain
from glost.record.dates import to_iso
from glost.record.errors import RecordErrors
from shelf import SETTINGS, write

WEND = "https://example.org/wend/"


def days(snapshot: Snapshot, point: str) -> tuple[str, str, bool]:
    early, late, disputed = snapshot.chronology.bounds(URIRef(WEND + point))
    written = ["" if day is None else to_iso(day) for day in (early, late)]
    return written[0], written[1], disputed


@pytest.mark.parametrize(
    ("point", "expected"),
    [
        # books say 1927; piece wv-056 was made in April 1933, and the pottery ended in 1942
        ("shape/halewin#end", ("1933-04-01", "1942-12-31", True)),
        # a registration of 1907 against a book of 1961, trusted 0.8
        ("shape/tamsin#begin", ("1907-01-01", "1907-12-31", True)),
        # five to seven years after Northfield Plant began (October 1923), and "December 1929"
        ("plant/ot-1#end", ("1929-12-01", "1929-12-31", True)),
        # offered in the catalogue of 1906 at the latest; its pottery began in 1895
        ("treatment/a-104#begin", ("1895-01-01", "1901-01-01", True)),
        # New Dorrance began in 1926, on the day after Dorrance ended
        ("shape/new-dorrance#begin", ("1926-01-02", "1926-12-31", False)),
        # a card says about 1915: 730 days either way
        ("shape/pellow#begin", ("1913-01-01", "1917-12-30", False)),
        ("piece/wv-056#made", ("1933-04-01", "1933-04-30", True)),
    ],
)
def test_bounds_of_the_valley(
    valley: Snapshot, point: str, expected: tuple[str, str, bool]
) -> None:
    assert days(valley, point) == expected


def test_production_and_relations_of_the_valley(valley: Snapshot) -> None:
    times = valley.chronology
    halewin, sedgewater = (URIRef(f"{WEND}shape/{name}") for name in ("halewin", "sedgewater"))
    found = [times.in_production(halewin, year) for year in (1911, 1912, 1930, 1935, 1943)]
    assert found == ["no", "yes", "possibly", "possibly", "no"]
    assert times.relations(halewin, sedgewater) == ("overlaps", "contains", "finished by")
    dorrance, new = (URIRef(f"{WEND}shape/{name}") for name in ("dorrance", "new-dorrance"))
    assert times.relations(dorrance, new) == ("meets",)
    assert times.relations(new, dorrance) == ("met by",)


def test_an_argument_is_one_sentence_with_its_rows(valley: Snapshot) -> None:
    found = when(valley.chronology, valley.graph, URIRef(f"{WEND}shape/halewin"), 1930)
    end = found.points[1]
    assert end.words == "between April 1933 and 1942"
    assert end.not_before is not None
    assert end.not_before.because == (
        "Halewin ended no earlier than April 1933, because Jug 36s, Halewin, H-433 was made in "
        "April 1933 (pieces.csv row 38) and Jug 36s, Halewin, H-433: shape Halewin (pieces.csv row "
        "38, pieces.csv row 196)."
    )
    assert [side.read_from for side in end.not_before.sides] == [
        "tables/pieces.csv row 38",
        "tables/pieces.csv row 38",
        "tables/pieces.csv row 196",
    ]
    assert json.dumps(plain(found))


def test_a_widened_date_and_a_lag_say_by_how_much(valley: Snapshot) -> None:
    source = when(valley.chronology, valley.graph, URIRef(f"{WEND}source/ot-cat-1928")).points[0]
    assert source.not_before is not None
    assert "[approximate, widened by 2 years either way]" in source.not_before.because
    listed = when(valley.chronology, valley.graph, URIRef(f"{WEND}treatment/a-104")).points[0]
    assert listed.not_after is not None
    assert "[a list can run a year behind]" in listed.not_after.because


def test_what_settles_the_valley(valley: Snapshot) -> None:
    found = settlement(valley.chronology, valley.graph)
    options = {option.says for each in found.settlings for option in each.options}
    assert (
        "Halewin ended in 1927 (shapes.csv row 9, shapes.csv row 10)",
        "Jug 36s, Halewin, H-433 was made in 1927 (pieces.csv row 196)",
    ) in {tuple(sorted(says)) for says in options}
    assert ("Bretelle began in 1932 (shapes.csv row 28)",) in options
    changed = {each.name: (each.before, each.after) for each in found.consequences}
    assert changed["Halewin ended"] == (
        "no earlier than April 1933 and no later than 1927, which cannot be",
        "between April 1933 and 1942",
    )
    assert all(before != after for before, after in changed.values())


def test_two_dates_for_one_thing_are_told_once(valley: Snapshot) -> None:
    found = valley.findings("shacl")
    clashing = [f for f in found if f.kind == "dates-clash"]
    assert any("Halewin ended no later than 1927" in f.message for f in clashing)
    assert all("glost conflicts" in f.remedy and len(f.claims) > 1 for f in clashing)
    tamsin = [f for f in found if f.about == (f"{WEND}shape/tamsin",)]
    assert [f.kind for f in tamsin if "began" in f.message or "start" in f.message] == [
        "differing-values"
    ]


def test_bounds_stand_in_the_dataset_and_say_what_they_rest_on(valley: Snapshot) -> None:
    point = URIRef(f"{WEND}shape/halewin#end")
    # by the books it ended in 1927; if the piece is right, in 1933 or later
    triple = (point, GLOST.notBefore, Literal("1927-01-01", datatype=XSD.date))
    assert triple in valley.contents.reckoned
    assert (point, GLOST.notAfterYear, Literal(1942)) in valley.contents.reckoned
    assert (point, GLOST.inDispute, Literal(True)) in valley.contents.reckoned
    assert is_bound(triple)
    assert [str(fact[2]) for fact in valley.contents.why(triple)] == ["1927"]
    piece = URIRef(f"{WEND}piece/wv-056")
    clashing = list(valley.contents.why((point, GLOST.inDispute, Literal(True))))
    assert (piece, GLOST.ofShape, URIRef(f"{WEND}shape/halewin")) in clashing
    for fact in clashing:
        assert fact in valley.belief.graph


PIECES = "piece,shape,form,made\np1,alder,plate,1925\n"
SHAPES = "shape,pottery,name,begin,end,source,locator\nalder,harrow,Alder,1908,1920,letter,p. 1\n"
REST = {"flatware": "", "treatments": "", "assortments": ""}


def shelf(folder: Path, dates: str = "", trust: str = "") -> Snapshot:
    made = write(folder / "shelf", pieces=PIECES, shapes=SHAPES, **REST)
    (made / "collection.toml").write_text(f"{SETTINGS}{dates}{trust}", encoding="utf-8")
    return Snapshot(made)


def test_trust_decides_which_side_gives_way(tmp_path: Path) -> None:
    end = URIRef("https://example.org/shelf/shape/alder#end")
    even = shelf(tmp_path / "a").chronology
    (choice,) = even.repair
    assert choice.cost == 1.0
    assert len(choice.options) == 3  # the end of Alder, the year of the piece, or its shape
    book = shelf(tmp_path / "b", trust="[trust]\nletter = 0.5\n").chronology
    assert to_iso(book.bounds(end).earliest or 0) == "1925-01-01"
    piece = shelf(tmp_path / "c", trust="[trust]\np1 = 0.5\n").chronology
    assert to_iso(piece.bounds(end).latest or 0) == "1920-12-31"


def test_a_rule_can_be_turned_off_in_the_settings(tmp_path: Path) -> None:
    assert shelf(tmp_path / "a").chronology.conflicts
    assert not shelf(tmp_path / "b", '[dates]\nwithout = ["piece-of-shape"]\n').chronology.conflicts


def test_unknown_rules_and_sources_are_named_together(tmp_path: Path) -> None:
    snapshot = shelf(tmp_path, '[dates]\nwithout = ["piece-of-shap"]\n', "[trust]\nleter = 0.5\n")
    with pytest.raises(RecordErrors) as caught:
        snapshot.chronology  # noqa: B018
    text = str(caught.value)
    assert 'did you mean "piece-of-shape"?' in text
    assert 'did you mean "letter"?' in text


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("[dates]\ncatalogue_lag_years = -1\n", "catalogue_lag_years is not a whole number"),
        ('[dates]\nwithout = "x"\n', "without is not a list of rules"),
        ("[dates]\nmargin = 3\n", 'did you mean "margin_years"?'),
    ],
)
def test_wrong_settings_are_refused(text: str, message: str, tmp_path: Path) -> None:
    with pytest.raises(RecordErrors, match=message.replace("?", r"\?")):
        _ = shelf(tmp_path, text).record


HARROW = "pottery,name,source\nharrow,Harrow,letter\n"


@pytest.mark.parametrize(
    ("setting", "latest"),
    [
        ("", "1910-01-01"),  # the list is of 1908, and lists may lag by a year: 366 days
        ("catalogue_lag_years = 0", "1908-12-31"),
        ("catalogue_lag_years = 2", "1911-01-01"),  # two years have 731 days at most
    ],
)
def test_how_far_lists_lag_is_said_in_the_settings(
    setting: str, latest: str, tmp_path: Path
) -> None:
    tables = {
        **dict.fromkeys(("flatware", "treatments", "pieces"), ""),
        "potteries": HARROW,
        "shapes": "shape,pottery,name,source\nalder,harrow,Alder,letter\n",
        "assortments": "catalogue,shape,form\ncat1908,alder,teapot\n",
    }
    here = write(tmp_path / "c", **tables)
    (here / "collection.toml").write_text(f"{SETTINGS}[dates]\n{setting}\n", encoding="utf-8")
    found = Snapshot(here).chronology.bounds(URIRef("https://example.org/shelf/shape/alder#begin"))
    assert found.latest is not None and to_iso(found.latest) == latest


def test_years_that_no_day_of_xsd_can_be_written_in_have_no_day(tmp_path: Path) -> None:
    """XML Schema's days are of years 1 to 9999 here; a pot may be older than that."""
    shapes = "shape,pottery,name,begin,end,source\nalder,harrow,Alder,-0099,0001,letter\n"
    empty = dict.fromkeys(("flatware", "treatments", "pieces", "assortments"), "")
    here = Snapshot(write(tmp_path / "c", **{**empty, "shapes": shapes, "potteries": HARROW}))
    begin, end = (URIRef(f"https://example.org/shelf/shape/alder#{e}") for e in ("begin", "end"))
    told = {(s, str(v).rsplit("#", 1)[-1], str(o)) for s, v, o in reckoned(here.chronology)}
    assert (begin, "notBeforeYear", "-99") in told
    assert not any(s == begin and verb == "notBefore" for s, verb, _ in told)
    assert (end, "notAfter", "0001-12-31") in told
