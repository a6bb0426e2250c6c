"""What is stated of lists worked out again in plain Python: both examples, random collections."""

import random
from pathlib import Path
from typing import Any

import pytest

from glost.answer.snapshot import Snapshot
from glost.trade.assortments.stated import Absence, Superlative
from rows_and_days import published_forms, some, stated_by_rows
from stated_by_hand import ORDERED, Stated, Told, named, numbers

COLUMNS = {
    "absences": "of,lacks,form,trade_size,after,before,source",
    "superlatives": "of,superlative,form,trade_size,source",
    "totals": "of,counted,form,ware,date,number,up_to,about,proportion,than,than_date,source",
    "articles": "shape,form,trade_size,produced,source",
}
TOP = Path(__file__).resolve().parents[3]


@pytest.fixture(scope="module")
def forms() -> dict[str, set[str]]:
    return published_forms()


def told(snapshot: Snapshot, hand: Stated) -> list[Told]:
    """Take from the program what the reckoning by hand gives."""
    found: list[Told] = []
    for held in snapshot.holding.all:
        of = "/".join(str(held.stated.of).split("/")[-2:])
        if isinstance(held.stated, Absence):
            if held.stated.article is not None:
                names = named(held.because, hand.names.values())
                found.append((of, "absence", str(held.verdict), names))
        elif isinstance(held.stated, Superlative) and held.stated.best in ORDERED:
            found.append((of, "superlative", str(held.verdict), None))
        else:
            kind = "superlative" if isinstance(held.stated, Superlative) else "total"
            found.append((of, kind, str(held.verdict), numbers(held.because)))
    return sorted(found, key=repr)


@pytest.mark.parametrize(("name", "least"), [("wend-valley", 9), ("one-shelf", 0)])
def test_on_the_examples(name: str, least: int, forms: dict[str, set[str]]) -> None:
    snapshot = Snapshot(TOP / "examples" / name)
    hand = stated_by_rows(snapshot, forms)
    assert told(snapshot, hand) == hand.told()
    assert len(hand.told()) >= least


def collection(seed: int) -> dict[str, str]:
    """Make up two potteries with lists and what is stated of them, by two sources."""
    draw = random.Random(seed)
    shapes = ["ash", "beech", "cedar", "dogwood", "elder"]
    owner = {shape: draw.choice(["harrow", "harrow", "fell"]) for shape in shapes}
    dates = ["", "1900", "1905/1912", "1910", "1920"]
    forms, sizes, lists = ["egg cup", "jug", "plate"], ["", "8", "36s"], ["one", "two", "three"]
    of, both = [f"shape/{s}" for s in shapes], ["letter", "note"]
    all_of = [*of, "pottery/harrow", "pottery/fell", "source/one"]
    issued = [(name, draw.choice(["1915", "1925", "1924/1926", ""])) for name in lists]
    return {
        "potteries": "pottery,name,source\nharrow,Harrow,letter\nfell,Fell,letter\n",
        "shapes": "shape,pottery,name,begin,source\n"
        + "".join(f"{s},{owner[s]},{s.title()},{draw.choice(dates)},letter\n" for s in shapes),
        "sources": "note,A note,letter,1951,\n"
        + "".join(f"{n},{n.title()},catalogue,{d},{draw.choice(['yes', 'yes', 'no', ''])}\n" for n, d in issued)
        + draw.choice(["", "", "one,One,catalogue,,no\n"]),
        "assortments": some(
            draw, "catalogue,shape,form,trade_size", lists, shapes, forms, sizes, most=16
        ),
        "pieces": "piece,shape,form\n"
        + "".join(f"p{n},{draw.choice(shapes)},{draw.choice(forms)}\n" for n in range(draw.randint(0, 2))),
        "articles": some(
            draw, COLUMNS["articles"], shapes, forms, sizes, ["yes", "no"], both, most=2
        ),
        "absences": some(
            draw, COLUMNS["absences"], all_of, ["article"], forms, sizes, [""], [""], both, most=3
        )
        + f"pottery/harrow,article,jug,,{draw.choice(shapes)},,letter\n"
        + f"pottery/fell,article,plate,,,{draw.choice(shapes)},note\n",
        "superlatives": some(
            draw, COLUMNS["superlatives"], all_of[:-1], list(ORDERED), forms, ["", "", "8"], both, most=4
        )
        + some(draw, "", all_of[:-1], ["most", "fewest"], ["", *forms], [""], ["note"], most=2).lstrip(),
        "totals": some(
            draw, COLUMNS["totals"], all_of, ["articles", "forms", "sizes"], ["", "jug"], [""],
            ["", "1925"], ["2", "3"], ["", "5"], ["", "yes"], [""], [""], [""], both, most=4,
        )
        + some(
            draw, "", all_of, ["articles", "shapes"], [""], ["", "flatware", "hollow ware"], ["", "1915"],
            [""], [""], ["", "yes"], ["1/2", "2/3", "75 %"], of, ["", "1925"], both, most=3,
        ).lstrip(),
    }  # fmt: skip


@pytest.mark.parametrize("seed", range(16))
def test_on_random_collections(collect: Any, seed: int, forms: dict[str, set[str]]) -> None:
    snapshot = collect(**collection(seed))
    hand = stated_by_rows(snapshot, forms)
    assert told(snapshot, hand) == hand.told()
