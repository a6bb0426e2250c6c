"""When things ran, worked out from the tables alone: Python's own library, nothing of Glost.

Rows and corrections are read by `believed_rows`. Days are numbers, 1 for 0001-01-01. A limit says
that one point comes at most so many days after another; a date is a limit with the day 0. Bounds are
shortest paths by Bellman and Ford. Codes on pieces, terms and files other than tables are not read.
"""

import re
from calendar import monthrange
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from itertools import product
from pathlib import Path

from believed_rows import believed

ORIGIN = "day 0"
FAR = float("inf")
LAG = 366  # a list may lag a year behind, or run a year ahead
Row = dict[str, str]
Ground = tuple[str, str, str]
Days = tuple[float, float]

# start and end of the first run against start and end of the second (Allen 1983)
ALLEN = {
    "before": "<<<<", "after": ">>>>", "meets": "<<=<", "met by": ">=>>", "overlaps": "<<><",
    "overlapped by": "><>>", "starts": "=<><", "started by": "=<>>", "during": "><><",
    "contains": "<<>>", "finishes": "><>=", "finished by": "<<>=", "equals": "=<>=",
}  # fmt: skip
POINTS = {"before": "<", "after": ">", "equals": "="}


@dataclass(frozen=True)
class Limit:
    """`later` comes at most `days` before `earlier`: earlier <= later + days."""

    earlier: str
    later: str
    days: int
    grounds: frozenset[Ground]


def span(text: str) -> Days:
    """Read the few forms of date that the tables of examples and tests have."""
    if text.startswith("[.."):  # one day, no later than so
        return -FAR, span(text.removeprefix("[..").removesuffix("]"))[1]
    if "/" in text:
        first, last = text.split("/")
        return (
            -FAR if first in ("", "..") else span(first)[0],
            FAR if last in ("", "..") else span(last)[1],
        )
    found = re.fullmatch(r"(\d{3}[\dX])(?:-(\d\d)(?:-(\d\d))?)?([?~%]?)", text)
    assert found, text
    year, month, day, sign = found.groups()
    low, high = int(year.replace("X", "0")), int(year.replace("X", "9"))
    wide = {True: 0, False: 7 if day else 61 if month else 730}[sign not in ("~", "%")]
    first = date(low, int(month or 1), int(day or 1)).toordinal()
    last_month = int(month or 12)
    last = date(high, last_month, int(day or monthrange(high, last_month)[1])).toordinal()
    return first - wide, last + wide


def fewest(years: int) -> int:
    return 365 * years + max(0, years // 4 - -(-years // 100))


def most(years: int) -> int:
    return 365 * years + -(-years // 4)


class Reckoning:
    """Everything that the tables of a collection say of time."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._rows = believed(folder)
        self.limits = list(dict.fromkeys(limit for read in _READERS for limit in read(self)))
        points = {p for limit in self.limits for p in (limit.earlier, limit.later)}
        for one, other in (("begin", "end"), ("made", "decorated")):
            for thing in {p.partition("#")[0] for p in points if p.endswith((one, other))}:
                self.limits.append(Limit(f"{thing}#{one}", f"{thing}#{other}", 0, frozenset()))
        self.points = sorted({p for x in self.limits for p in (x.earlier, x.later)} - {ORIGIN})

    def rows(self, name: str) -> list[Row]:
        return [row for table, row in self._rows if table == name]

    def bounds(self, without: frozenset[Ground] = frozenset()) -> dict[str, Days] | None:
        """Return the first and last possible day of every point; None if the limits clash."""
        limits = [each for each in self.limits if not each.grounds & without]
        latest = _shortest([(x.later, x.earlier, x.days) for x in limits])
        earliest = _shortest([(x.earlier, x.later, x.days) for x in limits])
        if latest is None or earliest is None or self.clash(without):
            return None
        return {p: (-earliest.get(p, FAR), latest.get(p, FAR)) for p in self.points}

    def clash(self, without: frozenset[Ground] = frozenset()) -> list[Limit]:
        """Return limits round a negative cycle; none if they agree."""
        leaving = _leaving(each for each in self.limits if not each.grounds & without)
        value = dict.fromkeys([*self.points, ORIGIN], 0)
        came: dict[str, Limit] = {}
        moving = set(value)
        while moving:
            moved: set[str] = set()
            for point in sorted(moving):
                for each in leaving.get(point, ()):
                    if value[point] + each.days < value[each.earlier]:
                        value[each.earlier] = value[point] + each.days
                        came[each.earlier] = each
                        moved.add(each.earlier)
            moving = moved
            for at in sorted(moved):
                if cycle := _round(came, at):
                    return cycle
        return []

    def agreeing(self) -> frozenset[Ground]:
        """Return statements without which the rest agree: all that take part in any clash found."""
        without = frozenset[Ground]()
        while cycle := self.clash(without):
            without |= frozenset[Ground]().union(*(each.grounds for each in cycle))
        return without

    def lapse(self, one: str, other: str, without: frozenset[Ground] = frozenset()) -> Days:
        """Return the fewest and the most days by which one point follows another."""
        limits = [each for each in self.limits if not each.grounds & without]
        onward = _shortest([(x.later, x.earlier, x.days) for x in limits], one)
        back = _shortest([(x.earlier, x.later, x.days) for x in limits], one)
        assert onward is not None
        assert back is not None
        return -back.get(other, FAR), onward.get(other, FAR)

    def readings(self) -> list[dict[str, Days]]:
        """Return the bounds under every smallest set of statements that can be set aside."""
        settled: set[frozenset[Ground]] = set()
        seen, open_ = set(), {frozenset[Ground]()}
        while open_:
            without = open_.pop()
            seen.add(without)
            cycle = self.clash(without)
            if not cycle:
                settled.add(without)
                continue
            for ground in frozenset[Ground]().union(*(each.grounds for each in cycle)):
                if (more := without | {ground}) not in seen:
                    open_.add(more)
        least = [each for each in settled if not any(other < each for other in settled)]
        found = [self.bounds(each) for each in sorted(least, key=sorted)]
        return [each for each in found if each is not None]


def verdict(readings: list[dict[str, Days]], thing: str, year: int) -> str:
    """Say whether a thing ran on some day of a year, whichever reading is right."""
    first, last = date(year, 1, 1).toordinal(), date(year, 12, 31).toordinal()
    nothing = (-FAR, FAR)
    runs = [(r.get(f"{thing}#begin", nothing), r.get(f"{thing}#end", nothing)) for r in readings]
    if all(begin[1] <= last and end[0] >= first for begin, end in runs):
        return "yes"
    early, late = min(begin[0] for begin, _ in runs), max(end[1] for _, end in runs)
    if early > last or late < first:
        return "no"
    known = len(set(runs)) > 1 or any(abs(day) != FAR for run in runs for end in run for day in end)
    return "possibly" if known else "not known"


def _round(came: dict[str, Limit], at: str) -> list[Limit]:
    """Follow limits back from a point; return those of a circle, if they come round."""
    path: dict[str, int] = {}
    steps: list[Limit] = []
    while at in came and at not in path:
        path[at] = len(steps)
        steps.append(came[at])
        at = came[at].later
    return steps[path[at] :] if at in path else []


def _leaving(limits: Iterable[Limit]) -> dict[str, list[Limit]]:
    found: dict[str, list[Limit]] = {}
    for each in limits:
        found.setdefault(each.later, []).append(each)
    return found


def _shortest(edges: list[tuple[str, str, int]], start: str = ORIGIN) -> dict[str, float] | None:
    leaving: dict[str, list[tuple[str, int]]] = {}
    for source, target, days in edges:
        leaving.setdefault(source, []).append((target, days))
    value: dict[str, float] = {start: 0}
    moving = {start}
    for _ in range(len(edges) + 2):
        moved = set()
        for source in moving:
            for target, days in leaving.get(source, ()):
                if value[source] + days < value.get(target, FAR):
                    value[target] = value[source] + days
                    moved.add(target)
        moving = moved
        if not moving:
            return value
    return None


def _dates(self: Reckoning) -> Iterator[Limit]:
    for table, kind, columns in (
        ("potteries", "pottery", "begin end"), ("plants", "plant", "begin end"),
        ("kilns", "kiln", "begin end"), ("shapes", "shape", "begin end"),
        ("treatments", "treatment", "begin end"), ("marks", "mark", "begin end"),
        ("glazes", "glaze", "begin end"), ("decals", "decal", "begin end"),
        ("people", "person", "begin end"), ("firms", "firm", "begin end"),
        ("pieces", "piece", "made decorated"), ("sources", "source", "date"),
    ):  # fmt: skip
        for row, column in product(self.rows(table), columns.split()):
            if row.get(column):
                point = f"{kind}/{row[kind]}" + (f"#{column}" if column != "date" else "")
                yield from _on(point, row[column])


def _on(point: str, text: str) -> Iterator[Limit]:
    ground = frozenset({(point, "date", text)})
    first, last = span(text)
    if first != -FAR:
        yield Limit(ORIGIN, point, -int(first), ground)
    if last != FAR:
        yield Limit(point, ORIGIN, int(last), ground)


def _within(self: Reckoning) -> Iterator[Limit]:
    """What is made, stands or is issued while something else lasts."""
    for table, kind, column, whole in (
        ("shapes", "shape", "pottery", "pottery"), ("treatments", "treatment", "pottery", "pottery"),
        ("kilns", "kiln", "plant", "plant"),
    ):  # fmt: skip
        for row in self.rows(table):
            if row.get(column):
                thing, other = f"{kind}/{row[kind]}", f"{whole}/{row[column]}"
                ground = frozenset({(thing, column, other)})
                yield Limit(f"{other}#begin", f"{thing}#begin", 0, ground)
                yield Limit(f"{thing}#end", f"{other}#end", 0, ground)
    run_by: dict[str, set[str]] = {}
    for row in self.rows("plants"):
        if row.get("pottery"):
            run_by.setdefault(row["plant"], set()).add(row["pottery"])
    for plant, potteries in run_by.items():
        if len(potteries) == 1:
            pottery = f"pottery/{min(potteries)}"
            ground = frozenset({(f"plant/{plant}", "pottery", pottery)})
            yield Limit(f"{pottery}#begin", f"plant/{plant}#begin", 0, ground)
            yield Limit(f"plant/{plant}#end", f"{pottery}#end", 0, ground)


BODY, OVER, SALE = (
    {"impressed", "incised", "moulded", "underglaze"},
    {"overglaze", "painted"},
    {"paper-label", "ink-stamped"},
)


def _pieces(self: Reckoning) -> Iterator[Limit]:
    applied = {row["mark"]: row["applied"] for row in self.rows("marks") if row.get("applied")}
    plants = {row["mark"]: row["plant"] for row in self.rows("marks") if row.get("plant")}
    for row in self.rows("pieces"):
        piece = f"piece/{row['piece']}"
        made, decorated = f"{piece}#made", f"{piece}#decorated"
        for kind in ("shape", "pottery"):
            if row.get(kind):
                yield from _while(f"{kind}/{row[kind]}", made, {(piece, kind, row[kind])})
        if row.get("treatment"):
            ground = {(piece, "treatment", row["treatment"])}
            yield from _while(f"treatment/{row['treatment']}", decorated, ground)
        if row.get("glaze"):
            ground = frozenset({(piece, "glaze", row["glaze"])})
            yield Limit(made, f"glaze/{row['glaze']}#end", 0, ground)
            yield Limit(f"glaze/{row['glaze']}#begin", decorated, 0, ground)
        if row.get("decal"):
            ground = frozenset({(piece, "decal", row["decal"])})
            yield Limit(f"decal/{row['decal']}#begin", decorated, 0, ground)
        mark = row.get("mark", "")
        how = applied.get(mark, "")
        ground = {(piece, "mark", mark), (f"mark/{mark}", "applied", how)}
        if how in BODY:
            yield from _while(f"mark/{mark}", made, ground)
            if mark in plants:
                also = ground | {(f"mark/{mark}", "plant", plants[mark])}
                yield from _while(f"plant/{plants[mark]}", made, also)
        elif how in OVER:
            yield from _while(f"mark/{mark}", decorated, ground)
        elif how in SALE:
            yield Limit(decorated, f"mark/{mark}#end", 0, frozenset(ground))


def _while(thing: str, point: str, ground: set[Ground]) -> Iterator[Limit]:
    yield Limit(f"{thing}#begin", point, 0, frozenset(ground))
    yield Limit(point, f"{thing}#end", 0, frozenset(ground))


def _lists(self: Reckoning) -> Iterator[Limit]:
    for row in self.rows("assortments"):
        ground = frozenset({("list", row["catalogue"], row["shape"])})
        yield from _listed(f"shape/{row['shape']}", row["catalogue"], ground)
    lists = {
        row["source"]
        for row in self.rows("sources")
        if row.get("kind") in ("catalogue", "price-list", "brochure")
    }
    for table in ("treatments", "glazes", "appearances"):
        kind = table.rstrip("s") if table != "appearances" else "treatment"
        for row in self.rows(table):
            shown = (
                row.get("pottery")
                or table == "appearances"
                or (row.get("shape") and kind == "glaze")
            )
            if row.get("source") in lists and shown:
                thing = f"{kind}/{row[kind]}"
                yield from _listed(thing, row["source"], frozenset({(thing, "in", str(row))}))


def _listed(thing: str, source: str, ground: frozenset[Ground]) -> Iterator[Limit]:
    yield Limit(f"{thing}#begin", f"source/{source}", LAG, ground)
    yield Limit(f"source/{source}", f"{thing}#end", LAG, ground)


def _descent(self: Reckoning) -> Iterator[Limit]:
    def after(new: str, old: str, why: str) -> Limit:
        return Limit(f"{old}#begin", f"{new}#begin", 0, frozenset({(new, why, old)}))

    for row in self.rows("lineage"):
        for column in ("copied_from", "redesigned_from", "reissue_of", "derived_from"):
            for old in filter(None, row.get(column, "").split("|")):
                yield after(row["thing"], old, column)
    for table, kind, column, other in (
        ("treatments", "treatment", "decal", "decal"), ("treatments", "treatment", "glaze", "glaze"),
        ("kilns", "kiln", "replaces", "kiln"), ("potteries", "pottery", "succeeds", "pottery"),
        ("marks", "mark", "names_shape", "shape"), ("marks", "mark", "plant", "plant"),
        ("marks", "mark", "glaze", "glaze"),
    ):  # fmt: skip
        for row in self.rows(table):
            for old in filter(None, row.get(column, "").split("|")):
                yield after(f"{kind}/{row[kind]}", f"{other}/{old}", column)
    for row in self.rows("sources"):
        for earlier in filter(None, row.get("repeats", "").split("|")):
            ground = frozenset({(row["source"], "repeats", earlier)})
            yield Limit(f"source/{earlier}", f"source/{row['source']}", 0, ground)


def _sequences(self: Reckoning) -> Iterator[Limit]:
    for row in self.rows("sequences"):
        relation = row["relation"].replace("-", " ")
        key = "|".join(row[n] for n in ("thing", "thing_point", "relation", "other", "other_point"))
        ground = frozenset({("sequence", key, "")})
        one = _ends(row["thing"], row["thing_point"])
        two = _ends(row["other"], row["other_point"])
        if relation == "ran together":
            yield Limit(one[0], two[1], 0, ground)
            yield Limit(two[0], one[1], 0, ground)
            continue
        assert len(one) == len(two), "points against runs are not needed here"
        signs = ALLEN[relation] if len(one) == 2 else POINTS[relation]
        for (at, a), (to, b) in product(enumerate(one), enumerate(two)):
            # an end falls when its last day is over: one day after a start of the same number
            shift = (at - to) if len(one) == 2 else 0
            sign = signs[2 * at + to] if len(one) == 2 else signs
            if sign in "<=":
                yield Limit(a, b, -(sign == "<") - shift, ground)
            if sign in ">=":
                yield Limit(b, a, -(sign == ">") + shift, ground)
        if relation not in ("before", "after"):
            continue
        early, late = (one[-1], two[0]) if relation == "before" else (two[-1], one[0])
        least, greatest = row.get("at_least", ""), row.get("at_most", "")
        about = 730 if least == greatest else 0
        if least:
            more = ground | {("sequence", key, f"at least {least}")}
            yield Limit(early, late, about - fewest(int(least)), more)
        if greatest:
            more = ground | {("sequence", key, f"at most {greatest}")}
            yield Limit(late, early, most(int(greatest)) + about, more)


def _ends(thing: str, point: str) -> tuple[str, ...]:
    return (f"{thing}#begin", f"{thing}#end") if point == "run" else (f"{thing}#{point}",)


def _roles(self: Reckoning) -> Iterator[Limit]:
    for row in self.rows("roles"):
        role = (
            f"role/{row['person']}-{row.get('role', '')}-{row.get('at', '')}-{row.get('firm', '')}"
            f"-{row.get('work', '')}"
        )
        ground = frozenset({(role, "holder", row["person"])})
        yield Limit(f"person/{row['person']}#begin", f"{role}#begin", 0, ground)
        yield Limit(f"{role}#end", f"person/{row['person']}#end", 0, ground)
        for kind, column in (("pottery", "at"), ("firm", "firm")):
            if row.get(column):
                other, why = f"{kind}/{row[column]}", frozenset({(role, column, row[column])})
                yield Limit(f"{other}#begin", f"{role}#begin", 0, why)
                yield Limit(f"{role}#end", f"{other}#end", 0, why)
        for column in ("begin", "end"):
            if row.get(column):
                yield from _on(f"{role}#{column}", row[column])


def _sharing(self: Reckoning) -> Iterator[Limit]:
    """Two shapes share flatware at a time that a source gives only while both are made."""
    for row in self.rows("flatware"):
        if not (row.get("begin") or row.get("end")):
            continue
        sharing = f"sharing/{'-'.join(sorted((row['shape'], row['with'])))}"
        for shape in (row["shape"], row["with"]):
            ground = frozenset({(sharing, "sharedBy", shape)})
            yield Limit(f"shape/{shape}#begin", f"{sharing}#begin", 0, ground)
            yield Limit(f"{sharing}#end", f"shape/{shape}#end", 0, ground)
        for column in ("begin", "end"):
            if row.get(column):
                yield from _on(f"{sharing}#{column}", row[column])


_READERS = (_sharing, _dates, _within, _pieces, _lists, _descent, _sequences, _roles)
