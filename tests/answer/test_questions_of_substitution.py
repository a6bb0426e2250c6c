"""What came instead of what: each verdict, from a few rows of which the answer is seen at once."""

from pathlib import Path

import pytest

from glost.answer.desk import Desk
from shelf import write

SHAPES = "shape,pottery,name,begin,end,source\nalder,harrow,Alder,{},{},letter\nbirch,harrow,Birch,{},,letter\n"
CAME = "came,instead_of,came_form,instead_of_form,within,begin,source\n"
LIST = "catalogue,shape,form,item\n"


def told(folder: Path, **tables: str) -> tuple[str, str, str]:
    empty = dict.fromkeys(("flatware", "treatments", "pieces", "assortments"), "")
    (row,) = Desk(write(folder / "s", **(empty | tables))).answers.ask("substitutions").rows
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


@pytest.mark.parametrize(
    ("offers", "within", "verdict"),
    [
        ("cat1908,alder,jug,1\ncat1908,birch,ewer,2\n", "pottery/harrow", "yes"),
        ("cat1908,alder,jug,1\ncat1911,birch,ewer,2\n", "pottery/harrow", "possibly"),
        ("cat1908,alder,jug,1\ncat1908,birch,ewer,2\n", "shape/birch", "possibly"),
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


def test_an_order_that_cannot_hold_is_said_to_be_disputed(tmp_path: Path) -> None:
    """Birch ended in 1905, and yet came in place of Alder, which began in 1908."""
    shapes = SHAPES.format("1908", "1915", "1905")
    came = CAME + "shape/birch,shape/alder,,,,,letter\n"
    assert told(tmp_path, shapes=shapes, substitutions=came)[2] == "yes"
