"""Crossings on made-up collections, worked out a second time from the tables in plain Python.

A collection is drawn from a course of events that really could have been, so nothing in it is in
dispute. Every date is a whole year, or a span of whole years, so that bounds can be reckoned by year.
"""

import csv
import io
from collections import defaultdict
from itertools import product
from pathlib import Path
from random import Random

import pytest

from glost.answer.questions import Answer
from glost.answer.snapshot import Snapshot
from glost.trade.crossings import STRENGTHS, crossings
from shelf import write

Row = dict[str, str]
Tables = dict[str, list[Row]]
Bounds = dict[str, tuple[int | None, int | None]]
LISTS = {"cat1912": 1912, "list1922": 1922}
SOURCES = {**LISTS, "book": 1950, "letter": 1930}
KINDS = {"cat1912": "catalogue", "list1922": "price-list", "book": "book", "letter": "letter"}
DOUBT = ("possible", "doubtful")
LINES = {"A": ["s0"], "B": ["s1"], "C": ["s2"], "D": ["s3"], "E": ["s0", "s2"]}
"""The shapes that the first letter of a number may stand for; E has stood for two."""
SHARED = {
    "plate": ("shared flatware", "strong"),
    "teapot": ("shared flatware, its decoration put on hollow ware too", "weak"),
    "": ("shared flatware, if it is flatware", "fair"),
}


def written(draw: Random, year: int, least: int, most: int) -> str:
    """Write a year as such, as a span that holds it within limits, or not at all."""
    way = draw.randrange(5)
    if way == 0:
        return ""
    if way < 3:
        return str(year)
    first = max(least, year - draw.randrange(4))
    last = min(most, year + draw.randrange(4))
    return f"{first}/{last}" if first < last else str(year)


def drawn(seed: int) -> Tables:
    draw = Random(seed)
    shapes, runs = [], {}
    for number in range(4):
        begin = draw.randint(1900, 1920)
        end = draw.randint(begin + 2, 1940)
        runs[f"s{number}"] = begin, end
        row = {
            "shape": f"s{number}",
            "pottery": "harrow",
            "name": f"Shape {number}",
            "source": "letter",
        }
        row |= {
            "begin": written(draw, begin, 1890, begin + 9),
            "end": written(draw, end, end - 9, 1950),
        }
        shapes.append(row)
    treatments = [
        {
            "treatment": f"t{n}", "pottery": draw.choice(["harrow", "harrow", "harrow", "tull"]),
            "number": f"{draw.choice('ABCDEN')}{n}", "source": "letter",
            "decal": draw.choice(["", "rose", "lily"]), "shape": draw.choice(["", "", *sorted(runs)]),
            "certainty": draw.choice(["", "", "possible"]),
        }
        for n in range(5)
    ]  # fmt: skip
    pieces = []
    for number in range(9):
        shape = draw.choice(sorted(runs))
        made = draw.randint(*runs[shape])
        later = made + draw.randrange(9)
        pieces.append({
            "piece": f"p{number}", "shape": shape, "form": draw.choice(sorted(SHARED)),
            "treatment": draw.choice(treatments)["treatment"], "made": written(draw, made, 1880, 1960),
            "decorated": str(later) if draw.random() < 0.3 else "",
        })  # fmt: skip
    flatware = []
    for one, other in product(sorted(runs), repeat=2):
        if one != other and draw.random() < 0.3:
            row = {"shape": one, "with": other, "source": "letter"}
            row |= {"begin": "", "end": "", "certainty": draw.choice(["", "", "doubtful"])}
            first, last = max(runs[one][0], runs[other][0]), min(runs[one][1], runs[other][1])
            if first <= last and draw.random() < 0.7:
                begin = draw.randint(first, last)
                row["begin"] = str(begin)
                row["end"] = draw.choice(["", str(draw.randint(begin, last))])
            flatware.append(row)
    appearances = [
        {"treatment": draw.choice(treatments)["treatment"], "shape": draw.choice(sorted(runs)),
         "source": source}
        for source in (*LISTS, "book")
    ]  # fmt: skip
    lineage = []
    for new, old in product(range(5), repeat=2):
        if new > old and draw.random() < 0.2:
            lineage.append({"thing": f"treatment/t{new}", "reissue_of": f"treatment/t{old}",
                            "source": "letter", "certainty": draw.choice(["", "possible"])})  # fmt: skip
    sources = [
        {"source": s, "title": s, "kind": KINDS[s], "date": str(year)}
        for s, year in SOURCES.items()
    ]
    return {
        "shapes": shapes, "treatments": treatments, "pieces": pieces, "flatware": flatware,
        "appearances": appearances, "lineage": lineage, "sources": sources,
        "decals": [{"decal": d, "name": d, "source": "letter"} for d in ("rose", "lily")],
        "potteries": [
            {"pottery": p, "name": f"{p.title()} Pottery", "source": "letter"}
            for p in ("harrow", "tull")
        ],
        "code_schemes": [
            {"scheme": "n", "pottery": "harrow", "codes": "treatment-number",
             "pattern": "{line}{run}", "source": "letter"}
        ],
        "code_parts": [
            {"scheme": "n", "part": "line", "value": letter, "means": "shape",
             "thing": f"shape/{shape}", "source": "letter"}
            for letter, shapes in LINES.items() for shape in shapes
        ] + [{"scheme": "n", "part": "run", "value": "", "means": "running-number", "thing": "",
              "source": "letter"}],
        "assortments": [],
    }  # fmt: skip


def text(rows: list[Row]) -> str:
    if not rows:
        return ""
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def bounded(tables: Tables) -> Bounds:
    """Reckon the first and last year of every point: what follows what, until nothing moves."""
    low: dict[str, int] = {}
    high: dict[str, int] = {}
    order: list[tuple[str, str]] = []

    def dated(point: str, date: str) -> None:
        if date:
            first, _, last = date.partition("/")
            low[point], high[point] = int(first), int(last or first)

    for table, key in (("shapes", "shape"), ("flatware", "")):
        for row in tables[table]:
            thing = row[key] if key else f"{row['shape']}+{row['with']}"
            dated(f"{thing}#begin", row["begin"])
            dated(f"{thing}#end", row["end"])
            if key or row["begin"] or row["end"]:
                order.append((f"{thing}#begin", f"{thing}#end"))
            if not key and (row["begin"] or row["end"]):
                for shape in (row["shape"], row["with"]):
                    order.append((f"{shape}#begin", f"{thing}#begin"))
                    order.append((f"{thing}#end", f"{shape}#end"))
    for row in tables["pieces"]:
        made, decorated = f"{row['piece']}#made", f"{row['piece']}#decorated"
        dated(made, row["made"])
        dated(decorated, row["decorated"])
        order += [(f"{row['shape']}#begin", made), (made, f"{row['shape']}#end"), (made, decorated)]
    moved = True
    while moved:
        before = dict(low), dict(high)
        for one, other in order:
            if one in low:
                low[other] = max(low.get(other, 0), low[one])
            if other in high:
                high[one] = min(high.get(one, 9999), high[other])
        moved = before != (low, high)
    for source, year in SOURCES.items():
        low[source] = high[source] = year
    return {p: (low.get(p), high.get(p)) for p in {*low, *high}}


def less(one: int | None, other: int | None) -> bool:
    return one is not None and other is not None and one < other


def late(bounds: Bounds, home: str, shape: str, where: str, piece: bool) -> tuple[str, list[str]]:
    none: tuple[int | None, int | None] = (None, None)
    end, begin = bounds.get(f"{home}#end", none), bounds.get(f"{shape}#begin", none)
    made, decorated = bounds.get(f"{where}#made", none), bounds.get(f"{where}#decorated", none)
    source = none if piece else bounds[where]
    listed = source if where in LISTS else none
    if end == none or {begin, made, decorated, source} == {none}:
        return "not known", []
    if any(less(end[1], point[0]) for point in (begin, made, decorated, listed)):
        return "yes", []
    on_piece = made != none or decorated != none
    seen = made if on_piece else source
    if (
        seen[1] is not None
        and end[0] is not None
        and seen[1] <= end[0]
        and not less(end[0], decorated[0])
    ):
        return "no", []
    # Nothing says when it ended but that it did not end before it began.
    if end[1] is None and end[0] in (None, bounds.get(f"{home}#begin", none)[0]):
        return "not known", []
    deciding = [] if end[0] is not None and end[0] == end[1] else ["when the home shape ended"]
    if on_piece and not (made[0] is not None and made[0] == made[1]):
        deciding.append("when the piece was made and decorated")
    if not on_piece and where not in LISTS:
        deciding.append("when the other shape was sold so")
    return "possibly", deciding


def sharing(tables: Tables, bounds: Bounds, pair: set[str], where: str, piece: bool) -> str:
    """Say whether two shapes shared flatware then; empty if nobody says that they ever did."""
    rows = [row for row in tables["flatware"] if {row["shape"], row["with"]} == pair]
    if not rows:
        return ""
    if piece:
        made = bounds.get(f"{where}#made", (None, None))
        first, last = made
        last = last if last is not None else None
    else:
        first, last = SOURCES[where] if where in LISTS else None, SOURCES[where]
    found = []
    for row in rows:
        if row["begin"] or row["end"]:
            thing = f"{row['shape']}+{row['with']}"
            begin, end = bounds[f"{thing}#begin"], bounds[f"{thing}#end"]
            if less(end[1], first) or less(last, begin[0]):
                found.append("no")
            elif (
                None not in (begin[1], first, last, end[0])
                and begin[1] <= first  # type: ignore[operator]
                and last <= end[0]  # type: ignore[operator]
            ):
                found.append("yes")
            else:
                found.append("possibly")
    if not found or (first is None and last is None):
        return "not known"
    return "yes" if "yes" in found else "no" if set(found) == {"no"} else "possibly"


def homes(treatment: Row) -> list[str]:
    """Return the home a row gives, else those its number has by the scheme of its pottery."""
    if treatment["shape"]:
        return [treatment["shape"]]
    return LINES.get(treatment["number"][0], []) if treatment["pottery"] == "harrow" else []


def reissues(tables: Tables, treatment: Row, shape: str) -> list[tuple[str, str, str]]:
    found = []
    for other in tables["treatments"]:
        same = other["decal"] and other["decal"] == treatment["decal"]
        if same and shape in homes(other) and other is not treatment:
            ends = {f"treatment/{treatment['treatment']}", f"treatment/{other['treatment']}"}
            said = [
                r["certainty"] for r in tables["lineage"] if {r["thing"], r["reissue_of"]} == ends
            ]
            doubted = all(c in DOUBT for c in said) if said else bool(
                {treatment["certainty"], other["certainty"]} & set(DOUBT)
            )  # fmt: skip
            strength = "weak" if doubted else "strong" if said else "fair"
            words = "decal reissued under the other shape's number"
            found.append((words, strength, f"treatment/{other['treatment']}"))
    return found


def expected(tables: Tables) -> set[tuple[str, ...]]:
    bounds = bounded(tables)
    named = {row["treatment"]: row for row in tables["treatments"]}
    seen = [(r["treatment"], r["shape"], r["form"], r["piece"], True) for r in tables["pieces"]]
    seen += [(r["treatment"], r["shape"], "", r["source"], False) for r in tables["appearances"]]
    rows = set()
    away = [
        (home, *each)
        for each in seen
        for home in homes(named[each[0]])
        if each[1] not in homes(named[each[0]])
    ]
    for home, treatment, shape, form, where, piece in away:
        verdict, deciding = late(bounds, home, shape, where, piece)
        then = sharing(tables, bounds, {home, shape}, where, piece)
        found = reissues(tables, named[treatment], shape)
        if then:
            words, strength = SHARED[form]
            said = [
                r["certainty"]
                for r in tables["flatware"]
                if {r["shape"], r["with"]} == {home, shape}
            ]
            weak = then == "no" or all(certainty in DOUBT for certainty in said)
            found.append((words, "weak" if weak else strength, ""))
        if verdict == "yes":
            found.append(("late reissue", "fair", ""))
        elif not found:
            open_ = verdict == "possibly"
            found.append(("possibly a late reissue" if open_ else "none yet", "none", ""))
        deciding = [*deciding, *(["when the two shared flatware"] if then == "possibly" else [])]
        what = f"piece/{where}" if piece else f"source/{where}"
        for words, strength, other in found:
            rows.add((
                f"treatment/{treatment}", f"shape/{home}", f"shape/{shape}",
                f"form/{form}" if form else "", what, words, strength, other, then, verdict,
                "; ".join(deciding), "", "" if named[treatment]["shape"] else "number",
            ))  # fmt: skip
    return rows


def short(value: object) -> str:
    text = "" if value is None else str(value)
    return text.removeprefix("https://example.org/shelf/").removeprefix("https://w3id.org/glost/")


def asked(answer: Answer) -> set[tuple[str, ...]]:
    places = [place for place, name in enumerate(answer.columns) if name != "number"]
    return {tuple(short(row.values[place]) for place in places) for row in answer.rows}


def reckoned(snapshot: Snapshot) -> set[tuple[str, ...]]:
    return {
        (
            *map(short, (c.treatment, c.home, c.seen_on, s.form, s.where)), e.words,
            STRENGTHS[e.strength], short(e.reissue), short(s.timing.sharing), str(s.timing.late),
            "; ".join(s.timing.deciding), "; ".join(s.timing.disputed),
            "number" if c.by_number else "",
        )
        for c in crossings(snapshot.belief, snapshot.chronology)
        for s in c.sightings
        for e in s.explanations
    }  # fmt: skip


SEEDS = range(1, 8)


@pytest.mark.parametrize("seed", SEEDS)
def test_question_and_reckoning_give_what_the_tables_say(seed: int, tmp_path: Path) -> None:
    tables = drawn(seed)
    snapshot = Snapshot(
        write(tmp_path / "c", **{name: text(rows) for name, rows in tables.items()})
    )
    found = expected(tables)
    assert reckoned(snapshot) == found
    assert asked(snapshot.answers.ask("crossings")) == found


def test_the_collections_hold_every_case() -> None:
    rows = [row for seed in SEEDS for row in expected(drawn(seed))]
    seen: dict[int, set[str]] = defaultdict(set)
    for row in rows:
        for place, value in enumerate(row):
            seen[place].add(value)
    assert seen[5] >= {words for words, _ in SHARED.values()} | {"late reissue", "none yet"}
    assert seen[6] == {"strong", "fair", "weak", "none"}
    assert seen[8] == {"", "yes", "no", "possibly", "not known"}
    assert seen[9] >= {"yes", "no", "possibly"}
    assert seen[12] == {"", "number"}


def test_the_collections_hold_homes_and_reissues_known_by_numbers_alone() -> None:
    numbered: dict[str, set[str]] = defaultdict(set)
    reissued = set()
    for seed in SEEDS:
        tables = drawn(seed)
        by_id = {f"treatment/{t['treatment']}": t for t in tables["treatments"]}
        for row in expected(tables):
            if row[12]:
                numbered[f"{seed} {row[0]}"].add(row[1])
            if row[7] and not by_id[row[7]]["shape"]:
                reissued.add(row[7])
    assert {len(found) for found in numbered.values()} == {1, 2}
    assert reissued
