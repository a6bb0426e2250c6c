"""Firsts and lasts worked out again in plain Python, on both examples and on random collections."""

import random
from pathlib import Path
from typing import Any

import pytest
from rdflib import URIRef

from firsts_by_hand import ORDERED, slug
from glost.answer.snapshot import Snapshot
from glost.trade.assortments.judging import Judge
from rows_and_days import some, tables

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"


def compared(snapshot: Snapshot) -> int:
    """Compare every verdict that is not "no" with what plain Python gives; count them."""
    hand, found = tables(snapshot), {}
    for each in Judge(snapshot.having, snapshot.words).every():
        among = str(each.among).rsplit("/", 1)[-1] if each.among else ""
        key = (str(each.best), among, _slug(each.article.form), _slug(each.shape))
        found[key] = str(each.verdict)
    expected = {}
    forms = {slug(r["form"]) for t in (hand.offers, hand.pieces, hand.articles) for r in t}
    forms |= {slug(r["form"]) for r in hand.superlatives}
    for form in forms:
        for best in ORDERED:
            for among in {"", *hand.makers.values()}:
                shapes = [s for s, p in hand.makers.items() if among in ("", p)]
                if best == "only" and (not among or len(shapes) < 2):
                    continue
                for shape, verdict in hand.verdicts(best, shapes, form).items():
                    if verdict != "no":
                        expected[best, among, form, shape] = verdict
    assert found == expected
    return len(found)


def _slug(iri: URIRef) -> str:
    return str(iri).rsplit("/", 1)[-1]


def test_on_the_examples(valley: Snapshot) -> None:
    assert compared(valley) >= 300
    assert compared(Snapshot(EXAMPLES / "one-shelf")) >= 0


def collection(seed: int) -> dict[str, str]:
    """Make up two potteries with shapes, lists, pieces and statements."""
    draw = random.Random(seed)
    shapes = ["ash", "beech", "cedar", "dogwood", "elder"]
    owner = {shape: draw.choice(["harrow", "harrow", "fell"]) for shape in shapes}
    dates = ["", "1900", "1905/1912", "1910", "1910~", "1920"]
    forms, lists = ["egg cup", "jug", "plate"], ["one", "two", "three"]
    of = [f"shape/{s}" for s in shapes]
    told = "".join(
        f"{name},{name.title()},catalogue,{draw.choice(['1915', '1925', '1924/1926', ''])},"
        f"{draw.choice(['yes', 'no', ''])}\n"
        for name in lists
    )
    told += draw.choice(["", "one,One,catalogue,,no\n"])
    return {
        "potteries": "pottery,name,source\nharrow,Harrow,letter\nfell,Fell,letter\n",
        "shapes": "shape,pottery,name,begin,source\n"
        + "".join(f"{s},{owner[s]},{s.title()},{draw.choice(dates)},letter\n" for s in shapes),
        "sources": told,
        "assortments": some(draw, "catalogue,shape,form", lists, shapes, forms, most=14),
        "pieces": some(draw, "piece,shape,form", ["p1", "p2", "p3"], shapes, forms, most=0)
        + "".join(
            f"p{n},{draw.choice(shapes)},{draw.choice(forms)}\n" for n in range(draw.randint(0, 3))
        ),
        "articles": some(
            draw, "shape,form,produced,source", shapes, forms, ["yes", "no", ""], ["letter"], most=2
        ),
        "absences": some(
            draw, "of,lacks,form,after,before,source", [*of, "pottery/harrow", "pottery/fell"],
            ["article"], forms, [""], [""], ["letter"], most=2,
        )
        + (f"pottery/harrow,article,jug,{draw.choice(shapes)},,letter\n" if seed % 3 == 0 else "")
        + (f"pottery/harrow,article,plate,,{draw.choice(shapes)},letter\n" if seed % 4 == 0 else ""),
        "superlatives": some(
            draw, "of,superlative,form,source", [*of, "pottery/fell"], list(ORDERED), forms,
            ["letter"], most=2,
        ),
    }  # fmt: skip


@pytest.mark.parametrize("seed", range(40))
def test_on_random_collections(collect: Any, seed: int) -> None:
    compared(collect(**collection(seed)))


def test_the_random_collections_know_every_verdict(collect: Any) -> None:
    """The forty together hold disputes, complete lists and open orders; else they would show little."""
    texts = [collection(seed) for seed in range(40)]
    assert sum(",no,letter" in t["articles"] for t in texts) > 5
    assert sum("shape/" in t["superlatives"] for t in texts) > 10
    assert sum("pottery/" in t["absences"] for t in texts) > 10
