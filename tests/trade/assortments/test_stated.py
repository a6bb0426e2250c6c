"""Stated absences, superlatives and totals held against lists, each case worked out by hand."""

from fractions import Fraction
from typing import Any

import pytest
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.findings import Severity
from glost.report.as_markdown import markdown
from glost.report.things import Whole, report_of
from glost.report.things.full import SHEET
from glost.trade.assortments.matrix import Status, by_shapes
from glost.trade.assortments.stated import read_proportion

BASE = "https://example.org/shelf/"
SHAPES = """shape,pottery,name,begin,source
ash,harrow,Ash,1900,letter
beech,harrow,Beech,1910,letter
cedar,harrow,Cedar,1920,letter
"""
LISTS = "one,Catalogue One,catalogue,1912,{0}\ntwo,Catalogue Two,catalogue,1925,{0}\n"
OFFERS = """catalogue,shape,form,trade_size
one,ash,egg cup,
one,ash,jug,24s
one,ash,jug,36s
one,ash,jug,42s
one,beech,jug,24s
two,beech,jug,24s
two,beech,jug,36s
two,cedar,plate,8
"""
ABSENCES = "of,lacks,form,trade_size,after,before,source\n"
BEST = "of,superlative,form,trade_size,source\n"
TOTALS = "of,counted,form,ware,date,number,up_to,about,proportion,than,than_date,source\n"


def held(here: Snapshot) -> list[tuple[str, str, str]]:
    """Return the verdict, what bears on it and what would decide it, of each statement."""
    return [(str(h.verdict), h.because, h.deciding) for h in here.holding.all]


def collection(collect: Any, complete: str = "yes", **tables: str) -> Snapshot:
    given = {"shapes": SHAPES, "sources": LISTS.format(complete), "assortments": OFFERS, **tables}
    found = collect(**given)
    assert isinstance(found, Snapshot)
    return found


@pytest.mark.parametrize(
    ("row", "complete", "expected"),
    [
        ("pottery/harrow,article,egg cup,,ash,,letter", "yes",
         ("yes", "had it not: Beech, Cedar", "")),
        ("pottery/harrow,article,egg cup,,ash,,letter", "",
         ("not known", "", "a complete list of Beech, Cedar")),
        ("pottery/harrow,article,egg cup,,,,letter", "yes",
         ("no", "had it: Ash; had it not: Beech, Cedar", "")),
        ("pottery/harrow,article,jug,,,beech,letter", "yes", ("no", "had it: Ash", "")),
        ("pottery/harrow,article,jug,,beech,,letter", "yes", ("yes", "had it not: Cedar", "")),
        ("shape/beech,article,jug,42s,,,letter", "yes", ("yes", "had it not: Beech", "")),
        ("shape/ash,article,jug,42s,,,letter", "", ("no", "had it: Ash", "")),
        ("source/two,article,egg cup,,,,letter", "yes", ("yes", "the list is stated complete", "")),
        ("source/two,article,egg cup,,,,letter", "", ("not known", "", "")),
        ("source/two,article,jug,36s,,,letter", "", ("no", "listed in Beech", "")),
        ("source/one,article,plate,8,,,letter", "yes", ("yes", "the list is stated complete", "")),
    ],
)  # fmt: skip
def test_a_stated_absence_is_held_against_lists(
    collect: Any, row: str, complete: str, expected: tuple[str, str, str]
) -> None:
    assert held(collection(collect, complete, absences=f"{ABSENCES}{row}\n")) == [expected]


def test_a_piece_rules_an_absence_out_and_both_sides_are_shown(collect: Any) -> None:
    here = collection(
        collect,
        absences=ABSENCES + "shape/cedar,article,egg cup,,,,letter\n",
        pieces="piece,shape,form\np1,cedar,egg cup\n",
    )
    (found,) = [f for f in here.findings("shacl") if f.kind == "stated-absence-not-borne-out"]
    assert found.severity == Severity.CONTRADICTION
    assert found.about[0] == f"{BASE}shape/cedar"
    assert found.message == "Stated, Cedar: no egg cup; on record, had it: Cedar."
    assert [side.read_from for side in found.sides] == [
        "tables/absences.csv row 2", "tables/pieces.csv row 2",
    ]  # fmt: skip


def test_a_shape_that_may_have_been_brought_in_later_leaves_it_open(collect: Any) -> None:
    here = collection(
        collect,
        shapes=SHAPES.replace("beech,harrow,Beech,1910", "beech,harrow,Beech,"),
        absences=ABSENCES + "pottery/harrow,article,egg cup,,ash,,letter\n",
    )
    assert held(here) == [("possibly", "had it not: Cedar", "when Beech was brought in")]


@pytest.mark.parametrize(
    ("of", "verdict"),
    [("shape/ash", "no"), ("shape/beech", "not known"), ("pottery/harrow", "no")],
)
def test_that_no_mark_names_a_shape(collect: Any, of: str, verdict: str) -> None:
    here = collection(
        collect,
        absences=f"{ABSENCES}{of},mark,,,,,letter\n",
        marks="mark,pottery,wording,applied,names_shape,source\nm,harrow,ASH,impressed,ash,letter\n",
    )
    ((found, because, _),) = held(here)
    assert found == verdict
    assert ("names Ash" in because) == (verdict == "no")


@pytest.mark.parametrize(
    ("pottery", "read", "expected"),
    [
        # The words on a piece leave open whether they name the shape, and are told.
        ("harrow", "HARROW / BEECH", ("possibly", "Piece marked “HARROW / BEECH” reads HARROW / BEECH",
                                      "whether that names Beech")),
        ("harrow", "Spiked Beech", ("possibly", "Piece marked “Spiked Beech” reads Spiked Beech",
                                    "whether that names Beech")),
        # A longer word is another word, and another maker's mark is none of theirs.
        ("harrow", "BEECHWOOD", ("not known", "", "")),
        ("other", "BEECH", ("not known", "", "")),
    ],
)  # fmt: skip
def test_words_read_on_pieces_are_held_against_it_too(
    collect: Any, pottery: str, read: str, expected: tuple[str, str, str]
) -> None:
    here = collection(
        collect,
        potteries="pottery,name,source\nharrow,Harrow Pottery,letter\nother,Other,letter\n",
        absences=f"{ABSENCES}shape/beech,mark,,,,,letter\n",
        pieces=f"piece,pottery,mark_read\np,{pottery},{read}\n",
    )
    assert held(here) == [expected]


@pytest.mark.parametrize(("maker", "verdict"), [("harrow", "possibly"), ("other", "not known")])
def test_words_of_marks_that_are_not_said_to_name_it(
    collect: Any, maker: str, verdict: str
) -> None:
    here = collection(
        collect,
        potteries="pottery,name,source\nharrow,Harrow Pottery,letter\nother,Other,letter\n",
        absences=f"{ABSENCES}shape/beech,mark,,,,,letter\n",
        marks=f"mark,pottery,wording,applied,source\nm,{maker},Beech Ware,impressed,letter\n",
    )
    assert [found for found, _, _ in held(here)] == [verdict]


@pytest.mark.parametrize(
    ("row", "complete", "verdict"),
    [
        ("shape/ash,last,egg cup,,letter", "yes", "yes"),
        ("shape/ash,last,egg cup,,letter", "", "possibly"),
        ("shape/ash,last,jug,,letter", "", "no"),
        ("shape/beech,last,jug,,letter", "yes", "yes"),
        ("shape/ash,first,jug,,letter", "yes", "yes"),
        ("shape/beech,first,jug,,letter", "yes", "no"),
        ("shape/ash,only,jug,42s,letter", "yes", "yes"),
        ("shape/ash,only,jug,24s,letter", "yes", "no"),
        ("shape/ash,only,egg cup,,letter", "", "possibly"),
        ("shape/cedar,last,egg cup,,letter", "yes", "no"),
        ("shape/cedar,only,egg cup,,letter", "", "no"),
        ("shape/cedar,last,egg cup,,letter", "", "not known"),
        ("shape/ash,most,,,letter", "yes", "yes"),
        ("shape/beech,most,,,letter", "yes", "no"),
        ("shape/beech,fewest,,,letter", "yes", "no"),
        ("shape/cedar,fewest,,,letter", "yes", "yes"),
        ("shape/ash,most,,,letter", "", "possibly"),
        ("shape/ash,most,jug,,letter", "yes", "yes"),
    ],
)
def test_a_superlative_is_held_against_lists(
    collect: Any, row: str, complete: str, verdict: str
) -> None:
    ((found, _, _),) = held(collection(collect, complete, superlatives=f"{BEST}{row}\n"))
    assert found == verdict


FELL = "pottery,name,source\nharrow,Harrow Pottery,letter\nfell,Fell Pottery,letter\n"


@pytest.mark.parametrize(
    ("best", "offer", "complete", "verdict"),
    [
        ("only", "plate", "yes", "yes"),
        ("only", "plate", "", "not known"),
        ("only", "egg cup", "yes", "no"),
        ("first", "egg cup", "yes", "yes"),
        ("last", "egg cup", "yes", "no"),
    ],
)
def test_a_superlative_of_a_pottery_is_among_all_potteries(
    collect: Any, best: str, offer: str, complete: str, verdict: str
) -> None:
    here = collection(
        collect,
        complete,
        potteries=FELL,
        shapes=SHAPES + "elder,fell,Elder,1922,letter\n",
        assortments=OFFERS + f"two,elder,{offer},\n",
        superlatives=f"{BEST}pottery/harrow,{best},egg cup,,letter\n",
    )
    assert held(here)[0][0] == verdict


def test_nothing_that_the_same_source_says_bears_its_statement_out(collect: Any) -> None:
    rows = "pottery/harrow,article,egg cup,,ash,,{}\n"
    tables = {"superlatives": BEST + "shape/ash,only,egg cup,,letter\n"}
    alone = collection(collect, "", absences=ABSENCES + rows.format("letter"), **tables)
    assert held(alone)[0][0] == "not known"


def test_what_another_source_says_does(collect: Any) -> None:
    here = collection(
        collect,
        "",
        absences=ABSENCES + "pottery/harrow,article,egg cup,,ash,,two\n",
        superlatives=BEST + "shape/ash,only,egg cup,,letter\n",
    )
    assert held(here)[0] == ("yes", "had it not: Beech, Cedar", "")


def test_of_two_lasts_one_is_wrong(collect: Any) -> None:
    here = collection(
        collect,
        superlatives=BEST + "shape/ash,last,plate,,letter\nshape/cedar,last,plate,,two\n",
    )
    (found,) = [f for f in here.findings("shacl") if f.kind == "superlative-of-two"]
    assert "Ash" in found.message
    assert "Cedar" in found.message
    assert len(found.sides) == 2


@pytest.mark.parametrize(
    ("row", "complete", "verdict"),
    [
        # Ash: an egg cup and three jugs; Beech: one jug, then two; Cedar: a plate.
        ("shape/ash,articles,,,,4,,,,,", "yes", "yes"),
        ("shape/ash,articles,,,,5,,,,,", "yes", "no"),
        ("shape/ash,articles,,,,3,,,,,", "", "no"),
        ("shape/ash,articles,,,,5,,,,,", "", "possibly"),
        ("shape/ash,articles,,,,4,,,,,", "", "possibly"),
        ("shape/ash,forms,,,,2,,,,,", "yes", "yes"),
        ("shape/ash,sizes,jug,,,3,,,,,", "yes", "yes"),
        ("shape/ash,articles,,flatware,,0,,,,,", "yes", "yes"),
        ("shape/ash,articles,,hollow ware,,4,,,,,", "yes", "yes"),
        ("shape/beech,articles,,,,2,,,,,", "yes", "yes"),
        ("shape/beech,articles,,,1912,2,,,,,", "yes", "no"),
        ("shape/beech,articles,,,1925,2,,,,,", "yes", "yes"),
        ("shape/beech,articles,,,1950,2,,,,,", "yes", "not known"),
        ("source/one,articles,,,,4,,,,,", "yes", "yes"),
        ("source/one,shapes,,,,2,,,,,", "yes", "yes"),
        ("pottery/harrow,articles,,,,5,6,,,,", "yes", "yes"),
        ("pottery/harrow,articles,,,,6,7,,,,", "yes", "no"),
        ("shape/cedar,articles,,,,2,3,,,,", "yes", "no"),
        ("shape/beech,articles,,,1925,,,,1/2,shape/ash,", "yes", "yes"),
        ("shape/beech,articles,,,1912,,,,1/2,shape/ash,", "yes", "no"),
        # A third of four is one and a third, and of whole articles one; two thirds are three.
        ("shape/beech,articles,,,1912,,,,1/3,shape/ash,", "yes", "yes"),
        ("shape/beech,articles,,,1925,,,,2/3,shape/ash,", "yes", "no"),
        ("shape/beech,articles,,,1912,,,,25 %,shape/ash,1912", "yes", "yes"),
        ("shape/beech,articles,,,1912,,,,1/2,shape/ash,", "", "possibly"),
        ("shape/beech,articles,,,1912,,,,1/2,shape/ash,1950", "yes", "not known"),
    ],
)
def test_a_total_is_held_against_what_lists_show(
    collect: Any, row: str, complete: str, verdict: str
) -> None:
    here = collection(collect, complete, totals=f"{TOTALS}{row},letter\n")
    assert held(here)[0][0] == verdict


@pytest.mark.parametrize(
    ("number", "about", "verdict"),
    [(19, "", "yes"), (20, "", "no"), (17, "", "yes"), (16, "", "no"), (20, "yes", "yes"),
     (21, "yes", "yes"), (22, "yes", "no")],
)  # fmt: skip
def test_where_a_half_ends(collect: Any, number: int, about: str, verdict: str) -> None:
    """Half of thirty-six: a twentieth of the whole is 1.8, a tenth 3.6."""
    many = "catalogue,shape,form,trade_size\n" + "".join(
        f"one,{shape},jug,{n}s\n"
        for shape, count in (("ash", 36), ("beech", number))
        for n in range(count)
    )
    row = f"shape/beech,articles,,,,,,{about},1/2,shape/ash,,letter\n"
    here = collection(collect, assortments=many, totals=TOTALS + row)
    assert held(here)[0][0] == verdict


@pytest.mark.parametrize(
    ("number", "about", "verdict"),
    [(40, "yes", "yes"), (41, "yes", "no"), (33, "yes", "yes"), (32, "yes", "no"), (40, "", "no")],
)
def test_where_about_ends(collect: Any, number: int, about: str, verdict: str) -> None:
    many = "catalogue,shape,form,trade_size\n" + "".join(f"one,ash,jug,{n}s\n" for n in range(36))
    row = f"shape/ash,articles,,,,{number},,{about},,,,letter\n"
    here = collection(collect, assortments=many, totals=TOTALS + row)
    assert held(here)[0][0] == verdict


def test_a_total_not_borne_out_shows_both_sides(collect: Any) -> None:
    here = collection(collect, totals=TOTALS + "shape/ash,articles,,,,80,,yes,,,,letter\n")
    (found,) = [f for f in here.findings("shacl") if f.kind == "stated-total-not-borne-out"]
    assert found.message == "Stated, Ash: about 80 articles; on record, lists of Ash show 4."
    assert [side.read_from for side in found.sides] == [
        "tables/totals.csv row 2", "tables/sources.csv row 3",
    ]  # fmt: skip


def test_proportions_as_written() -> None:
    assert read_proportion("2/3") == Fraction(2, 3)
    assert read_proportion("50 %") == Fraction(1, 2)
    assert read_proportion("12.5%") == Fraction(1, 8)


def test_the_matrix_of_shapes_goes_by_stated_absences(collect: Any) -> None:
    here = collection(
        collect,
        "",
        absences=ABSENCES + "pottery/harrow,article,egg cup,,,,letter\n",
    )
    shapes = [URIRef(f"{BASE}shape/{name}") for name in ("ash", "beech", "cedar")]
    for by_form in (False, True):
        found = by_shapes(here.lists, shapes, by_form=by_form, absent=here.having.denying)
        egg = next(article for article in found.articles if "egg-cup" in article.form)
        cells = [found.cells[egg, column] for column in found.columns]
        assert [c.status for c in cells] == [Status.DISPUTED, Status.ABSENT, Status.ABSENT]
        assert {str(claim.origin) for claim in cells[1].claims} == {"tables/absences.csv row 2"}
        without = by_shapes(here.lists, shapes, by_form=by_form)
        assert without.cells[egg, without.columns[1]].status == Status.NOT_SEEN


def test_the_question_and_the_sheet_tell_what_is_stated(collect: Any) -> None:
    here = collection(collect, superlatives=BEST + "shape/ash,last,egg cup,,letter\n")
    (row,) = here.answers.ask("stated-of-lists").rows
    assert [str(value) for value in row.values[1:4]] == [
        "superlative", "Ash: last egg cup", "yes",
    ]  # fmt: skip
    assert {str(claim.origin) for claim in row.support} > {
        "tables/superlatives.csv row 2", "tables/assortments.csv row 2", "tables/sources.csv row 3",
    }  # fmt: skip
    text = markdown(report_of(Whole(here), URIRef(f"{BASE}shape/ash"), SHEET))
    assert "Ash: last egg cup. Borne out: yes; listed in Catalogue One" in text
