"""Assortments of a made-up pottery with three shapes, every answer worked out by hand."""

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.trade.assortments.compare import ArticleStanding, ComparedSide, Comparison, compare
from glost.trade.assortments.counts import dozens, read_count, reduction
from glost.trade.assortments.forms import WareClass
from glost.trade.assortments.lines import lines_before
from glost.trade.assortments.lists import Article, Complete, Lists, plain_size, steps
from glost.trade.assortments.matrix import Cell, Matrix, MatrixColumn, Status, by_lists, by_shapes
from glost.trade.assortments.shape import assortment_result
from shelf import write

BASE = "https://example.org/shelf/"
SOURCES = """source,title,kind,date,complete
one,List One,catalogue,1901,yes
two,List Two,catalogue,1904,no
three,List Three,price-list,1904~,
four,List Four,catalogue,1909,yes
letter,[A letter],letter,1912-03,
"""
SHAPES = """shape,pottery,name,begin,source
alder,harrow,Alder,1900,letter
birch,harrow,Birch,1903,letter
cedar,harrow,Cedar,1908,letter
"""
ASSORTMENTS = """catalogue,shape,form,trade_size,count,measured,item
one,alder,plate,8 in,,9 7/8 in,1
one,alder,plate,7,,,2
one,alder,teapot,,30s,,3
one,alder,bone dish,,,,4
two,alder,plate,8,,,1
two,alder,teapot,,24s,,2
two,birch,plate,8,,,11
two,birch,jug,24s,24s,,12
three,birch,plate,8,,,1
four,alder,plate,8,,,1
four,alder,sugar,30s,30s,,2
four,cedar,plate,8,,,3
four,cedar,trivet,,,,4
"""
TERMS = """scheme,term,name,broader,definition,source
form,trivet,trivet,flatware,A trivet stands under a hot pot.,letter
"""
PIECES = "piece,shape,form,trade_size\np1,birch,bone dish,\np2,alder,plate,8 inches\np3,birch,jug,30s\np4,alder,plate,\n"
ARTICLES = """shape,form,trade_size,produced,source
cedar,vase,,no,letter
alder,bone dish,,no,letter
"""


def form(name: str) -> URIRef:
    return URIRef(f"https://w3id.org/glost/form/{name}")


def shape(name: str) -> URIRef:
    return URIRef(f"{BASE}shape/{name}")


def source(name: str) -> URIRef:
    return URIRef(f"{BASE}source/{name}")


def snapshot(folder: Path, **tables: str) -> Snapshot:
    given = {
        "sources": SOURCES,
        "shapes": SHAPES,
        "assortments": ASSORTMENTS,
        "terms": TERMS,
        "pieces": PIECES,
        "articles": ARTICLES,
        "treatments": "",
        "potteries": "pottery,name,source\nharrow,Harrow Pottery,letter\n",
        "flatware": "shape,with,source,locator\nalder,birch,letter,second page\n",
    }
    return Snapshot(write(folder / "c", **{**given, **tables}))


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Snapshot:
    return snapshot(tmp_path_factory.mktemp("assortments"))


@pytest.fixture(scope="module")
def lists(here: Snapshot) -> Lists:
    return Lists(here.belief, here.record.collection.margin)


def between(lists: Lists, first: str, second: str, of: str = "alder") -> Comparison:
    def side(name: str) -> ComparedSide:
        return ComparedSide(
            shape(of), tuple(e for e in lists.of(shape(of)) if e.list == source(name))
        )

    return compare(side(first), side(second), lists)


def standings(found: Comparison) -> dict[tuple[str, str], ArticleStanding]:
    return {
        (change.article.form.rsplit("/", 1)[-1], change.article.size): change.standing
        for change in found.changes
    }


def test_lists_are_read_in_their_order_with_what_they_claim_of_themselves(lists: Lists) -> None:
    found = [
        (e.list.rsplit("/", 1)[-1], len(e.articles), e.years) for e in lists.of(shape("alder"))
    ]
    assert found == [("one", 4, "1901"), ("two", 2, "1904"), ("four", 2, "1909")]
    complete = {e.list.rsplit("/", 1)[-1]: e.complete for e in lists.all}
    assert complete == {
        "one": Complete.YES, "two": Complete.NO, "three": Complete.UNSAID, "four": Complete.YES,
    }  # fmt: skip


def test_articles_are_counted_by_class_by_the_form_scheme_and_the_collections_own_terms(
    lists: Lists,
) -> None:
    alder = lists.of(shape("alder"))[0]
    counts = lists.forms.counted(article.form for article in alder.articles)
    assert counts == {WareClass.FLATWARE: 3, WareClass.HOLLOW: 1, WareClass.UNTOLD: 0}
    assert lists.forms.class_of(URIRef(f"{BASE}nothing")) == WareClass.UNTOLD
    cedar = lists.of(shape("cedar"))[0]
    own = [a.form for a in cedar.articles if "trivet" in a.form]
    assert [lists.forms.class_of(each) for each in own] == [WareClass.FLATWARE]


def test_an_article_is_lost_only_if_a_complete_list_lacks_it(lists: Lists) -> None:
    assert standings(between(lists, "one", "two")) == {
        ("bone-dish", ""): ArticleStanding.NOT_AFTER,
        ("plate", "7"): ArticleStanding.NOT_AFTER,
        ("plate", "8"): ArticleStanding.CARRIED,
        ("teapot", ""): ArticleStanding.CARRIED,
    }
    assert standings(between(lists, "two", "four")) == {
        ("plate", "8"): ArticleStanding.CARRIED,
        ("sugar", "30s"): ArticleStanding.NOT_BEFORE,
        ("teapot", ""): ArticleStanding.LOST,
    }


def test_a_loss_rests_on_the_offer_and_on_the_claim_of_completeness(lists: Lists) -> None:
    (lost,) = [
        c for c in between(lists, "two", "four").changes if c.standing == ArticleStanding.LOST
    ]
    assert [str(claim.origin) for claim in lost.claims] == [
        "tables/assortments.csv row 7", "tables/sources.csv row 5",
    ]  # fmt: skip


def test_overlap_share_jaccard_and_reduction(lists: Lists) -> None:
    found = between(lists, "one", "four")
    assert found.carried == 1
    assert found.share_of_first == 25
    assert found.share_of_second == 50
    assert found.jaccard == Fraction(1, 5)
    assert found.reduction == 50
    assert found.comparable
    assert not between(lists, "one", "two").comparable


def test_counts_and_trade_sizes_are_never_mixed(here: Snapshot, lists: Lists) -> None:
    """A teapot of 30s by count and one of 24s are one article of no trade size, and differ in count."""
    changes = {c.article: c for c in between(lists, "one", "two").changes}
    assert changes[Article(form("teapot"))].remark == "count 30s, then 24s"
    assert changes[Article(form("plate"), "8")].remark == ""  # the second gives no measured size
    sizes = {e.form: e for e in assortment_result(here.having, here.words, shape("alder")).sizes}
    assert (sizes[form("teapot")].trade, sizes[form("teapot")].counts) == ((), ("24s", "30s"))
    assert sizes[form("plate")].trade == ("7", "8", "8 in")
    assert sizes[form("plate")].measured == ("9 7/8 in",)


def test_each_list_is_set_against_the_latest_that_is_certainly_earlier(lists: Lists) -> None:
    alder = [(a.list, b.list) for a, b in steps(lists.of(shape("alder")))]
    assert alder == [(source("one"), source("two")), (source("two"), source("four"))]
    assert steps(lists.of(shape("birch"))) == []  # 1904 and about 1904


def test_a_list_of_two_dates_is_of_either_and_none_is_before_one_of_the_same_day(
    tmp_path: Path,
) -> None:
    sources = SOURCES.replace("one,List One,catalogue,1901,", "one,List One,catalogue,1901-05-01,")
    dates = "one,List One,catalogue,1903,\ntwo,List Two,catalogue,../1903,\n"
    here = snapshot(tmp_path, sources=sources.replace("1909,yes", "1903-12-31,yes") + dates)
    found = Lists(here.belief)  # by the dates given alone
    days = {e.list: (e.earliest, e.latest) for e in found.of(shape("alder"))}
    one, two, four = (days[source(name)] for name in ("one", "two", "four"))
    assert one[0] == date(1901, 5, 1).toordinal() and one[1] == date(1903, 12, 31).toordinal()
    assert two == (None, date(1904, 12, 31).toordinal())  # one of its dates is open
    assert four == (one[1], one[1])
    assert [(a.list, b.list) for a, b in steps(found.of(shape("alder")))] == []


def test_two_lines_are_compared_by_all_their_lists_and_say_what_they_share(lists: Lists) -> None:
    def line(name: str) -> ComparedSide:
        return ComparedSide(shape(name), lists.of(shape(name)))

    found = compare(line("alder"), line("birch"), lists)
    assert standings(found) == {
        ("bone-dish", ""): ArticleStanding.NOT_AFTER,
        ("jug", "24s"): ArticleStanding.GAINED,
        ("plate", "7"): ArticleStanding.NOT_AFTER,
        ("plate", "8"): ArticleStanding.CARRIED,
        ("sugar", "30s"): ArticleStanding.NOT_AFTER,
        ("teapot", ""): ArticleStanding.NOT_AFTER,
    }
    assert [claim.passage.locator for claim in found.sharing] == ["second page"]
    assert compare(line("birch"), line("alder"), lists).sharing == found.sharing


def test_sizes_may_be_left_out_of_account(lists: Lists) -> None:
    side = ComparedSide(shape("alder"), lists.of(shape("alder")), by_form=True)
    assert [article.form.rsplit("/", 1)[-1] for article in side.articles] == [
        "bone-dish", "plate", "sugar", "teapot",
    ]  # fmt: skip


def test_a_line_is_set_against_the_one_listed_before_it(here: Snapshot, lists: Lists) -> None:
    assert lines_before(lists, shape("alder")) == ()
    assert lines_before(lists, shape("birch")) == (shape("alder"),)
    assert lines_before(lists, shape("cedar")) == (shape("birch"),)
    (found,) = assortment_result(here.having, here.words, shape("cedar")).before
    assert standings(found) == {
        ("jug", "24s"): ArticleStanding.LOST,
        ("plate", "8"): ArticleStanding.CARRIED,
        ("trivet", ""): ArticleStanding.NOT_BEFORE,
    }


def cell(matrix: Matrix, column: MatrixColumn, of: str, size: str = "") -> Cell:
    return matrix.cells[Article(form(of), size), column]


def test_the_matrix_by_lists(lists: Lists) -> None:
    matrix = by_lists(lists, shape("alder"))
    one, two, four = matrix.columns
    assert [column.years for column in matrix.columns] == ["1901", "1904", "1909"]
    assert cell(matrix, one, "plate", "7").status == Status.OFFERED
    assert cell(matrix, two, "plate", "7") == Cell(Status.NOT_SEEN)
    absent = cell(matrix, four, "plate", "7")
    assert absent.status == Status.DROPPED  # List One, certainly earlier, has it
    assert [str(claim.origin) for claim in absent.claims] == [
        "tables/assortments.csv row 3", "tables/sources.csv row 5",
    ]  # fmt: skip
    before = cell(matrix, one, "sugar", "30s")
    assert before.status == Status.ABSENT
    assert [str(claim.origin) for claim in before.claims] == ["tables/sources.csv row 2"]
    assert set(matrix.cells) == {(a, c) for a in matrix.articles for c in matrix.columns}


def test_the_matrix_by_shapes(lists: Lists) -> None:
    matrix = by_shapes(lists, [shape(name) for name in ("alder", "birch", "cedar")])
    alder, birch, cedar = matrix.columns
    assert cell(matrix, cedar, "jug", "24s").status == Status.ABSENT
    assert cell(matrix, birch, "sugar", "30s").status == Status.NOT_SEEN
    assert cell(matrix, birch, "bone-dish").status == Status.SHOWN
    assert cell(matrix, birch, "jug", "30s").status == Status.SHOWN
    assert Article(form("plate")) not in matrix.articles  # p4 goes by no size, and Alder has plates
    # Offered in List One, and the letter says that it was never produced.
    disputed = cell(matrix, alder, "bone-dish")
    assert disputed.status == Status.DISPUTED
    assert {str(claim.origin) for claim in disputed.claims} == {
        "tables/articles.csv row 3", "tables/assortments.csv row 5",
    }  # fmt: skip


def test_nothing_is_absent_from_a_list_whose_completeness_is_disputed(tmp_path: Path) -> None:
    again = SOURCES + "four,List Four,catalogue,1909,no\n"
    lists = Lists(snapshot(tmp_path, sources=again).belief)
    matrix = by_lists(lists, shape("alder"))
    four = matrix.columns[-1]
    assert cell(matrix, four, "plate", "7").status == Status.DISPUTED
    assert standings(between(lists, "two", "four"))["teapot", ""] == ArticleStanding.NOT_AFTER


def test_a_withdrawn_row_is_no_offer(tmp_path: Path) -> None:
    rows = ASSORTMENTS.replace("measured,item\n", "measured,item,claim\n").replace(
        "four,alder,sugar,30s,30s,,2", "four,alder,sugar,30s,30s,,2,misread"
    )
    gone = "withdraws,reason,source\nmisread,It is a slop bowl,letter\n"
    lists = Lists(snapshot(tmp_path, assortments=rows, corrections=gone).belief)
    assert [a.form.rsplit("/", 1)[-1] for a in lists.of(shape("alder"))[-1].articles] == ["plate"]


def test_a_count_that_cannot_be_read_is_found(tmp_path: Path) -> None:
    rows = ASSORTMENTS.replace("teapot,,30s", "teapot,,thirty")
    (found,) = [
        f
        for f in snapshot(tmp_path, assortments=rows).findings("shacl")
        if f.kind == "count-not-understood"
    ]
    assert '"thirty"' in found.message
    assert [side.read_from for side in found.sides] == ["tables/assortments.csv row 4"]


@pytest.mark.parametrize(
    ("text", "count"),
    [("36s", 36), ("36 s", 36), ("6S", 6), ("24", 24), ("8 in", None), ("0s", None)],
)
def test_counts_as_written(text: str, count: int | None) -> None:
    assert read_count(text) == count


@pytest.mark.parametrize(
    ("text", "plain"),
    [("8 in", "8"), ('8"', "8"), ("8 inches", "8"), ("30s", "30s"), ("pie, 9", "pie, 9")],
)
def test_trade_sizes_are_compared_without_words_for_inches(text: str, plain: str) -> None:
    assert plain_size(text) == plain


def test_what_cannot_be_reckoned_is_refused() -> None:
    assert reduction(0, 5) is None
    assert reduction(4, 5) == -25
    with pytest.raises(ValueError, match="count above 0"):
        dozens(12, 0)


def test_modelled_and_never_produced_is_told_from_no_longer_offered(lists: Lists) -> None:
    by_list = by_lists(lists, shape("cedar"))
    (four,) = by_list.columns
    vase = cell(by_list, four, "vase")
    assert vase.status == Status.NEVER
    assert [str(claim.origin) for claim in vase.claims] == ["tables/articles.csv row 2"]
    for by_form in (False, True):
        matrix = by_shapes(lists, [shape(n) for n in ("alder", "birch", "cedar")], by_form=by_form)
        alder, birch, cedar = matrix.columns
        assert cell(matrix, cedar, "vase").status == Status.NEVER
        assert cell(matrix, alder, "vase").status == Status.ABSENT
        assert cell(matrix, birch, "vase").status == Status.NOT_SEEN


def test_what_one_list_offers_though_never_produced_is_disputed_in_that_list(lists: Lists) -> None:
    matrix = by_lists(lists, shape("alder"))
    found = {c.years: cell(matrix, c, "bone-dish") for c in matrix.columns}
    assert {years: each.status for years, each in found.items()} == {
        "1901": Status.DISPUTED, "1904": Status.NEVER, "1909": Status.NEVER,
    }  # fmt: skip
    assert {str(claim.origin) for claim in found["1901"].claims} == {
        "tables/assortments.csv row 5", "tables/articles.csv row 3",
    }  # fmt: skip


def test_a_form_produced_in_one_size_is_no_form_never_produced(tmp_path: Path) -> None:
    articles = """shape,form,trade_size,produced,source
cedar,jug,24s,no,letter
cedar,jug,36s,yes,letter
cedar,plate,9,no,letter
birch,jug,30s,no,letter
birch,mug,,no,letter
"""
    lists = Lists(snapshot(tmp_path, articles=articles).belief)
    by_form = by_shapes(lists, [shape("birch"), shape("cedar")], by_form=True)
    birch, cedar = by_form.columns
    assert cell(by_form, birch, "mug").status == Status.NEVER
    assert cell(by_form, birch, "jug").status == Status.OFFERED
    assert cell(by_form, cedar, "plate").status == Status.OFFERED
    jug = cell(by_form, cedar, "jug")
    assert (jug.status, [str(c.origin) for c in jug.claims]) == (
        Status.SAID, ["tables/articles.csv row 3"],
    )  # fmt: skip
    each = by_shapes(lists, [shape("birch"), shape("cedar")])
    assert cell(each, each.columns[1], "plate", "9").status == Status.NEVER
    assert cell(each, each.columns[1], "jug", "36s").status == Status.SAID
    assert cell(each, each.columns[1], "jug", "24s").status == Status.NEVER


VARIANTS = """catalogue,shape,form,trade_size,variant,item,note
one,alder,covered dish,8,With Cover,7,
one,alder,covered dish,8,without cover,,
four,alder,covered dish,8,with  cover,,
two,alder,plate,8,,,
two,alder,plate,8,,,second column
two,alder,cup,,,9,
two,alder,cup,,,10,
"""


def test_variants_alike_in_form_and_size_are_two_articles_and_two_offerings(tmp_path: Path) -> None:
    here = snapshot(tmp_path, assortments=VARIANTS)
    lists = Lists(here.belief)
    one = lists.of(shape("alder"))[0]
    dish = form("covered-dish")
    assert list(one.articles) == [
        Article(dish, "8", "with cover"),
        Article(dish, "8", "without cover"),
    ]
    assert len(one.offers) == 2
    changes = {c.article.variant: c.standing for c in between(lists, "one", "four").changes}
    assert changes == {"with cover": ArticleStanding.CARRIED, "without cover": ArticleStanding.LOST}
    asked = here.answers.ask("changes-of-assortment", shape="alder").rows
    assert {
        (str(row.values[5]), str(row.values[6]))
        for row in asked
        if "covered" in str(row.values[3]) and str(row.values[2]).endswith("two")
    } == {("with cover", "not seen after"), ("without cover", "not seen after")}


def test_a_piece_that_tells_no_variant_shows_no_third_article(tmp_path: Path) -> None:
    pieces = "piece,shape,form,trade_size\np1,alder,covered dish,8\np2,alder,covered dish,10\n"
    lists = Lists(snapshot(tmp_path, assortments=VARIANTS, pieces=pieces).belief)
    found = [a for a in by_shapes(lists, [shape("alder")]).articles if "covered" in a.form]
    assert [(a.size, a.variant) for a in found] == [
        ("8", "with cover"), ("8", "without cover"), ("10", ""),
    ]  # fmt: skip


def test_rows_of_a_list_that_differ_in_a_note_alone_are_both_named(tmp_path: Path) -> None:
    found = [
        f
        for f in snapshot(tmp_path, assortments=VARIANTS).findings("shacl")
        if f.kind == "list-rows-alike"
    ]
    (alike,) = found  # rows 2 and 3 differ in the variant, rows 7 and 8 in the item
    assert [side.read_from for side in alike.sides] == [
        "tables/assortments.csv row 5", "tables/assortments.csv row 6",
    ]  # fmt: skip
    assert 'tables/assortments.csv row 5 and tables/assortments.csv row 6 (note: "second' in (
        alike.message
    )
