"""What came instead of what: each verdict, from a few rows of which the answer is seen at once."""

from pathlib import Path

import pytest

from glost.answer.snapshot import Snapshot
from shelf import write

SHAPES = "shape,pottery,name,begin,end,source\nalder,harrow,Alder,{},{},letter\nbirch,harrow,Birch,{},,letter\n"
CAME = "came,instead_of,came_form,instead_of_form,within,begin,source\n"
LIST = "catalogue,shape,form,item\n"


def told(folder: Path, **tables: str) -> tuple[str, str, str]:
    empty = dict.fromkeys(("flatware", "treatments", "pieces", "assortments"), "")
    (row,) = Snapshot(write(folder / "s", **(empty | tables))).answers.ask("substitutions").rows
    side, deciding, disputed, source = (str(v or "") for v in row.values[5:])
    assert source.endswith("source/letter")
    assert row.claims
    return side, deciding, disputed


@pytest.mark.parametrize(
    ("old_end", "new_begin", "verdict"),
    [
        ("1915", "1911", "yes"),  # Alder was made for years after Birch had come
        ("1911", "1911", "possibly"),  # within that year the one may have gone before
        ("1909", "1911", "no"),  # Alder had gone before Birch came
        ("", "1911", "possibly"),
        ("1911", "", "possibly"),
        ("", "", "not known"),
    ],
)
def test_two_shapes_by_the_bounds_of_their_runs(
    old_end: str, new_begin: str, verdict: str, tmp_path: Path
) -> None:
    shapes = SHAPES.format("", old_end, new_begin)
    potteries = "pottery,name,source\nharrow,Harrow,letter\n"
    came = CAME + "shape/birch,shape/alder,,,,,letter\n"
    side, deciding, disputed = told(
        tmp_path, shapes=shapes, substitutions=came, potteries=potteries
    )
    assert side == verdict
    assert bool(deciding) == (verdict == "possibly")
    assert disputed == "no"


@pytest.mark.parametrize(
    ("order", "verdict"),
    [
        ("shape/birch,begin,equals,shape/alder,end", "no"),  # the one came as the other went
        ("shape/alder,end,before,shape/birch,begin", "no"),
        ("shape/alder,run,meets,shape/birch,run", "no"),
        ("shape/birch,begin,before,shape/alder,end", "yes"),
        ("shape/alder,run,ran-together,shape/birch,run", "possibly"),
    ],
)
def test_two_shapes_by_a_source_that_sets_them_in_order(
    order: str, verdict: str, tmp_path: Path
) -> None:
    side, deciding, disputed = told(
        tmp_path,
        shapes=SHAPES.format("", "", ""),
        sequences=f"thing,thing_point,relation,other,other_point,source\n{order},letter\n",
        potteries="pottery,name,source\nharrow,Harrow,letter\n",
        substitutions=CAME + "shape/birch,shape/alder,,,,,letter\n",
    )
    assert (side, bool(deciding), disputed) == (verdict, verdict == "possibly", "no")


def test_what_two_orders_say_together_rests_on_both(tmp_path: Path) -> None:
    """Birch came before Cedar, and Cedar came before Alder ended."""
    tables = {
        **dict.fromkeys(("flatware", "treatments", "pieces", "assortments"), ""),
        "shapes": SHAPES.format("", "", "") + "cedar,harrow,Cedar,,,letter\n",
        "sequences": "thing,thing_point,relation,other,other_point,source\n"
        "shape/birch,begin,before,shape/cedar,begin,letter\n"
        "shape/cedar,begin,before,shape/alder,end,letter\n",
        "potteries": "pottery,name,source\nharrow,Harrow,letter\n",
        "substitutions": CAME + "shape/birch,shape/alder,,,,,letter\n",
    }
    (row,) = Snapshot(write(tmp_path / "s", **tables)).answers.ask("substitutions").rows
    assert str(row.values[5]) == "yes"
    orders = {claim.origin.row for claim in row.support if claim.origin.table == "sequences"}
    assert orders == {2, 3}


@pytest.mark.parametrize(
    ("offers", "within", "verdict"),
    [
        ("cat1908,alder,jug,1\ncat1908,birch,ewer,2\n", "pottery/harrow", "yes"),
        ("cat1908,alder,jug,1\ncat1911,birch,ewer,2\n", "pottery/harrow", "possibly"),
        # The catalogue of 1908 is complete: Birch had no jug. That of 1911 is not.
        ("cat1908,alder,jug,1\ncat1908,birch,ewer,2\n", "shape/birch", "no"),
        ("cat1908,alder,jug,1\ncat1911,birch,ewer,2\n", "shape/birch", "possibly"),
        # Neither shape had an ewer then; but it may have come in later.
        ("cat1908,alder,jug,1\ncat1908,birch,jug,2\n", "pottery/harrow", "possibly"),
        ("cat1908,alder,plate,1\n", "pottery/harrow", "not known"),
    ],
)
def test_two_forms_by_the_lists_that_offer_them(
    offers: str, within: str, verdict: str, tmp_path: Path
) -> None:
    came = CAME + f",,ewer,jug,{within},,letter\n"
    side, deciding, disputed = told(
        tmp_path, shapes=SHAPES.format("", "", ""), substitutions=came, assortments=LIST + offers
    )
    assert side == verdict
    assert deciding == ("a list that offers both" if verdict == "possibly" else "")
    assert disputed == "no"


EWER = "cat1911,birch,ewer,2\n"  # from a list that may lack pages
WHOLE = "source,title,kind,date,complete\nletter,[Letter],letter,1912,\n"
WHOLE += "".join(f"cat{y},Catalogue,catalogue,{y},yes\n" for y in (1908, 1911, 1920))


@pytest.mark.parametrize(
    ("absences", "verdict"),
    [
        ("shape/birch,article,jug", "no"),
        (
            "shape/birch,article,ewer",
            "possibly",
        ),  # the list of 1911 has one: the two sources differ
        ("pottery/harrow,article,jug", "no"),
        ("shape/alder,article,jug", "possibly"),
    ],
)
def test_a_stated_absence_rules_out_that_a_shape_had_both(
    absences: str, verdict: str, tmp_path: Path
) -> None:
    told_ = told(
        tmp_path,
        shapes=SHAPES.format("", "", ""),
        substitutions=CAME + ",,ewer,jug,shape/birch,,letter\n",
        assortments=LIST + EWER,
        absences=f"of,lacks,form,source\n{absences},letter\n",
    )
    assert (told_[0], told_[2]) == (
        verdict,
        "yes" if absences == "shape/birch,article,ewer" else "no",
    )


@pytest.mark.parametrize(
    ("old_end", "new_begin", "absent", "verdict"),
    [
        ("1909", "1911", True, "no"),  # Alder, which had the jugs, had gone before Birch came
        ("1911", "1911", True, "possibly"),
        ("1909", "1911", False, "possibly"),  # Birch may have had jugs as well
    ],
)
def test_forms_of_two_shapes_by_the_bounds_of_their_runs(
    old_end: str, new_begin: str, absent: bool, verdict: str, tmp_path: Path
) -> None:
    pieces = "piece,shape,form\np1,alder,jug\np2,birch,ewer\n"
    absences = (
        "of,lacks,form,source\nshape/birch,article,jug,letter\nshape/alder,article,ewer,letter\n"
    )
    side, deciding, disputed = told(
        tmp_path,
        shapes=SHAPES.format("", old_end, new_begin),
        substitutions=CAME + ",,ewer,jug,pottery/harrow,,letter\n",
        pieces=pieces,
        absences=absences if absent else "",
    )
    assert (side, bool(deciding), disputed) == (verdict, verdict == "possibly", "no")


def test_that_the_one_shape_was_gone_may_hang_on_a_contradiction(tmp_path: Path) -> None:
    """Alder ended in 1905 or in 1909, and before Birch came either way."""
    shapes = SHAPES.format("", "1905", "1911") + "alder,harrow,Alder,,1909,cat1908\n"
    assert told(
        tmp_path,
        shapes=shapes,
        substitutions=CAME + ",,ewer,jug,pottery/harrow,,letter\n",
        pieces="piece,shape,form\np1,alder,jug\np2,birch,ewer\n",
        absences="of,lacks,form,source\nshape/birch,article,jug,letter\nshape/alder,article,ewer,letter\n",
    ) == ("no", "", "yes")


@pytest.mark.parametrize(
    ("offers", "since", "verdict"),
    [
        # What a complete list lacks that is older than the change, it lacks of the new form anyhow;
        ("cat1908,birch,jug,1\n", "1910", "possibly"),
        # of the old form it shows that there was none that could go;
        ("cat1908,birch,plate,1\n", "1910", "no"),
        # and if it is later, the other way round.
        ("cat1920,birch,ewer,1\n", "1910", "possibly"),
        ("cat1920,birch,jug,1\n", "1910", "no"),
        ("cat1911,birch,ewer,1\n", "1911", "possibly"),
        ("cat1911,birch,jug,1\n", "1911", "possibly"),
    ],
)
def test_a_complete_list_counts_by_when_the_one_came_for_the_other(
    offers: str, since: str, verdict: str, tmp_path: Path
) -> None:
    side, _, disputed = told(
        tmp_path,
        sources=WHOLE,
        potteries="pottery,name,source\nharrow,Harrow,letter\n",
        shapes=SHAPES.replace("cat1911", "letter").format("", "", ""),
        substitutions=CAME + f",,ewer,jug,shape/birch,{since},letter\n",
        assortments=LIST + offers,
    )
    assert (side, disputed) == (verdict, "no")


def test_an_order_that_cannot_hold_is_said_to_be_disputed(tmp_path: Path) -> None:
    """Birch ended in 1905, and yet came in place of Alder, which began in 1908."""
    shapes = SHAPES.format("1908", "1915", "1905")
    came = CAME + "shape/birch,shape/alder,,,,,letter\n"
    assert told(tmp_path, shapes=shapes, substitutions=came)[2] == "yes"
