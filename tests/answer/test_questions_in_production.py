"""Shapes in production, and what shows them outside their run, worked out again from the tables.

Nothing but Python's csv module and the reader of dates stands between the tables and the answer.
"""

import csv
from collections import defaultdict
from pathlib import Path

import pytest

from believed_rows import believed
from glost.answer.desk import Desk
from glost.record.dates import calendar_day, read

TABLES = Path(__file__).parents[2] / "examples" / "wend-valley" / "tables"
FROM_CARDS = "pellow"  # dated by the index cards, which are no table
Cells = dict[str, str]
BELIEVED = believed(TABLES.parent)
Bounds = tuple[float, float]
ALWAYS = (float("-inf"), float("inf"))


def load(name: str) -> list[Cells]:
    with (TABLES / f"{name}.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def table(name: str) -> list[Cells]:
    columns = load(name)[0]
    rows = [dict.fromkeys(columns, "") | row for each, row in BELIEVED if each == name]
    assert rows
    return rows


def years(text: str) -> Bounds:
    date = read(text)
    first = ALWAYS[0] if date.earliest is None else calendar_day(date.earliest)[0]
    last = ALWAYS[1] if date.latest is None else calendar_day(date.latest)[0]
    return first, last


def hulls(column: str) -> dict[str, Bounds]:
    found: dict[str, list[Bounds]] = defaultdict(list)
    for row in table("shapes"):
        if row[column]:
            found[row["shape"]].append(years(row[column]))
    return {
        shape: (min(first for first, _ in each), max(last for _, last in each))
        for shape, each in found.items()
    }


def shown(year: int) -> tuple[set[str], set[str]]:
    """Return the shapes that a list of the year offers, and those of pieces made that year."""
    lists = {
        r["source"] for r in table("sources") if r["date"] and years(r["date"]) == (year, year)
    }
    offered = {row["shape"] for row in table("assortments") if row["catalogue"] in lists}
    made = {
        row["shape"]
        for row in table("pieces")
        if row["shape"] and row["made"] and years(row["made"]) == (year, year)
    }
    return offered, made


def verdicts(year: int) -> dict[str, tuple[str, str]]:
    begins, ends = hulls("begin"), hulls("end")
    offered, made = shown(year)
    found = {}
    for shape in {row["shape"] for row in table("shapes")}:
        (begun_from, begun_by), (ended_from, ended_by) = (
            begins.get(shape, ALWAYS),
            ends.get(shape, ALWAYS),
        )
        dated = shape in begins or shape in ends
        possible = dated and begun_from <= year <= ended_by
        certain = possible and begun_by <= year <= ended_from and shape in begins and shape in ends
        because = "offered in a list of that year" if shape in offered else "a piece made that year"
        against = ", against the dates given" if dated and not possible else ""
        if shape in offered | made:
            found[shape] = ("certainly", because + against)
        elif possible:
            found[shape] = ("certainly" if certain else "possibly", "the dates given")
    return found


@pytest.mark.parametrize("year", [1890, 1899, 1906, 1909, 1915, 1921, 1924, 1930, 1938])
def test_shapes_in_production(valley: Desk, year: int) -> None:
    rows = valley.answers.ask("in-production", year=year).rows
    found = {
        str(row.values[0]).rsplit("/", 1)[1]: (str(row.values[1]), str(row.values[2]))
        for row in rows
    }
    assert len(found) == len(rows)
    expected = verdicts(year)
    for each in (found, expected):
        each.pop(FROM_CARDS, None)
    assert found == expected


def test_the_years_meet_every_kind_of_verdict() -> None:
    met = {verdict for year in range(1890, 1940) for verdict in verdicts(year).values()}
    assert {("certainly", "the dates given"), ("possibly", "the dates given")} <= met
    assert ("certainly", "offered in a list of that year") in met
    assert any(because.endswith("against the dates given") for _, because in met)


def outside(dates: set[str], begin: Bounds, end: Bounds) -> set[tuple[str, str]]:
    """Return where the dates of a piece or list fall, beside a beginning and an end."""
    if not dates:
        return set()
    first = min(years(date)[0] for date in dates)
    last = max(years(date)[1] for date in dates)
    found = set()
    if last > end[1] and (first > end[1] or len(dates) > 1):
        found.add(("after the end", first > end[1]))
    if first < begin[0] and (last < begin[0] or len(dates) > 1):
        found.add(("before the beginning", last < begin[0]))
    return {(where, "certainly" if sure else "by one of several dates") for where, sure in found}


def test_pieces_and_lists_outside_the_run(valley: Desk) -> None:
    begins, ends = hulls("begin"), hulls("end")
    dates: dict[str, set[str]] = defaultdict(set)
    for key, column, rows in (("piece", "made", "pieces"), ("source", "date", "sources")):
        for row in table(rows):
            dates[row[key]] |= {row[column]} - {""}
    shown_by = {(row["shape"], row["piece"]) for row in table("pieces")}
    shown_by |= {(row["shape"], row["catalogue"]) for row in table("assortments")}
    expected = {
        (shape, witness, *where)
        for shape, witness in shown_by
        for where in outside(dates[witness], begins.get(shape, ALWAYS), ends.get(shape, ALWAYS))
    }
    found = {
        (*(str(v).rsplit("/", 1)[1] for v in row.values[:2]), *map(str, row.values[4:6]))
        for row in valley.answers.ask("outside-the-run").rows
    }
    assert found == expected
    assert ("halewin", "wv-056", "after the end", "by one of several dates") in found
