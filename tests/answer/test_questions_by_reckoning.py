"""Kilns, and pieces made between two years, worked out again from the tables alone.

`reckoning` reads the tables with Python's own library and finds every bound under every reading;
what the two questions and the history of a plant make of the bounds is said again here.
"""

from datetime import date
from pathlib import Path

import pytest

from glost.answer.snapshot import Snapshot
from reckoning import FAR, Days, Reckoning

HERE = Path(__file__).parent
FOLDERS = {"little": HERE / "little", "valley": HERE.parents[1] / "examples" / "wend-valley"}
PERIODIC = {"periodic", "bottle", "updraught", "downdraught", "muffle"}
TUNNEL = {"tunnel", "car-tunnel", "circular-tunnel", "muffle-tunnel"}
OPEN: Days = (-FAR, FAR)


@pytest.fixture(scope="module")
def alone() -> dict[str, tuple[Reckoning, list[dict[str, Days]]]]:
    """The little tables under every reading; the valley's without all that is in dispute."""
    little, valley = (Reckoning(FOLDERS[name]) for name in ("little", "valley"))
    sound = valley.bounds(valley.agreeing())
    assert sound is not None
    return {"little": (little, little.readings()), "valley": (valley, [sound])}


def hull(readings: list[dict[str, Days]], point: str) -> Days:
    found = [each.get(point, OPEN) for each in readings]
    return min(first for first, _ in found), max(last for _, last in found)


def year(day: float) -> str:
    return "" if abs(day) == FAR else str(date.fromordinal(int(day)).year)


def told(snapshot: Snapshot, name: str, **given: object) -> list[dict[str, str]]:
    answer = snapshot.answers.ask(name, **given)
    return [
        {c: "" if v is None else str(v).rsplit("/", 1)[-1] for c, v in
         zip(answer.columns, row.values, strict=True)}
        for row in answer.rows
    ]  # fmt: skip


@pytest.mark.parametrize("where", ["little", "valley"])
def test_kilns_by_year(
    where: str, alone: dict[str, tuple[Reckoning, list[dict[str, Days]]]],
    request: pytest.FixtureRequest,
) -> None:  # fmt: skip
    snapshot: Snapshot = request.getfixturevalue(where)
    tables, readings = alone[where]
    kilns = sorted({row["kiln"] for row in tables.rows("kilns")})
    disputed = {row["kiln"] for row in told(snapshot, "kilns") if row["disputed"]}
    assert len(set(kilns) - disputed) > (20 if where == "valley" else 4)
    for asked in (1905, 1925, 1929):
        first, last = date(asked, 1, 1).toordinal(), date(asked, 12, 31).toordinal()
        expected = {}
        for kiln in kilns:
            begin, end = hull(readings, f"kiln/{kiln}#begin"), hull(readings, f"kiln/{kiln}#end")
            if kiln in disputed or begin[0] > last or end[1] < first:
                continue
            bounded = any(abs(day) != FAR for day in (*begin, *end))
            in_use = "yes" if begin[1] <= last and end[0] >= first else "possibly"
            bounds = [year(day) for day in (*begin, *end)]
            expected[kiln] = (*bounds, in_use if bounded else "not known")
        found = {
            row["kiln"]: (row["begun_from"], row["begun_by"], row["ended_from"], row["ended_by"],
                          row["in_use"])
            for row in told(snapshot, "kilns", year=asked) if row["kiln"] not in disputed
        }  # fmt: skip
        assert found == expected, asked


@pytest.mark.parametrize("where", ["little", "valley"])
def test_from_periodic_to_tunnel_kilns(
    where: str, alone: dict[str, tuple[Reckoning, list[dict[str, Days]]]],
    request: pytest.FixtureRequest,
) -> None:  # fmt: skip
    snapshot: Snapshot = request.getfixturevalue(where)
    tables, readings = alone[where]
    rows = [row for row in tables.rows("kilns") if row.get("plant") and row.get("kind")]
    disputed = {row["kiln"] for row in told(snapshot, "kilns") if row["disputed"]}
    found = {row["plant"]: row for row in told(snapshot, "periodic-to-tunnel")}
    assert set(found) == {row["plant"] for row in rows}
    compared = 0
    for plant in found:
        of = {kind: sorted({r["kiln"] for r in rows if r["plant"] == plant and r["kind"] in kinds})
              for kind, kinds in (("periodic", PERIODIC), ("tunnel", TUNNEL))}  # fmt: skip
        if disputed & {kiln for some in of.values() for kiln in some}:
            continue
        compared += 1
        tunnel, periodic = (
            [hull(readings, f"kiln/{kiln}{point}") for kiln in of[kind]]
            for kind, point in (("tunnel", "#begin"), ("periodic", "#end"))
        )
        several = {row["kiln"] for row in rows if row.get("count") == "several"}
        numbers = {
            kind: "2 or more" if several & {*of[kind]} else str(len(of[kind])) for kind in of
        }
        first = (min(d[0] for d in tunnel), min(d[1] for d in tunnel)) if tunnel else OPEN
        last = (max(d[0] for d in periodic), max(d[1] for d in periodic)) if periodic else OPEN
        both = [
            (hull(readings, f"kiln/{t}#begin"), hull(readings, f"kiln/{t}#end"),
             hull(readings, f"kiln/{p}#begin"), hull(readings, f"kiln/{p}#end"))
            for t in of["tunnel"] for p in of["periodic"]
        ]  # fmt: skip
        if not both:
            side = "not known"
        elif any(tb[1] < pe[0] and pb[1] < te[0] for tb, te, pb, pe in both):
            side = "yes"
        elif all(pe[1] <= tb[0] or te[1] <= pb[0] for tb, te, pb, pe in both):
            side = "no"
        else:
            side = "possibly"
        row = found[plant]
        assert {kind: row[f"{kind}_kilns"] for kind in of} == numbers, plant
        assert (row["first_tunnel_from"], row["first_tunnel_by"]) == tuple(map(year, first)), plant
        assert (row["last_periodic_from"], row["last_periodic_by"]) == tuple(map(year, last)), plant
        assert row["side_by_side"] == side, plant
    assert compared >= (5 if where == "valley" else 3)


YEARS = [(1905, 1912), (1908, 1908), (1915, 1920)]


@pytest.mark.parametrize("where", ["little", "valley"])
def test_pieces_made_between_two_years(
    where: str, alone: dict[str, tuple[Reckoning, list[dict[str, Days]]]],
    request: pytest.FixtureRequest,
) -> None:  # fmt: skip
    """In the valley those are left aside that are in dispute, or dated by what is not read here.

    That is a code, a redesign, several marks at once, and the shape on whose bounds codes bear.
    """
    snapshot: Snapshot = request.getfixturevalue(where)
    tables, readings = alone[where]
    pieces = {row["piece"] for row in tables.rows("pieces")}
    if where == "valley":
        aside = {row["piece"] for row in told(snapshot, "pieces-made-between", first=1, last=9999)
                 if row["disputed"]}  # fmt: skip
        aside |= {
            row["piece"] for row in tables.rows("pieces")
            if any(row.get(c) for c in ("date_code", "shows_redesign", "shows_older_form"))
            or "|" in row.get("mark", "") or row.get("shape") == "pellow"
        }  # fmt: skip
        pieces -= aside
        assert len(pieces) > 40
    for first, last in YEARS:
        low, high = date(first, 1, 1).toordinal(), date(last, 12, 31).toordinal()
        expected = {}
        for piece in pieces:
            made = hull(readings, f"piece/{piece}#made")
            if made[0] > high or made[1] < low:
                continue
            same = len({each.get(f"piece/{piece}#made", OPEN) for each in readings}) == 1
            known = abs(made[0]) != FAR or abs(made[1]) != FAR or not same
            within = made[0] >= low and made[1] <= high
            verdict = "yes" if within else "possibly" if known else "not known"
            expected[piece] = (verdict, *(year(day) for day in made))
        found = {
            row["piece"]: (row["verdict"], row["made_from"][:4], row["made_by"][:4])
            for row in told(snapshot, "pieces-made-between", first=first, last=last)
            if row["piece"] in pieces
        }
        assert found == expected, (first, last)
