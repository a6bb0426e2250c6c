"""What sources state about lists, worked out again from rows of tables in plain Python.

Nothing of the program is used. When shapes were brought in, and when lists came out, is given, as
days between which it lies; so is which form is wider than which, and what is flatware.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from firsts_by_hand import ahead, slug
from reckoning import FAR, span

Cells = Mapping[str, str]
Days = tuple[int | None, int | None]
Told = tuple[str, str, str, object]
ORDERED = ("first", "last", "only")


@dataclass(frozen=True)
class State:
    """Whether a shape had an article, and by what."""

    verdict: str
    disputed: bool
    by: tuple[str, ...]
    lists: frozenset[str]


@dataclass
class Stated:
    """Rows of the tables that bear on it, and days."""

    makers: Mapping[str, str]
    names: Mapping[str, str]
    offers: Sequence[Cells]
    complete: Mapping[str, set[str]]
    pieces: Sequence[Cells]
    articles: Sequence[Cells]
    absences: Sequence[Cells]
    superlatives: Sequence[Cells]
    totals: Sequence[Cells]
    begins: Mapping[str, Days]
    issued: Mapping[str, Days]
    wider: Mapping[str, set[str]]
    ware: Mapping[str, str]

    def told(self) -> list[Told]:
        """Return of what, which kind, the verdict, and what bears on it: names or numbers."""
        found: list[Told] = [
            (r["of"], "absence", *self._absence(r, by))
            for r, by in _once(self.absences)
            if r["lacks"] != "mark"
        ]
        found += [
            (r["of"], "superlative", *self._superlative(r, by))
            for r, by in _once(self.superlatives)
        ]
        found += [(rows[0]["of"], "total", *self._total(rows)) for rows in _totals(self.totals)]
        return sorted(found, key=repr)

    def _before(self, one: str, other: str) -> bool:
        return one != other and ahead(self.begins[one], self.begins[other])

    def _beats(self, best: str, one: str, other: str) -> bool:
        if best == "only":
            return True
        return self._before(one, other) if best == "first" else self._before(other, one)

    def _fellows(self, shape: str) -> list[str]:
        return sorted(s for s, p in self.makers.items() if p == self.makers[shape])

    def _scope(self, row: Cells) -> list[str]:
        kind, _, name = row["of"].partition("/")
        if kind == "shape":
            return [name]
        return [
            shape
            for shape, pottery in sorted(self.makers.items())
            if pottery == name
            and (not row["after"] or self._before(row["after"], shape))
            and (not row["before"] or self._before(shape, row["before"]))
        ]

    # whether a shape had an article

    def state(self, shape: str, form: str, size: str, without: str, apart: set[str]) -> State:
        """Say whether a shape had an article, one kind of statement and one source left aside."""
        says = [(how, each, at) for how, each, at in self._for(shape, form, without, apart)
                if size in ("", each)]  # fmt: skip
        against = [each for how, each in self._against(shape, form, without, apart)
                   if each in ("", size)
                   or (how == "never" and size == "" and says and all(s == each for _, s, _ in says))]  # fmt: skip
        by = tuple(how for how, _, _ in says)
        lists = frozenset(at for how, _, at in says if how == "listed")
        if says or against:
            verdict = "possibly" if says and against else "yes" if says else "no"
            return State(verdict, bool(says and against), by, lists)
        said = [
            self.complete.get(r["catalogue"], set()) for r in self.offers if r["shape"] == shape
        ]
        if {"yes"} in said:
            return State("no", False, (), lists)
        if {"yes", "no"} in said:
            return State("possibly", True, (), lists)
        return State("not known", False, (), lists)

    def _for(
        self, shape: str, form: str, without: str, apart: set[str]
    ) -> Iterable[tuple[str, str, str]]:
        for how, rows in (("listed", self.offers), ("shown", self.pieces)):
            for row in rows:
                if row["shape"] == shape and slug(row["form"]) == form:
                    yield how, row.get("trade_size", ""), row.get("catalogue", "")
        for row in self.articles:
            if row["shape"] == shape and slug(row["form"]) == form and row["produced"] == "yes":
                yield "produced", row.get("trade_size", ""), ""
        for row in self.superlatives:
            same = row["of"] == f"shape/{shape}" and slug(row["form"]) == form
            if same and row["superlative"] in ORDERED and self._counts(row, "best", without, apart):
                yield "best", row.get("trade_size", ""), ""

    def _counts(self, row: Cells, kind: str, without: str, apart: set[str]) -> bool:
        return kind != without and row["source"] not in apart

    def _against(
        self, shape: str, form: str, without: str, apart: set[str]
    ) -> Iterable[tuple[str, str]]:
        for row in self.articles:
            if row["shape"] == shape and slug(row["form"]) == form and row["produced"] == "no":
                yield "never", row.get("trade_size", "")
        for row in self.absences:
            if row["lacks"] == "mark" or row["of"].startswith("source/"):
                continue
            counts = slug(row["form"]) == form and self._counts(row, "absent", without, apart)
            if counts and shape in self._scope(row):
                yield "absent", row["trade_size"]
        for row in self.superlatives:
            kind, _, name = row["of"].partition("/")
            if slug(row["form"]) != form or not self._counts(row, "best", without, apart):
                continue
            best, size = row["superlative"], row.get("trade_size", "")
            if kind == "pottery":
                if best == "only" and self.makers[shape] != name:
                    yield "best", size
            elif (
                name != shape
                and self.makers[name] == self.makers[shape]
                and best in ORDERED
                and self._beats(best, shape, name)
            ):  # who came in before the first had none, nor who came in after the last
                yield "best", size

    # absences

    def _absence(self, row: Cells, by: set[str]) -> tuple[str, object]:
        form, size = slug(row["form"]), row["trade_size"]
        kind, _, name = row["of"].partition("/")
        if kind == "source":
            rows = [r for r in self.offers if r["catalogue"] == name]
            has = [
                r for r in rows if slug(r["form"]) == form and size in ("", r.get("trade_size", ""))
            ]
            if has:
                return "no", frozenset(self.names[r["shape"]] for r in has)
            return "yes" if rows and self.complete.get(name) == {
                "yes"
            } else "not known", frozenset()
        shapes = self._scope(row)
        states = {s: self.state(s, form, size, "absent", by) for s in shapes}
        had = [s for s in shapes if states[s].by]
        lacking = [s for s in shapes if states[s].verdict == "no"]
        others = [s for s in shapes if s not in had and s not in lacking]
        beyond = [
            shape
            for shape, pottery in self.makers.items()
            if kind == "pottery" and pottery == name and shape not in shapes
            and shape not in (row["after"], row["before"])
            and not (row["after"] and self._before(shape, row["after"]))
            and not (row["before"] and self._before(row["before"], shape))
        ]  # fmt: skip
        told = frozenset(self.names[s] for s in (*had, *lacking))
        if any(not states[s].disputed for s in had):
            return "no", told
        if had or (lacking and (others or beyond)):
            return "possibly", told
        return "yes" if lacking else "not known", told

    # superlatives

    def _superlative(self, row: Cells, by: set[str]) -> tuple[str, object]:
        best, form = row["superlative"], slug(row["form"])
        kind, _, name = row["of"].partition("/")
        if best not in ORDERED:
            return self._most(row, kind, name)
        if kind == "pottery":
            return self._of_pottery(row, by, name, form), None
        states = self._states(row, by, self._fellows(name), form)
        if not states[name].by:
            return self._unsaid(best, name, states), None
        return self._judged(best, name, states), None

    def _states(
        self, row: Cells, by: set[str], shapes: Iterable[str], form: str
    ) -> dict[str, State]:
        size = row.get("trade_size", "")
        return {s: self.state(s, form, size, "best", by) for s in shapes}

    def _unsaid(self, best: str, own: str, states: Mapping[str, State]) -> str:
        if states[own].verdict == "no":
            return "no"
        rivals = [s for s, each in states.items() if s != own and each.verdict == "yes"]
        return "no" if any(self._beats(best, s, own) for s in rivals) else "not known"

    def _judged(self, best: str, own: str, states: Mapping[str, State]) -> str:
        rivals = {s: each for s, each in states.items() if each.by and s != own}
        sure = [s for s, each in rivals.items() if not each.disputed]
        doubtful = [s for s, each in rivals.items() if each.disputed]
        open_ = [s for s, each in states.items() if not each.by and each.verdict != "no"]
        mine = states[own]
        if any(self._beats(best, s, own) for s in sure):
            return "no"
        if best == "only":
            if doubtful or mine.disputed:
                return "possibly"
            listed = {r["shape"] for r in self.offers}
            more = listed & set(open_) and set(mine.by) != {"shown"}
            return ("possibly" if more else "not known") if open_ else "yes"
        beside = [
            s for s in rivals if not self._beats(best, s, own) and not self._beats(best, own, s)
        ]
        if beside:
            return (
                "possibly"
                if self._listed_beyond(best, mine, [rivals[s] for s in beside])
                else ("not known")
            )
        unsettled = mine.disputed or any(self._beats(best, s, own) for s in doubtful)
        unknown = any(not self._beats(best, own, s) for s in open_)
        return "possibly" if unsettled or unknown else "yes"

    def _listed_beyond(self, best: str, own: State, beside: Sequence[State]) -> bool:
        if not own.lists or not all(each.lists for each in beside):
            return False
        theirs = {at for each in beside for at in each.lists}

        def good(mine: str, other: str) -> bool:
            pair = (mine, other) if best == "first" else (other, mine)
            return ahead(self.issued[pair[0]], self.issued[pair[1]])

        return all(any(good(mine, other) for mine in own.lists) for other in theirs)

    def _of_pottery(self, row: Cells, by: set[str], name: str, form: str) -> str:
        best = row["superlative"]
        states = self._states(row, by, self.makers, form)
        has = {p: [s for s, q in self.makers.items() if p == q and states[s].verdict == "yes"]
               for p in set(self.makers.values())}  # fmt: skip
        own = has.pop(name, [])
        rivals = {p: some for p, some in has.items() if some}
        lacks = any(states[s].verdict == "no" for s, p in self.makers.items() if p != name)

        def leads(some: Sequence[str], others: Sequence[str]) -> bool:
            return any(all(self._beats(best, s, o) for o in others) for s in some)

        if rivals and best == "only":
            return "no"
        if any(own and leads(some, own) for some in rivals.values()):
            return "no"
        if not own or not (rivals or lacks):
            return "not known"
        level = any(not leads(own, some) for some in rivals.values())
        unknown = any(
            states[s].verdict != "no"
            for s, p in self.makers.items()
            if p != name and p not in rivals
        )
        return "possibly" if level or unknown else "yes"

    def _most(self, row: Cells, kind: str, name: str) -> tuple[str, object]:
        among = self._fellows(name) if kind == "shape" else sorted(set(self.makers.values()))
        counted = {"counted": "articles", "form": row["form"], "ware": ""}
        largest = {}
        for one in among:
            alone, _ = self._counts_of(counted, f"{kind}/{one}", "")
            largest[one] = max(alone, default=None)
        own = largest.pop(name, None)
        if own is None:
            return "not known", frozenset()
        sign = 1 if row["superlative"] == "most" else -1
        known = [each for each in largest.values() if each is not None]
        numbers = frozenset(n for n, _ in (own, *known))
        for number, whole in known:
            if sign * number > sign * own[0] and (own[1] if sign == 1 else whole):
                return "no", numbers
        sure = len(known) == len(largest) and own[1] and all(whole for _, whole in known)
        alone_ = all(sign * number < sign * own[0] for number, _ in known)
        return "yes" if sure and alone_ else "possibly", numbers

    # totals

    def _counts_of(
        self, row: Cells, of: str, when: str
    ) -> tuple[list[tuple[int, bool]], list[tuple[int, bool]]]:
        """Count in each list, and in all of them; with whether they are stated complete."""
        kind, _, name = of.partition("/")
        by_list: dict[str, list[Cells]] = {}
        for each in self.offers:
            own = {"shape": each["shape"], "source": each["catalogue"],
                   "pottery": self.makers.get(each["shape"], "")}  # fmt: skip
            if own[kind] == name and self._then(each["catalogue"], when):
                by_list.setdefault(each["catalogue"], []).append(each)
        alone = [(self._number(row, rows), self._whole([at])) for at, rows in by_list.items()]
        if len(alone) < 2:
            return alone, alone
        every = [each for rows in by_list.values() for each in rows]
        return alone, [*alone, (self._number(row, every), self._whole(by_list))]

    def _whole(self, lists: Iterable[str]) -> bool:
        return all(self.complete.get(each) == {"yes"} for each in lists)

    def _then(self, at: str, when: str) -> bool:
        if not when:
            return True
        first, last = span(when)
        issued = self.issued[at]
        start = -FAR if issued[0] is None else issued[0]
        end = FAR if issued[1] is None else issued[1]
        return start <= last and first <= end

    def _number(self, row: Cells, rows: Iterable[Cells]) -> int:
        things = set()
        for each in rows:
            form, size = slug(each["form"]), each.get("trade_size", "")
            if row["form"] and slug(row["form"]) not in self.wider[form]:
                continue
            if row["ware"] and self.ware[form] != row["ware"]:
                continue
            what = {"articles": (form, size, each.get("variant", "").lower()), "forms": form,
                    "sizes": size, "shapes": each["shape"]}[row["counted"]]  # fmt: skip
            things.add(what)
        return len(things - {""})

    def _total(self, rows: Sequence[Cells]) -> tuple[str, object]:
        row = rows[0]
        _, one = self._counts_of(row, row["of"], row["date"])
        _, other = self._counts_of(row, row["than"], row["than_date"]) if row["than"] else ([], [])
        return self._met(rows, one, other), frozenset(n for n, _ in (*one, *other))

    def _met(
        self, rows: Sequence[Cells], one: list[tuple[int, bool]], other: list[tuple[int, bool]]
    ) -> str:
        about = any(row["about"] == "yes" for row in rows)
        stated = [int(row[c]) for row in rows for c in ("number", "up_to") if row[c]]
        if not stated:
            pairs = [(a, b) for a, b in product(one, other) if b[0]]
            if not pairs:
                return "not known"
            whole = [(a[0], b[0]) for a, b in pairs if a[1] and b[1]]
            part = _part(min(row["proportion"] for row in rows))
            near = Fraction(1, 10) if about else Fraction(1, 20)
            # So near a part of the whole, or to the nearest whole number.
            if any(abs(a - part * b) <= max(near * b, Fraction(1, 2)) for a, b in whole):
                return "yes"
            return "no" if whole else "possibly"
        least, most = min(stated), max(stated)
        if not one:
            return "not known"
        if any(
            whole
            and 10 * n >= (9 if about else 10) * least
            and 10 * n <= (11 if about else 10) * most
            for n, whole in one
        ):
            return "yes"
        over = all(10 * n > (11 if about else 10) * most for n, _ in one)
        return "no" if over or any(whole for _, whole in one) else "possibly"


def _once(rows: Iterable[Cells]) -> list[tuple[Cells, set[str]]]:
    """Join rows in which several sources state the same."""
    found: dict[tuple[str, ...], tuple[Cells, set[str]]] = {}
    for row in rows:
        said = tuple(row.get(c, "") for c in _STATED)
        found.setdefault(said, (row, set()))[1].add(row["source"])
    return list(found.values())


_STATED = ("of", "lacks", "form", "trade_size", "after", "before", "superlative")


def _totals(rows: Iterable[Cells]) -> list[list[Cells]]:
    """Join rows that say how many there were of one thing at one time, as one may say 2 or 3."""
    found: dict[tuple[str, ...], list[Cells]] = {}
    for row in rows:
        what = ("of", "counted", "form", "ware", "date", "than", "than_date")
        found.setdefault(tuple(row[c] for c in what), []).append(row)
    return list(found.values())


def _part(text: str) -> Fraction:
    if "%" in text:
        return Fraction(text.replace("%", "").strip()) / 100
    return Fraction(text)


def named(because: str, names: Iterable[str]) -> frozenset[str]:
    """Return which of some names stand in what bears on a statement."""
    return frozenset(n for n in names if re.search(rf"\b{re.escape(n)}\b", because))


def numbers(because: str) -> frozenset[int]:
    """Return the numbers that stand there after the name of what was counted."""
    return frozenset(int(n) for n in re.findall(r"(?<= )\d+(?=,|;|$| or )", because))
