"""Which shape was first, last or alone, each case small enough to be worked out by hand."""

from typing import Any

import pytest
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.trade.assortments.having import covers
from glost.trade.assortments.lists import Article
from glost.verdicts import Verdict

SHAPES = """shape,pottery,name,begin,source
ash,harrow,Ash,1900,letter
beech,harrow,Beech,1910,letter
cedar,harrow,Cedar,1920,letter
"""
OPEN = "shape,pottery,name,source\nash,harrow,Ash,letter\nbeech,harrow,Beech,letter\n"
Row = tuple[str, str]


def told(here: Snapshot, question: str, **given: Any) -> dict[str, Row]:
    """Return, by shape, the verdict and what would decide it."""
    answer = here.answers.ask(question, **given)
    names = list(answer.columns)
    at = [names.index(name) for name in ("shape", "verdict", "deciding")]
    return {
        str(row.values[at[0]]).rsplit("/", 1)[-1]: (
            str(row.values[at[1]]),
            str(row.values[at[2]] or ""),
        )
        for row in answer.rows
    }


def cell(here: Snapshot, question: str, shape: str, column: str, **given: Any) -> str:
    answer = here.answers.ask(question, **given)
    (value,) = {
        str(row.values[answer.columns.index(column)] or "")
        for row in answer.rows
        if str(row.values[answer.columns.index("shape")]).endswith(f"/{shape}")
    }
    return value


def verdicts(here: Snapshot, question: str, **given: Any) -> dict[str, str]:
    return {shape: verdict for shape, (verdict, _) in told(here, question, **given).items()}


def origins(here: Snapshot, question: str, shape: str, **given: Any) -> set[str]:
    answer = here.answers.ask(question, **given)
    at = answer.columns.index("shape")
    return {
        str(claim.origin).removeprefix("tables/")
        for row in answer.rows
        if str(row.values[at]).endswith(f"/{shape}")
        for claim in row.support
    }


def rows(*lines: str) -> str:
    return "catalogue,shape,form\n" + "\n".join(lines) + "\n"


CATALOGUE = "one,Catalogue One,catalogue,1925,{}\n"


def test_with_one_catalogue_the_shape_brought_in_last_is_the_last(collect: Any) -> None:
    here = collect(
        shapes=SHAPES,
        sources=CATALOGUE.format("yes"),
        assortments=rows("one,ash,egg cup", "one,beech,egg cup", "one,cedar,plate"),
    )
    asked = {"form": "egg cup"}
    assert told(here, "last-to-offer", **asked) == {"beech": ("yes", "")}
    assert told(here, "first-to-offer", **asked) == {"ash": ("yes", "")}
    assert cell(here, "last-to-offer", "beech", "because", **asked) == (
        "listed in Catalogue One; brought in 1910, after Ash (1900); Cedar had it not"
    )
    assert cell(here, "first-to-offer", "ash", "because", **asked) == (
        "listed in Catalogue One; brought in 1900, before Beech (1910)"
    )
    assert origins(here, "last-to-offer", "beech", **asked) == {
        "assortments.csv row 2", "assortments.csv row 3", "shapes.csv row 2", "shapes.csv row 3",
        "sources.csv row 3",
    }  # fmt: skip
    (row,) = here.answers.ask("last-to-offer", **asked).rows
    assert [str(value).rsplit("/", 1)[-1] for value in row.values[6:]] == ["one", "1925", "1925"]


def test_a_later_shape_without_a_complete_list_may_have_had_it(collect: Any) -> None:
    here = collect(
        shapes=SHAPES,
        sources=CATALOGUE.format(""),
        assortments=rows("one,ash,egg cup", "one,beech,egg cup", "one,cedar,plate"),
    )
    assert told(here, "last-to-offer", form="egg cup") == {
        "beech": ("possibly", "whether Cedar had it: no list stated complete")
    }
    assert verdicts(here, "first-to-offer", form="egg cup") == {"ash": "yes"}


def test_where_it_is_open_which_was_brought_in_first_nothing_is_known(collect: Any) -> None:
    here = collect(
        shapes=OPEN,
        sources=CATALOGUE.format("yes"),
        assortments=rows("one,ash,egg cup", "one,beech,egg cup"),
    )
    for question, when in (("first-to-offer", "earlier"), ("last-to-offer", "later")):
        found = told(here, question, form="egg cup")
        assert {shape: verdict for shape, (verdict, _) in found.items()} == {
            "ash": "not known", "beech": "not known",
        }  # fmt: skip
        assert all(f"was brought in {when} (" in deciding for _, deciding in found.values())


def test_bounds_that_overlap_decide_nothing(collect: Any) -> None:
    shapes = "shape,pottery,name,begin,source\n"
    shapes += "ash,harrow,Ash,1900/1912,letter\nbeech,harrow,Beech,1910/1915,letter\n"
    here = collect(
        shapes=shapes,
        sources=CATALOGUE.format("yes"),
        assortments=rows("one,ash,egg cup", "one,beech,egg cup"),
    )
    assert verdicts(here, "last-to-offer", form="egg cup") == {
        "ash": "not known", "beech": "not known",
    }  # fmt: skip


def test_where_the_order_is_open_the_dates_of_lists_speak(collect: Any) -> None:
    here = collect(
        shapes=OPEN,
        sources=CATALOGUE.format("yes") + "two,Catalogue Two,catalogue,1930,yes\n",
        assortments=rows("one,ash,egg cup", "two,beech,egg cup"),
    )
    assert verdicts(here, "first-to-offer", form="egg cup") == {
        "ash": "possibly", "beech": "not known",
    }  # fmt: skip
    assert verdicts(here, "last-to-offer", form="egg cup") == {
        "ash": "not known", "beech": "possibly",
    }  # fmt: skip
    assert cell(here, "last-to-offer", "beech", "because", form="egg cup") == (
        "listed in Catalogue Two; Ash had it too, in lists that are all earlier"
    )


@pytest.mark.parametrize(("date", "lists"), [("1920/..", {"open"}), ("", {"one", "open"})])
def test_a_list_whose_end_is_open_may_be_the_last_of_a_shape(
    collect: Any, date: str, lists: set[str]
) -> None:
    here = collect(
        shapes=SHAPES,
        sources=f"one,Catalogue One,catalogue,1905,\nopen,Open,price-list,{date},\n",
        assortments=rows("one,ash,egg cup", "open,ash,egg cup"),
    )
    found = here.answers.ask("last-to-offer", form="egg cup").rows
    assert {str(row.values[6]).rsplit("/", 1)[-1] for row in found} == lists
    assert {str(row.values[8] or "") for row in found} >= {""}
    first = here.answers.ask("first-to-offer", form="egg cup").rows
    named = {str(row.values[6]).rsplit("/", 1)[-1] for row in first}
    assert named == ({"one"} if date else {"one", "open"})


def test_an_order_without_dates_decides(collect: Any) -> None:
    here = collect(
        shapes=OPEN,
        sources=CATALOGUE.format("yes"),
        assortments=rows("one,ash,egg cup", "one,beech,egg cup"),
        sequences="thing,thing_point,relation,other,other_point,source\n"
        "shape/ash,begin,before,shape/beech,begin,letter\n",
    )
    assert verdicts(here, "first-to-offer", form="egg cup") == {"ash": "yes"}
    assert verdicts(here, "last-to-offer", form="egg cup") == {"beech": "yes"}
    assert "sequences.csv row 2" in origins(here, "last-to-offer", "beech", form="egg cup")


def test_a_disputed_beginning_is_told_and_its_order_not_relied_on(collect: Any) -> None:
    shapes = SHAPES + "ash,harrow,Ash,1915,letter\n"
    here = collect(
        shapes=shapes,
        sources=CATALOGUE.format("yes"),
        assortments=rows("one,ash,egg cup", "one,beech,egg cup", "one,cedar,plate"),
    )
    found = verdicts(here, "first-to-offer", form="egg cup")
    assert found == {"ash": "not known", "beech": "not known"}
    assert "when Ash was brought in" in cell(
        here, "first-to-offer", "ash", "disputed", form="egg cup"
    )


def test_an_order_that_holds_under_every_reading_decides(collect: Any) -> None:
    here = collect(
        shapes=SHAPES + "ash,harrow,Ash,1896,letter\n",
        sources=CATALOGUE.format("yes"),
        assortments=rows("one,ash,egg cup", "one,beech,egg cup", "one,cedar,plate"),
    )
    assert verdicts(here, "first-to-offer", form="egg cup") == {"ash": "yes"}
    assert verdicts(here, "last-to-offer", form="egg cup") == {"beech": "yes"}


PRODUCED = "shape,form,trade_size,produced,source\n"


@pytest.mark.parametrize("relation", ["before", ""])
def test_an_order_that_takes_part_in_no_contradiction_decides_beside_a_disputed_date(
    collect: Any, relation: str
) -> None:
    """Sources differ on when Ash came; that it came before Beech, none disputes."""
    sequences = "thing,thing_point,relation,other,other_point,source\n"
    order = "shape/ash,begin,before,shape/beech,begin,letter\n"
    here = collect(
        shapes="shape,pottery,name,begin,source\nash,harrow,Ash,1900,letter\n"
        "ash,harrow,Ash,1920,one\nbeech,harrow,Beech,,letter\n",
        sources=CATALOGUE.format("yes"),
        assortments=rows("one,ash,egg cup", "one,beech,egg cup"),
        **({"sequences": sequences + order} if relation else {}),
    )
    found = verdicts(here, "last-to-offer", form="egg cup")
    both = {"ash": "not known", "beech": "not known"}
    assert found == ({"beech": "yes"} if relation else both)


def test_what_a_source_says_was_produced_counts(collect: Any) -> None:
    here = collect(
        shapes=SHAPES,
        sources=CATALOGUE.format("yes"),
        assortments=rows("one,ash,egg cup", "one,cedar,plate"),
        articles=PRODUCED + "beech,egg cup,,yes,letter\ncedar,egg cup,,no,letter\n",
    )
    assert verdicts(here, "last-to-offer", form="egg cup") == {"beech": "yes"}
    assert cell(here, "last-to-offer", "beech", "because", form="egg cup").startswith(
        "said to be produced; brought in 1910, after Ash (1900); Cedar had it not"
    )
    assert {"articles.csv row 2", "articles.csv row 3"} < origins(
        here, "last-to-offer", "beech", form="egg cup"
    )


def test_a_row_that_does_not_say_whether_it_was_produced_counts_for_nothing(collect: Any) -> None:
    here = collect(
        shapes=SHAPES,
        sources=CATALOGUE.format(""),
        assortments=rows("one,ash,egg cup"),
        articles=PRODUCED + "beech,egg cup,,,letter\n",
    )
    assert verdicts(here, "last-to-offer", form="egg cup") == {"ash": "possibly"}


def test_what_is_offered_and_said_never_to_be_produced_is_disputed(collect: Any) -> None:
    here = collect(
        shapes=SHAPES,
        sources=CATALOGUE.format("yes"),
        assortments=rows("one,ash,egg cup", "one,beech,egg cup", "one,cedar,plate"),
        articles=PRODUCED + "beech,egg cup,,no,letter\n",
    )
    found = told(here, "last-to-offer", form="egg cup")
    assert {shape: verdict for shape, (verdict, _) in found.items()} == {
        "ash": "possibly", "beech": "possibly",
    }  # fmt: skip
    assert "Beech" in found["ash"][1]
    assert cell(here, "last-to-offer", "beech", "disputed", form="egg cup") == (
        "whether Beech had it"
    )
    assert verdicts(here, "first-to-offer", form="egg cup") == {"ash": "yes"}


def test_one_size_never_produced_is_nothing_against_another(collect: Any) -> None:
    here = collect(
        shapes=SHAPES,
        sources=CATALOGUE.format("yes"),
        assortments="catalogue,shape,form,trade_size\none,ash,jug,24s\none,beech,jug,24s\n"
        "one,cedar,plate,8\n",
        articles=PRODUCED + "beech,jug,36s,no,letter\n",
    )
    assert verdicts(here, "last-to-offer", form="jug") == {"beech": "yes"}


ABSENCES = "of,lacks,form,after,before,source\n"


def test_a_stated_absence_stands_for_a_complete_list(collect: Any) -> None:
    tables = {
        "shapes": SHAPES,
        "sources": CATALOGUE.format(""),
        "assortments": rows("one,ash,egg cup", "one,beech,egg cup"),
    }
    here = collect(**tables, absences=ABSENCES + "pottery/harrow,article,egg cup,beech,,letter\n")
    assert verdicts(here, "last-to-offer", form="egg cup") == {"beech": "yes"}
    assert "absences.csv row 2" in origins(here, "last-to-offer", "beech", form="egg cup")


def test_no_earlier_shape_had_it(collect: Any) -> None:
    here = collect(
        shapes=SHAPES,
        sources=CATALOGUE.format(""),
        assortments=rows("one,cedar,egg cup"),
        absences=ABSENCES + "pottery/harrow,article,egg cup,,cedar,letter\n",
    )
    assert verdicts(here, "first-to-offer", form="egg cup") == {"cedar": "yes"}
    assert verdicts(here, "last-to-offer", form="egg cup") == {"cedar": "yes"}


BEST = "of,superlative,form,source\n"


def test_a_superlative_decides_what_is_open(collect: Any) -> None:
    here = collect(
        shapes=OPEN,
        sources=CATALOGUE.format(""),
        assortments=rows("one,ash,egg cup", "one,beech,egg cup"),
        superlatives=BEST + "shape/ash,last,egg cup,letter\n",
    )
    assert told(here, "last-to-offer", form="egg cup") == {"ash": ("yes", "")}
    assert "superlatives.csv row 2" in origins(here, "last-to-offer", "ash", form="egg cup")


def test_a_superlative_against_a_list_is_answered_as_disputed(collect: Any) -> None:
    here = collect(
        shapes=SHAPES,
        sources=CATALOGUE.format("yes"),
        assortments=rows("one,ash,egg cup", "one,beech,egg cup", "one,cedar,plate"),
        superlatives=BEST + "shape/ash,last,egg cup,letter\n",
    )
    assert verdicts(here, "last-to-offer", form="egg cup") == {
        "ash": "possibly", "beech": "possibly",
    }  # fmt: skip
    assert "whether Beech had it" in cell(here, "last-to-offer", "ash", "disputed", form="egg cup")


def test_among_all_potteries_and_within_one(collect: Any) -> None:
    potteries = "pottery,name,source\nharrow,Harrow Pottery,letter\nfell,Fell Pottery,letter\n"
    here = collect(
        potteries=potteries,
        shapes=SHAPES + "dogwood,fell,Dogwood,1890,letter\n",
        sources=CATALOGUE.format("yes"),
        assortments=rows("one,ash,egg cup", "one,beech,egg cup", "one,dogwood,egg cup"),
    )
    assert verdicts(here, "first-to-offer", form="egg cup") == {"dogwood": "yes"}
    assert verdicts(here, "first-to-offer", form="egg cup", pottery="harrow") == {"ash": "yes"}
    assert verdicts(here, "first-to-offer", form="egg cup", pottery="fell") == {"dogwood": "yes"}


def alone(here: Snapshot, form: str = "egg-cup") -> dict[str, str]:
    answer = here.answers.ask("articles-of-one-shape")
    return {
        str(row.values[2]).rsplit("/", 1)[-1]: str(row.values[3])
        for row in answer.rows
        if str(row.values[1]).endswith(f"/{form}")
    }


@pytest.mark.parametrize(
    ("complete", "verdict"), [("yes", "yes"), ("", "possibly"), ("no", "possibly")]
)
def test_only_complete_lists_of_all_others_make_an_article_peculiar(
    collect: Any, complete: str, verdict: str
) -> None:
    here = collect(
        shapes=SHAPES,
        sources=CATALOGUE.format(complete),
        assortments=rows("one,ash,egg cup", "one,beech,plate", "one,cedar,plate"),
    )
    assert alone(here) == {"ash": verdict}


def test_one_list_among_those_not_complete_is_enough_to_bear_on_it(collect: Any) -> None:
    """Beech has a list that leaves room, Cedar none at all: a complete one would decide of Beech."""
    here = collect(
        shapes=SHAPES,
        sources=CATALOGUE.format(""),
        assortments=rows("one,ash,egg cup", "one,beech,plate"),
    )
    assert alone(here) == {"ash": "possibly"}


def test_what_is_listed_and_shown_is_not_known_by_pieces_alone(collect: Any) -> None:
    here = collect(
        shapes=SHAPES,
        sources=CATALOGUE.format(""),
        pieces="piece,shape,form\np1,ash,egg cup\n",
        assortments=rows("one,ash,egg cup", "one,beech,plate", "one,cedar,plate"),
    )
    assert alone(here) == {"ash": "possibly"}


def test_lists_of_one_rival_only_leave_it_not_known(collect: Any) -> None:
    """Ash is in the earlier list, Beech in the later; Cedar is known by a piece and by no list."""
    lists = "one,One,catalogue,1920,\ntwo,Two,catalogue,1925,\n"
    shapes = "shape,pottery,name,source\n" + "".join(
        f"{each},harrow,{each.title()},letter\n" for each in ("ash", "beech", "cedar")
    )
    tables = {"shapes": shapes, "sources": lists}
    offers = rows("one,ash,egg cup", "two,beech,egg cup")
    two = collect(**tables, assortments=offers)
    asked = {"form": "egg cup", "pottery": "harrow"}
    assert verdicts(two, "first-to-offer", **asked) == {"ash": "possibly", "beech": "not known"}
    assert verdicts(two, "last-to-offer", **asked) == {"beech": "possibly", "ash": "not known"}


def test_a_rival_without_any_list_leaves_it_not_known(collect: Any) -> None:
    shapes = "shape,pottery,name,source\n" + "".join(
        f"{each},harrow,{each.title()},letter\n" for each in ("ash", "beech", "cedar")
    )
    here = collect(
        shapes=shapes,
        sources="one,One,catalogue,1920,\ntwo,Two,catalogue,1925,\n",
        pieces="piece,shape,form\np1,cedar,egg cup\n",
        assortments=rows("one,ash,egg cup", "two,beech,egg cup"),
    )
    found = verdicts(here, "first-to-offer", form="egg cup", pottery="harrow")
    assert found == dict.fromkeys(("ash", "beech", "cedar"), "not known")


def test_one_piece_alone_makes_nothing_peculiar(collect: Any) -> None:
    tables = {"shapes": SHAPES, "pieces": "piece,shape,form\np1,ash,egg cup\n"}
    listed = rows("one,beech,plate", "one,cedar,plate")
    here = collect(**tables, sources=CATALOGUE.format(""), assortments=listed)
    assert alone(here) == {"ash": "not known"}


def test_a_piece_and_complete_lists_of_the_others_do(collect: Any) -> None:
    here = collect(
        shapes=SHAPES,
        pieces="piece,shape,form\np1,ash,egg cup\n",
        sources=CATALOGUE.format("yes"),
        assortments=rows("one,beech,plate", "one,cedar,plate"),
    )
    assert alone(here) == {"ash": "yes"}


def test_shapes_of_which_nothing_is_known_leave_it_not_known(collect: Any) -> None:
    here = collect(shapes=SHAPES, sources=CATALOGUE.format(""), assortments=rows("one,ash,egg cup"))
    assert alone(here) == {"ash": "not known"}


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ({"articles": PRODUCED + "beech,egg cup,,yes,letter\n"}, {}),
        ({"pieces": "piece,shape,form\np1,beech,egg cup\n"}, {}),
        ({"superlatives": BEST + "shape/ash,only,egg cup,letter\n"}, {"ash": "yes"}),
        (
            {
                "superlatives": BEST + "shape/ash,only,egg cup,letter\n",
                "pieces": "piece,shape,form\np1,beech,egg cup\n",
            },
            {"ash": "possibly"},
        ),
        ({"absences": ABSENCES + "shape/beech,article,egg cup,,,letter\n"}, {"ash": "possibly"}),
        (
            {
                "absences": ABSENCES + "shape/beech,article,egg cup,,,letter\n"
                "shape/cedar,article,egg cup,,,letter\n"
            },
            {"ash": "yes"},
        ),
    ],
)
def test_statements_and_pieces_count_for_articles_of_one_shape(
    collect: Any, more: dict[str, str], expected: dict[str, str]
) -> None:
    here = collect(
        **{
            "shapes": SHAPES,
            "sources": CATALOGUE.format(""),
            "assortments": rows("one,ash,egg cup", "one,beech,plate", "one,cedar,plate"),
            **more,
        }
    )
    assert alone(here) == expected


def test_a_list_of_disputed_completeness_decides_nothing(collect: Any) -> None:
    here = collect(
        shapes=SHAPES,
        sources=CATALOGUE.format("yes") + "one,Catalogue One,catalogue,1925,no\n",
        assortments=rows("one,ash,egg cup", "one,beech,plate", "one,cedar,plate"),
    )
    assert alone(here) == {"ash": "possibly"}
    had = here.having.of(
        URIRef("https://example.org/shelf/shape/beech"),
        Article(URIRef("https://w3id.org/glost/form/egg-cup")),
    )
    assert (had.verdict, had.disputed) == (Verdict.POSSIBLY, True)


def test_what_is_said_of_a_form_covers_its_sizes_and_not_the_other_way() -> None:
    jug = URIRef("https://w3id.org/glost/form/jug")
    assert covers(Article(jug), Article(jug, "24s"))
    assert covers(Article(jug, "24s"), Article(jug, "24s"))
    assert not covers(Article(jug, "24s"), Article(jug))
    assert not covers(Article(jug), Article(URIRef("https://w3id.org/glost/form/mug")))
