"""In which order lists came out: by dates, by what they offer, and by what sources say of it."""

from pathlib import Path

import pytest

from glost.answer.answers import Answers
from glost.answer.snapshot import Snapshot
from shelf import write

SHAPES = "shape,pottery,name,begin,end,source\nalder,harrow,Alder,{},{},letter\n"
OFFERS = "catalogue,shape,form,item\none,alder,plate,1\none,alder,jug,2\ntwo,alder,plate,1\n"
ORDER = "thing,thing_point,relation,other,other_point,source\n"


def asked(folder: Path, dates: tuple[str, str], *, order: str = "", run: str = ",") -> Answers:
    sources = f"source,title,kind,date,complete\none,One,catalogue,{dates[0]},yes\n"
    sources += f"two,Two,catalogue,{dates[1]},yes\nletter,[Letter],letter,1912,\n"
    tables = {
        **dict.fromkeys(("flatware", "treatments", "pieces"), ""),
        "sources": sources,
        "potteries": "pottery,name,source\nharrow,Harrow,letter\n",
        "shapes": SHAPES.format(*run.split(",")),
        "assortments": OFFERS,
        "sequences": ORDER + f"{order},letter\n" if order else "",
    }
    return Snapshot(write(folder / "s", **tables)).answers


def name(value: object) -> str:
    return "" if value is None else str(value).rsplit("/", 1)[-1]


BEFORE = "source/one,{},before,source/two,{}"


@pytest.mark.parametrize(
    ("dates", "order", "followed"),
    [
        (("1908", "1911"), "", True),
        (("1908-03", "1908-05"), "", True),  # within a year, and yet one after the other
        (("1908~", "1909"), "", False),
        (("1908", "1908"), "", False),
        (("", ""), "", False),
        (("1908", ""), "", False),
        (("", ""), BEFORE.format("begin", "begin"), True),
        (("1908~", "1909"), BEFORE.format("run", "run"), True),
        (("1908", ""), BEFORE.format("end", "begin"), True),
        (("", "1908"), "source/two,begin,after,source/one,begin", True),
        (("", ""), "shape/alder,begin,before,source/one,begin", False),
    ],
)
def test_one_list_follows_another_only_if_it_is_known_to(
    dates: tuple[str, str], order: str, followed: bool, tmp_path: Path
) -> None:
    answers = asked(tmp_path, dates, order=order)
    sizes = {name(row.values[1]): row for row in answers.ask("assortment-sizes").rows}
    assert name(sizes["two"].values[5]) == ("one" if followed else "")
    assert sizes["one"].values[5] is None
    changes = answers.ask("changes-of-assortment", shape="alder")
    told = [tuple(map(name, row.values[1:7])) for row in changes.rows]
    assert told == ([("one", "two", "jug", "", "", "lost")] if followed else [])
    notes = [note.text(name) for note in changes.notes]
    none = "alder stands in 2 lists, and none is known to have come out before another."
    assert notes == ([] if followed else [none])
    if followed and order:
        (row,) = changes.rows
        assert "letter" in {name(passage.source) for passage in row.passages}


def test_a_list_without_a_date_is_dated_by_what_it_offers(tmp_path: Path) -> None:
    """Alder was made from 1911 to 1914; a list may run 366 days ahead or behind."""
    answers = asked(tmp_path, ("1908~", ""), run="1911,1914")
    rows = answers.ask("assortment-classes", shape="alder").rows
    years = {name(r.values[1]): tuple(int(str(y)) for y in r.values[2:4]) for r in rows}
    assert years == {"one": (1909, 1910), "two": (1909, 1916)}
