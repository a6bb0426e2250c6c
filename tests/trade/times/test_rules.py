"""Each rule of time by itself: a few rows, and the bound that follows from them by hand."""

from collections.abc import Iterable
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.record.dates import to_iso
from glost.record.errors import RecordErrors
from glost.record.record import read
from glost.trade.times import Chronology, in_force
from glost.trade.times.arguments import Ground
from glost.trade.times.reckoning import chronology
from glost.trade.times.rules import faults, read_rule, rules
from shelf import write

BASE = "https://example.org/shelf/"
EMPTY = ("flatware", "treatments", "pieces", "assortments", "shapes", "potteries")
POTTERY = "pottery,name,begin,end,source\nharrow,Harrow,1890,1930,letter\n"
SHAPE = (
    "shape,pottery,name,begin,end,source\nalder,,Alder,{},{},letter\nbirch,,Birch,{},{},letter\n"
)
MARK = "mark,applied,wording,plant,names_shape,begin,end,source\nm,{},M,{},{},1905,1910,letter\n"
PLANT = "plant,pottery,name,begin,end,source\nold,harrow,Old,{},{},letter\n"
LINE = "{x},copied_from,redesigned_from,reissue_of,derived_from,source\n"
REDESIGN = "redesign,name,shape,form,begin,end,source\nspout,Spout,alder,teapot,{},{},letter\n"
TREAT = "treatment,pottery,name,decal,glaze,begin,end,source\nt,{},T,{},{},{},{},letter\n"


def times(
    folder: Path, off: tuple[str, ...] = (), also: tuple[str, ...] = (), **tables: str
) -> Chronology:
    made = write(folder / "shelf", **(dict.fromkeys(EMPTY, "") | tables))
    return chronology(read(made).believed(), off=off, also=also)


def shapes(one: str = ",", two: str = ",") -> str:
    return SHAPE.format(*one.split(","), *two.split(","))


CASES: dict[str, tuple[dict[str, str], str, str]] = {
    "stated-date": ({"shapes": shapes("1908,")}, "shape/alder#begin", "1908-01-01/1908-12-31"),
    "begin-before-end": ({"shapes": shapes("1908,")}, "shape/alder#end", "1908-01-01/"),
    "made-before-decorated": (
        {"pieces": "piece,form,decorated\np,plate,1910\n"}, "piece/p#made", "/1910-12-31",
    ),
    "piece-of-shape": (
        {"shapes": shapes(",1920"), "pieces": "piece,shape,form\np,alder,plate\n"},
        "piece/p#made", "/1920-12-31",
    ),
    "flatware-shared-in-both-runs": (
        {
            "shapes": shapes("1908,1920", "1911,"),
            "flatware": "shape,with,begin,source\nalder,birch,1900/1930,letter\n",
        },
        "sharing/alder.birch#begin", "1911-01-01/1920-12-31",
    ),
    "piece-of-pottery": (
        {"potteries": POTTERY, "pieces": "piece,pottery,form\np,harrow,plate\n"},
        "piece/p#made", "1890-01-01/1930-12-31",
    ),
    "mark-of-making": (
        {"marks": MARK.format("impressed", "", ""), "pieces": "piece,form,mark\np,plate,m\n"},
        "piece/p#made", "1905-01-01/1910-12-31",
    ),
    "mark-of-decorating": (
        {"marks": MARK.format("gold-stamped", "", ""), "pieces": "piece,form,mark\np,plate,m\n"},
        "piece/p#decorated", "1905-01-01/1910-12-31",
    ),
    "mark-of-sale": (
        {"marks": MARK.format("paper-label", "", ""), "pieces": "piece,form,mark\np,plate,m\n"},
        "piece/p#decorated", "/1910-12-31",
    ),
    "mark-of-plant": (
        {
            "marks": "mark,applied,wording,plant,source\nm,impressed,M,old,letter\n",
            "plants": PLANT.format("1907", "1909").replace("harrow", ""),
            "pieces": "piece,form,mark\np,plate,m\n",
        },
        "piece/p#made", "1907-01-01/1909-12-31",
    ),
    "piece-in-treatment": (
        {
            "treatments": TREAT.format("", "", "", "1906", "1908"),
            "pieces": "piece,form,treatment\np,plate,t\n",
        },
        "piece/p#decorated", "1906-01-01/1908-12-31",
    ),
    "piece-with-glaze": (
        {
            "glazes": "glaze,name,begin,end,source\ng,G,1906,1908,letter\n",
            "pieces": "piece,form,glaze\np,plate,g\n",
        },
        "piece/p#made", "/1908-12-31",
    ),
    "piece-with-decal": (
        {
            "decals": "decal,name,begin,end,source\nd,D,1906,1908,letter\n",
            "pieces": "piece,form,decal\np,plate,d\n",
        },
        "piece/p#decorated", "1906-01-01/",
    ),
    "treatment-of-parts": (
        {
            "decals": "decal,name,begin,end,source\nd,D,1906,1908,letter\n",
            "treatments": TREAT.format("", "d", "", "", ""),
        },
        "treatment/t#begin", "1906-01-01/",
    ),
    "mark-names-thing": (
        {
            "shapes": shapes("1906,"),
            "marks": "mark,applied,wording,names_shape,source\nm,impressed,M,alder,letter\n",
        },
        "mark/m#begin", "1906-01-01/",
    ),
    "kiln-in-plant": (
        {
            "plants": PLANT.format("1907", "1909").replace("harrow", ""),
            "kilns": "kiln,plant,source\nk,old,letter\n",
        },
        "kiln/k#end", "1907-01-01/1909-12-31",
    ),
    "plant-of-pottery": (
        {"potteries": POTTERY, "plants": PLANT.format("", "")}, "plant/old#begin", "1890-01-01/1930-12-31",
    ),
    "shape-of-pottery": (
        {"potteries": POTTERY, "shapes": shapes().replace("alder,,", "alder,harrow,")},
        "shape/alder#end", "1890-01-01/1930-12-31",
    ),
    "treatment-of-pottery": (
        {"potteries": POTTERY, "treatments": TREAT.format("harrow", "", "", "", "")},
        "treatment/t#begin", "1890-01-01/1930-12-31",
    ),
    "tenure-at-firm": (
        {
            "potteries": POTTERY,
            "people": "person,name,source\nann,Ann,letter\n",
            "roles": "person,role,at,source\nann,designer,harrow,letter\n",
        },
        "role/ann.designer.harrow#begin", "1890-01-01/1930-12-31",
    ),
    "tenure-in-life": (
        {
            "people": "person,name,begin,end,source\nann,Ann,1880,1940,letter\n",
            "roles": "person,role,source\nann,designer,letter\n",
        },
        "role/ann.designer#begin", "1880-01-01/1940-12-31",
    ),
    "list-offers-shape": (
        {
            "shapes": shapes(),
            "assortments": "catalogue,shape,form,item\ncat1908,alder,plate,1\ncat1908,alder,plate,2\n",
        },
        "shape/alder#begin", "/1910-01-01",
    ),
    "list-shows-treatment": (
        {"treatments": TREAT.format("harrow", "", "", "", "").replace("letter", "cat1908"),
         "potteries": POTTERY.replace("1890,1930", ",")},
        "treatment/t#end", "1906-12-31/",
    ),
    "copy-after-model": (
        {"shapes": shapes("1908,"), "lineage": LINE.format(x="thing") + "shape/birch,shape/alder,,,,letter\n"},
        "shape/birch#begin", "1908-01-01/",
    ),
    "follows-original": (
        {"shapes": shapes("1908,"), "lineage": LINE.format(x="thing") + "shape/birch,,shape/alder,,,letter\n"},
        "shape/birch#begin", "1908-01-01/",
    ),
    "takes-the-place": (
        {"kilns": "kiln,begin,replaces,source\nk,1908,,letter\nnew,,k,letter\n"},
        "kiln/new#begin", "1908-01-01/",
    ),
    "came-instead": (
        {
            "shapes": shapes("1908,"),
            "substitutions": "came,instead_of,source\nshape/birch,shape/alder,letter\n",
        },
        "shape/birch#begin", "1908-01-01/",
    ),
    "substitution-dated": (
        {
            "shapes": shapes("1908,"),
            "substitutions": "came,instead_of,begin,source\nshape/birch,shape/alder,1911,letter\n",
        },
        "shape/birch#begin", "1908-01-01/1911-12-31",
    ),
    "redesign-in-run": (
        {"shapes": shapes("1908,1920"), "redesigns": REDESIGN.format("", "")},
        "redesign/spout#end", "1908-01-01/1920-12-31",
    ),
    "shows-redesign": (
        {
            "shapes": shapes(), "redesigns": REDESIGN.format("1911", ""),
            "pieces": "piece,form,shows_redesign\np,teapot,spout\n",
        },
        "piece/p#made", "1911-01-01/",
    ),
    "shows-older-form": (
        {
            "shapes": shapes(), "redesigns": REDESIGN.format("", "1911"),
            "pieces": "piece,form,shows_older_form\np,teapot,spout\n",
        },
        "piece/p#made", "/1911-12-31",
    ),
    "repeats-earlier": (
        {"sources": "source,title,kind,date,repeats\nletter,L,letter,1912,\nbook,B,book,,letter\n"},
        "source/book", "1912-01-01/",
    ),
    "quoted-later": (
        {"sources": "source,title,kind,date,quoted_in\nletter,L,letter,,book\nbook,B,book,1912,\n"},
        "source/letter", "/1912-12-31",
    ),
    "sequence": (
        {
            "shapes": shapes("1908,"),
            "sequences": "thing,thing_point,relation,other,other_point,source\n"
            "shape/birch,end,before,shape/alder,begin,letter\n",
        },
        "shape/birch#end", "/1908-12-30",
    ),
}  # fmt: skip


def bounds(here: Chronology, point: str) -> str:
    early, late, _ = here.bounds(URIRef(BASE + point))
    return f"{'' if early is None else to_iso(early)}/{'' if late is None else to_iso(late)}"


@pytest.mark.parametrize("name", CASES)
def test_a_rule_bounds_what_it_says_and_nothing_when_it_is_off(name: str, tmp_path: Path) -> None:
    tables, point, expected = CASES[name]
    assert bounds(times(tmp_path / "on", **tables), point) == expected
    without = bounds(times(tmp_path / "off", off=(name,), **tables), point)
    assert without != expected


PIECE = "piece,form,{}\np,plate,{}\n"
OWN_LIST = "letter,A list,{},1908-05-01,\n"
MORE = "source,title,kind,date,complete\n"
GLAZE = "glaze,pottery,name,shape,begin,end,source\ng,,G,{},{},{},letter\n"

OTHERS: dict[str, tuple[dict[str, str], str, str]] = {
    "impressed mark of a plant": (CASES["mark-of-plant"][0], "piece/p#decorated", "1907-01-01/"),
    "ink-stamped is of sale": (
        {"marks": MARK.format("ink-stamped", "", ""), "pieces": PIECE.format("mark", "m")},
        "piece/p#decorated", "/1910-12-31",
    ),
    "painted is of decorating": (
        {"marks": MARK.format("painted", "", ""), "pieces": PIECE.format("mark", "m")},
        "piece/p#decorated", "1905-01-01/1910-12-31",
    ),
    "a glaze bounds the decorating from before": (
        {"glazes": GLAZE.format("", "1906", "1908"), "pieces": PIECE.format("glaze", "g")},
        "piece/p#decorated", "1906-01-01/",
    ),
    "a decal says nothing of the making": (CASES["piece-with-decal"][0], "piece/p#made", "/"),
    "a glaze is older than what uses it": (
        {"glazes": GLAZE.format("", "1906", "1908"), "treatments": TREAT.format("", "", "g", "", "")},
        "treatment/t#begin", "1906-01-01/",
    ),
    "a mark is not older than its plant": (
        {
            "plants": PLANT.format("1907", "1909").replace("harrow", ""),
            "marks": "mark,applied,wording,plant,source\nm,impressed,M,old,letter\n",
        },
        "mark/m#begin", "1907-01-01/",
    ),
    "a reissue follows": (
        {"shapes": shapes("1908,"), "lineage": LINE.format(x="thing") + "shape/birch,,,shape/alder,,letter\n"},
        "shape/birch#begin", "1908-01-01/",
    ),
    "offspring follows": (
        {"shapes": shapes("1908,"), "lineage": LINE.format(x="thing") + "shape/birch,,,,shape/alder,letter\n"},
        "shape/birch#begin", "1908-01-01/",
    ),
    "a successor follows": (
        {"potteries": "pottery,name,begin,succeeds,source\nharrow,Harrow,1890,,letter\nwold,Wold,,harrow,letter\n"},
        "pottery/wold#begin", "1890-01-01/",
    ),
    # A list of 1908-05-01, with a year's lag to either side.
    **{
        f"a {kind} bounds the {point} of what it shows": (
            {
                "sources": MORE + OWN_LIST.format(kind),
                "treatments": TREAT.format("harrow", "", "", "", ""),
                "potteries": POTTERY.replace("1890,1930", ","),
            },
            f"treatment/t#{point}", expected,
        )
        for kind in ("catalogue", "price-list", "brochure")
        for point, expected in (("begin", "/1909-05-02"), ("end", "1907-05-01/"))
    },
    "a letter shows nothing": (
        {
            "sources": MORE + OWN_LIST.format("letter"),
            "treatments": TREAT.format("harrow", "", "", "", ""),
            "potteries": POTTERY.replace("1890,1930", ","),
        },
        "treatment/t#begin", "/",
    ),
    "a list shows the glaze offered on a shape": (
        {
            "sources": MORE + OWN_LIST.format("brochure"), "shapes": shapes(),
            "glazes": GLAZE.format("alder", "", ""),
        },
        "glaze/g#end", "1907-05-01/",
    ),
    "a list shows a treatment on a shape": (
        {
            "sources": MORE + OWN_LIST.format("price-list") + "book,B,book,,\n", "shapes": shapes(),
            "treatments": TREAT.format("", "", "", "", "").replace("letter", "book"),
            "appearances": "treatment,shape,source\nt,alder,letter\n",
        },
        "treatment/t#begin", "/1909-05-02",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", OTHERS)
def test_the_other_side_of_a_rule_and_all_that_it_holds_for(name: str, tmp_path: Path) -> None:
    tables, point, expected = OTHERS[name]
    assert bounds(times(tmp_path, **tables), point) == expected


def test_every_rule_that_bounds_has_a_case_or_a_test_of_its_own() -> None:
    own = {"read-date", "one-witness", "missing-from-complete-list"}
    assert set(CASES) | own == set(rules())


def test_every_rule_says_why_in_one_sentence() -> None:
    for rule in rules().values():
        assert rule.why.endswith(".") and rule.why.count(". ") == 0
        assert rule.concerns in ("", "making", "decorating")
        assert bool(rule.how) != bool(rule.where)


SPEAKS_OF: dict[str, tuple[dict[str, object], str]] = {
    "property": ({"where": ["x ofShap y"], "then": ["x.made <= y.end"]},
        'there is no property "ofShap"; did you mean "ofShape"?'),
    "one of several": ({"where": ["x ofShape|atShape y"], "then": ["x.made <= y.end"]},
        'there is no property "atShape"'),
    "class": ({"where": ["x a Pece"], "then": ["x.made <= x.decorated"]},
        'there is no class "Pece"; did you mean "Piece"?'),
    "term": ({"where": ["x application overglase"], "then": ["x.begin <= x.end"]},
        '"overglase" is no term of the scheme "application"'),
    "variable": ({"where": ["x ofShape y"], "then": ["x.made <= z.end"]},
        'no pattern of it speaks of "z"'),
    "point": ({"where": ["x ofShape y"], "then": ["x.mde <= y.end"]}, 'there is no point "mde"'),
    "pattern": ({"where": ["x ofShape"], "then": ["x.made <= x.end"]}, '"x ofShape" is no pattern'),
    "deed": ({"how": "date"}, 'nothing is done as "date"; did you mean "dates"?'),
}  # fmt: skip


@pytest.mark.parametrize("what", SPEAKS_OF)
def test_a_rule_that_speaks_of_what_there_is_not_is_an_error(what: str) -> None:
    row, expected = SPEAKS_OF[what]
    (fault,) = faults([read_rule({"name": "new", "why": "For a test.", **row})])
    assert str(fault).startswith(f'rules.toml: rule "new": {expected}')


def test_an_unknown_rule_is_named_with_the_nearest() -> None:
    with pytest.raises(RecordErrors) as caught:
        in_force(["list-offer-shape", "zzz"], ["kiln-in-plan"])
    text = str(caught.value)
    assert 'did you mean "list-offers-shape"?' in text
    assert 'did you mean "kiln-in-plant"?' in text
    assert 'a rule "zzz" that there is not; rules are stated-date' in text


@pytest.mark.parametrize("column", ["like", "hardly_told_from"])
def test_likeness_moves_no_bound(column: str, tmp_path: Path) -> None:
    """Alder ran from 1908 to 1920, Birch is much like it; nothing is thereby known of Birch."""
    tables = {
        "shapes": shapes("1908,1920"),
        "lineage": f"thing,{column},source\nshape/birch,shape/alder,letter\n",
    }
    here = times(tmp_path, **tables)
    assert bounds(here, "shape/birch#begin") == bounds(here, "shape/birch#end") == "/"
    assert bounds(here, "shape/alder#begin") == "1908-01-01/1908-12-31"
    assert bounds(here, "shape/alder#end") == "1920-01-01/1920-12-31"


@pytest.mark.parametrize(("first", "last"), [("1908", "1909"), ("1908", "1940")])
def test_what_gave_way_may_have_gone_before_or_have_lingered(
    first: str, last: str, tmp_path: Path
) -> None:
    """Birch came in 1912 instead of Alder, which ended in 1909 by one source or 1940 by another."""
    tables = {
        "shapes": shapes(f"{first},{last}", "1912,"),
        "substitutions": "came,instead_of,source\nshape/birch,shape/alder,letter\n",
    }
    here = times(tmp_path, **tables)
    assert not here.repair
    assert bounds(here, "shape/alder#end") == f"{last}-01-01/{last}-12-31"
    assert bounds(here, "shape/birch#begin") == "1912-01-01/1912-12-31"


@pytest.mark.parametrize(("made", "clash"), [("1911", False), ("1912", False), ("1914", True)])
def test_old_and_new_form_may_be_made_side_by_side_while_the_redesign_lasts(
    made: str, clash: bool, tmp_path: Path
) -> None:
    """The newer form came in 1911 and the older was last made in 1913."""
    tables = {
        "shapes": shapes(),
        "redesigns": REDESIGN.format("1911", "1913"),
        "pieces": "piece,form,made,shows_older_form,shows_redesign\n"
        f"old,teapot,{made},spout,\nnew,teapot,1911,,spout\n",
    }
    assert bool(times(tmp_path, **tables).repair) is clash


def test_a_group_ties_its_members_in_no_way_in_time(tmp_path: Path) -> None:
    groups = "group,name,shape,leaves_out,source\ng,The pair,alder|birch,,letter\n"
    here = times(tmp_path, shapes=shapes("1908,1920"), groups=groups)
    assert bounds(here, "shape/birch#begin") == bounds(here, "shape/birch#end") == "/"


SOURCES = (
    "source,title,kind,date,pottery,complete\n"
    "letter,L,letter,1912,,\nbook,Book,catalogue,1908,harrow,\nlater,Later,catalogue,1911,harrow,{}\n"
)
LISTED = "catalogue,shape,form,item\nbook,alder,plate,1\nbook,birch,plate,2\nlater,birch,plate,3\n"


@pytest.mark.parametrize(("complete", "expected"), [("yes", "1912-12-31"), ("no", ""), ("", "")])
def test_what_is_missing_ends_a_shape_only_if_the_list_is_complete_and_it_is_asked_for(
    complete: str, expected: str, tmp_path: Path
) -> None:
    """The list of 1911 leaves Alder out; with a year's lag it had ended by the end of 1912."""
    tables = {
        "sources": SOURCES.format(complete),
        "potteries": POTTERY.replace("1890,1930", ","),
        "shapes": shapes().replace("alder,,", "alder,harrow,").replace("birch,,", "birch,harrow,"),
        "assortments": LISTED,
    }
    rule = ("missing-from-complete-list",)
    asked = bounds(times(tmp_path / "a", also=rule, **tables), "shape/alder#end").split("/")[1]
    assert asked == expected
    assert bounds(times(tmp_path / "b", **tables), "shape/alder#end").endswith("/")


def test_what_the_later_list_offers_and_what_is_not_later_end_nothing(tmp_path: Path) -> None:
    """Birch is in both lists; and of two lists of one day neither is the later."""
    rule = ("missing-from-complete-list",)
    tables = {
        "sources": SOURCES.format("yes"),
        "potteries": POTTERY.replace("1890,1930", ","),
        "shapes": shapes().replace("alder,,", "alder,harrow,").replace("birch,,", "birch,harrow,"),
        "assortments": LISTED,
    }
    here = times(tmp_path / "a", also=rule, **tables)
    assert bounds(here, "shape/birch#end").endswith("/")
    for year in ("1908", "1911"):
        tables["sources"] = tables["sources"].replace(f",{year},harrow", ",1911-05-01,harrow")
    here = times(tmp_path / "b", also=rule, **tables)
    assert bounds(here, "shape/alder#end").endswith("/")


def test_of_two_dates_of_a_list_neither_is_taken_for_the_only_one(tmp_path: Path) -> None:
    """The earlier list is of 1908 or 1913, the complete one of 1911: it may not be the later."""
    tables = {
        "sources": SOURCES.format("yes") + "book,Book,catalogue,1913,harrow,\n",
        "potteries": POTTERY.replace("1890,1930", ","),
        "shapes": shapes().replace("alder,,", "alder,harrow,").replace("birch,,", "birch,harrow,"),
        "assortments": LISTED,
    }
    here = times(tmp_path, also=("missing-from-complete-list",), **tables)
    assert bounds(here, "shape/alder#end").endswith("/")


SEQUENCE = "thing,thing_point,relation,other,other_point,at_least,at_most,source\n"


@pytest.mark.parametrize(
    ("row", "point", "expected"),
    [
        ("shape/birch,begin,after,shape/alder,begin,4,", "shape/birch#begin", "1911-12-31/"),
        ("shape/birch,begin,after,shape/alder,begin,,4", "shape/birch#begin", "1908-01-02/1912-12-31"),
        ("shape/birch,end,before,shape/alder,begin,5,7", "shape/birch#end", "1900-12-31/1904-01-02"),
        # about five years: two years more or less
        ("shape/birch,end,before,shape/alder,begin,5,5", "shape/birch#end", "1900-12-31/1906-01-01"),
        ("shape/birch,begin,equals,shape/alder,end,,", "shape/birch#begin", "1920-01-01/1920-12-31"),
        ("shape/birch,run,meets,shape/alder,run,,", "shape/birch#end", "1907-12-31/1908-12-30"),
        ("shape/birch,run,met-by,shape/alder,run,,", "shape/birch#begin", "1920-01-02/1921-01-01"),
        ("shape/birch,run,during,shape/alder,run,,", "shape/birch#end", "1908-01-02/1920-12-30"),
        ("shape/birch,run,contains,shape/alder,run,,", "shape/birch#end", "1920-01-02/"),
        ("shape/birch,run,overlaps,shape/alder,run,,", "shape/birch#end", "1908-01-01/1920-12-30"),
        ("shape/birch,run,overlapped-by,shape/alder,run,,", "shape/birch#begin", "1908-01-02/1920-12-31"),
        ("shape/birch,run,starts,shape/alder,run,,", "shape/birch#begin", "1908-01-01/1908-12-31"),
        ("shape/birch,run,started-by,shape/alder,run,,", "shape/birch#end", "1920-01-02/"),
        ("shape/birch,run,finishes,shape/alder,run,,", "shape/birch#end", "1920-01-01/1920-12-31"),
        ("shape/birch,run,finished-by,shape/alder,run,,", "shape/birch#begin", "/1908-12-30"),
        ("shape/birch,run,equals,shape/alder,run,,", "shape/birch#end", "1920-01-01/1920-12-31"),
        ("shape/birch,run,before,shape/alder,run,,", "shape/birch#end", "/1908-12-29"),
        ("shape/birch,run,after,shape/alder,run,,", "shape/birch#begin", "1920-01-03/"),
        ("shape/birch,begin,during,shape/alder,run,,", "shape/birch#begin", "1908-01-02/1920-12-30"),
        ("shape/birch,begin,overlaps,shape/alder,run,,", "shape/birch#begin", "/"),
    ],
)  # fmt: skip
def test_a_sequence_orders_points_and_runs(
    row: str, point: str, expected: str, tmp_path: Path
) -> None:
    """Alder ran from 1908 to 1920. A run ends as its last day is over, so it meets the next day.

    Five years have 1825 days at least and seven 2557 at most; about five is two years either way.
    """
    tables = {"shapes": shapes("1908,1920"), "sequences": f"{SEQUENCE}{row},letter\n"}
    assert bounds(times(tmp_path, **tables), point) == expected


DOUBTED = SEQUENCE.replace("source", "source,certainty")
APART = "shape,pottery,name,begin,end,source\nalder,,Alder,,{},letter\nbirch,,Birch,{},,letter\n"


def told(option: Iterable[Ground]) -> set[str]:
    """Return which properties the statements of an option are of."""
    return {str(ground.triple[1]).rsplit("#", 1)[-1] for ground in option}


def test_years_give_way_and_the_order_they_are_counted_from_stands(tmp_path: Path) -> None:
    """Alder ended in 1905 or later and Birch began in 1910, which is not ten years on."""
    row = "shape/alder,end,before,shape/birch,begin,10,,letter,{}\n"
    tables = {"shapes": APART.format("1905/..", "1910")}
    here = times(tmp_path / "a", sequences=DOUBTED + row.format(""), **tables)
    (choice,) = here.repair
    assert choice.cost == 1
    assert [told(option) for option in choice.options] == [{"date"}, {"date"}, {"yearsAtLeast"}]
    # A row that is only possible weighs a half: the years go, and the order still bounds.
    here = times(tmp_path / "b", sequences=DOUBTED + row.format("possible"), **tables)
    (choice,) = here.repair
    assert choice.cost == 0.5
    assert [told(option) for option in choice.options] == [{"yearsAtLeast"}]
    assert bounds(here, "shape/alder#end") == "1905-01-01/1910-12-30"


def test_an_order_is_set_aside_with_the_years_counted_from_it(tmp_path: Path) -> None:
    """Alder ended in 1905 or later and Birch had begun in 1903: half for each thing the row says."""
    row = "shape/alder,end,before,shape/birch,begin,{},,letter,possible\n"
    tables = {"shapes": APART.format("1905/..", "1903")}
    for years, cost, gone in (("", 0.5, [{"timeRelation"}]),
                              ("2", 1, [{"date"}, {"date"}, {"timeRelation", "yearsAtLeast"}])):  # fmt: skip
        here = times(tmp_path / f"years{years}", sequences=DOUBTED + row.format(years), **tables)
        (choice,) = here.repair
        assert choice.cost == cost
        assert sorted(map(told, choice.options), key=sorted) == gone


BOOKS = "source,title,kind,repeats\nfirst,First,book,\nsecond,Second,book,{}\nthird,Third,book,\n"
ENDS = (
    "shape,pottery,name,end,source\nalder,,Alder,1910,first\nalder,,Alder,1910,second\n"
    "alder,,Alder,1920,third\n"
)


@pytest.mark.parametrize(
    ("repeats", "off", "cost", "gone"),
    [
        ("", (), 1.0, "1920"),  # two witnesses against one
        ("first", (), 1.0, "either"),  # one against one
        ("first", ("one-witness",), 1.0, "1920"),
    ],
)
def test_a_book_that_repeats_another_is_one_witness_with_it(
    repeats: str, off: tuple[str, ...], cost: float, gone: str, tmp_path: Path
) -> None:
    here = times(tmp_path, off=off, sources=BOOKS.format(repeats), shapes=ENDS)
    (choice,) = here.repair
    assert choice.cost == cost
    told = sorted(str(ground.triple[2]) for option in choice.options for ground in option)
    assert told == (["1910", "1920"] if gone == "either" else [gone])


QUOTED = "source,title,kind,quoted_in,repeats\nfirst,First,letter,{},\nsecond,Second,book,,{}\nthird,Third,book,,\n"


@pytest.mark.parametrize(
    ("quoted_in", "repeats", "off", "gone"),
    [
        ("", "", (), "1920"),  # two witnesses against one
        ("second", "", (), "either"),  # the letter is known only from the second: one against one
        ("third", "", (), "1920"),  # known only from the third, which so speaks on both sides
        ("second", "third", (), "either"),  # all three are one witness, who contradicts himself
        ("second", "", ("one-witness",), "1920"),
    ],
)
def test_a_source_known_through_another_is_one_witness_with_it(
    quoted_in: str, repeats: str, off: tuple[str, ...], gone: str, tmp_path: Path
) -> None:
    here = times(tmp_path, off=off, sources=QUOTED.format(quoted_in, repeats), shapes=ENDS)
    (choice,) = here.repair
    assert choice.cost == 1
    values = sorted(str(ground.triple[2]) for option in choice.options for ground in option)
    assert values == (["1910", "1920"] if gone == "either" else [gone])


def test_a_code_read_on_a_piece_bounds_it_as_long_as_all_its_claims_stand(tmp_path: Path) -> None:
    made = write(
        tmp_path / "shelf",
        **(dict.fromkeys(EMPTY, "") | {"pieces": "piece,form,date_code\np,plate,H8\n"}),
    )
    belief = read(made).believed()
    piece = URIRef(f"{BASE}piece/p")
    (claim,) = belief.about(str(piece))
    first, last = 700_000, 700_030
    read_so = [(piece, "made", first, last, (claim,))]
    here = chronology(belief, readings=read_so)
    assert here.bounds(URIRef(f"{piece}#made")) == (first, last, False)
    argument = here.why_not_after(URIRef(f"{piece}#made"))
    assert argument is not None
    assert [str(ground.told[2]) for ground in argument.grounds] == ["H8"]
    off = chronology(belief, readings=read_so, off=["read-date"])
    assert off.bounds(URIRef(f"{piece}#made")) == (None, None, False)
    gone = [(piece, "made", first, last, (claim, URIRef(f"{BASE}claim/gone")))]
    withdrawn = chronology(belief, readings=gone)
    assert withdrawn.bounds(URIRef(f"{piece}#made")) == (None, None, False)
