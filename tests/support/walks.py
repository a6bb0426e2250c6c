"""Random walks through a workspace: changes and undos, and all there is to compare afterwards.

A walk is told by its seed alone. After it everything in the workspace must be what a record of the
same claims gives when all of it is made from nothing.
"""

from collections.abc import Iterator
from dataclasses import replace
from random import Random
from typing import Any

import polars as pl
import pyoxigraph as ox
from rdflib import URIRef

from glost.answer.affected import Affected, compare, put
from glost.answer.consequences import Consequences
from glost.answer.snapshot import Snapshot
from glost.answer.workspace import Workspace
from glost.reason.closure import Closure
from glost.reason.rules import reading_order
from glost.record.changes import Change
from glost.record.claims import Claim, content_id
from glost.record.fitting import row_of
from glost.record.record import Record
from glost.record.rows import PROVENANCE, ClaimRows, RowReader, Rows
from glost.record.sequence import ClaimSequence
from glost.record.sheets import ROW
from glost.record.tables import tables
from glost.report.things.basis import Living, Whole
from glost.trade.times import Argument, Chronology

QUESTIONS = ("crossings", "corrections", "runs-reckoned", "shared-flatware", "stated-of-lists")
"""Questions that need nothing to be asked about."""


def made(record: Record, table: str, cells: dict[str, str], source: str, row: int) -> Claim:
    """Make the claim that a row would be."""
    expander = RowReader.of(tables()[table], record.base, record.schemes)
    frame = pl.DataFrame({**{name: [cell] for name, cell in cells.items()}, ROW: [row]})
    name = cells.get("claim") or content_id(table, list(cells.items()))
    certainties = record.schemes["certainty"].iris
    rows = Rows(f"tables/{table}.csv", frame, expander)
    ids, sources = pl.Series([name]), pl.Series([source])
    return ClaimRows(rows, ids, sources, record.base, certainties).claim(0)


class Walker:
    """Takes steps at random.

    Parameters
    ----------
    workspace
        What is changed.
    seed
        Tells the walk.
    """

    def __init__(self, workspace: Workspace, seed: int) -> None:
        self.workspace = workspace
        self.random = Random(seed)
        self.depth = 0
        self.made: Consequences | None = None
        self._gone: list[Claim] = []
        self._number = 0
        self._cells: dict[tuple[str, str], list[str]] = {}
        for claim in workspace.record.claims:
            fit = row_of(claim)
            for name, cell in fit[1].items() if fit else ():
                self._cells.setdefault((fit[0].table.name, name), []).append(cell)

    def step(self) -> str:
        """Make one change, or take one back; say which."""
        if self.depth and self.random.random() < 0.25:
            self.depth -= 1
            self.made = self.workspace.undo()
            return "undo"
        kinds = {"remove": 3, "return": 3, "alter": 4, "correct": 3, "copy": 2, "several": 1}
        kind = self.random.choices(list(kinds), list(kinds.values()))[0]
        change = getattr(self, f"_{kind}")()
        self.made = self.workspace.apply(change)
        self.depth += 1
        return f"{kind} {[c.id for c in change.added]} {[str(i) for i in change.removed]}"

    def _some(self) -> Claim:
        claims = self.workspace.record.claims
        return claims[self.random.randrange(len(claims))]

    def _remove(self) -> Change:
        if len(self.workspace.record.claims) < 5:
            return self._return()
        claim = self._some()
        self._gone.append(claim)
        return Change((), (claim.iri,))

    def _return(self) -> Change:
        if not self._gone:
            return self._alter()
        return Change((self._gone.pop(self.random.randrange(len(self._gone))),))

    def _alter(self) -> Change:
        """Put another row in a claim's place, under its own id, with a cell from another row."""
        claim = self._some()
        table, cells = self._row(claim)
        if not table or table == "corrections":
            return self._copy()
        self._vary(table, cells)
        cells["claim"] = claim.id
        return Change((made(self.workspace.record, table, cells, str(claim.passage.source), 2),))

    def _copy(self) -> Change:
        """Add a row like another, with a cell from a third, on another's source."""
        for _ in range(20):
            claim = self._some()
            table, cells = self._row(claim)
            if table and table != "corrections":
                self._vary(table, cells)
                self._number += 1
                cells["claim"] = f"walked-{self._number}"
                source = str(self._some().passage.source)
                return Change((made(self.workspace.record, table, cells, source, 9000),))
        return Change()

    def _correct(self) -> Change:
        """Add a correction of a claim, of some of its columns or the whole of it."""
        claim = self._some()
        table, cells = self._row(claim)
        self._number += 1
        row = {"withdraws": claim.id, "reason": "at random", "claim": f"correction-{self._number}"}
        names = sorted(set(cells) - set(PROVENANCE) - set(tables()[table].naming if table else ()))
        if names and table != "corrections" and self.random.random() < 0.6:
            row["columns"] = self.random.choice(names)
        if self.random.random() < 0.3:
            row["recorded_on"] = f"20{self.random.randrange(10, 30)}-01-02"
        source = str(self._some().passage.source)
        return Change((made(self.workspace.record, "corrections", row, source, 7),))

    def _several(self) -> Change:
        """Make a few changes in one."""
        parts = [self._copy(), self._alter(), self._remove()]
        removed = tuple(sorted({iri for part in parts for iri in part.removed}))
        added = {claim.iri: claim for part in parts for claim in part.added}
        kept = tuple(added[iri] for iri in sorted(added) if iri not in removed)
        there = {claim.iri for claim in self.workspace.record.claims.only(removed)}
        return Change(kept, tuple(iri for iri in removed if iri in there))

    def _row(self, claim: Claim) -> tuple[str, dict[str, str]]:
        fit = row_of(claim)
        return (fit[0].table.name, dict(fit[1])) if fit else ("", {})

    def _vary(self, table: str, cells: dict[str, str]) -> None:
        own = [n for n in cells if n not in PROVENANCE] or list(cells)
        name = self.random.choice(sorted(own))
        cells[name] = self.random.choice(self._cells[table, name])


# -- everything there is ---------------------------------------------------------------------------


def everything(
    snapshot: Snapshot, findings: tuple[Any, ...], basis: type[Whole] = Living
) -> dict[str, Any]:
    """Return everything made of a collection, to compare it to the letter.

    What reports tell of things is looked up by the one, and gathered by the other.
    """
    belief = snapshot.belief
    return {
        "claims": [_claim(claim) for claim in snapshot.record.claims],
        "believed": [_claim(claim) for claim in belief.claims],
        "withdrawn": {iri: by.iri for iri, by in belief.withdrawn.items()},
        "parts": {
            iri: [(part.correction.iri, part.statements) for part in parts]
            for iri, parts in belief.parts.items()
        },
        "replaced": dict(belief.replaced),
        "graph": set(belief.graph),
        **_closed(snapshot.closure),
        **_timed(snapshot.chronology),
        "findings": findings,
        "things": _indexed(basis(snapshot, findings)),
        "dataset": sorted(line for line in map(str, snapshot.answers.store) if "_:" not in line),
        "answers": dict(_answers(snapshot)),
    }


def from_nothing(record: Record) -> dict[str, Any]:
    """Return everything, made anew of the claims of a record."""
    claims = ClaimSequence.given(sorted(record.claims, key=lambda claim: claim.iri))
    snapshot = Snapshot.of(replace(record, claims=claims, _beliefs={}))
    return everything(snapshot, snapshot.findings(), Whole)


def differing(one: dict[str, Any], other: dict[str, Any]) -> list[str]:
    """Say what is not the same in two of `everything`, so that a person can read it."""
    return [line for key in one for line in _differing(key, one[key], other[key])]


def _differing(key: str, one: Any, other: Any) -> Iterator[str]:
    if one == other:
        return
    if isinstance(one, dict):
        one, other = (list(each.items()) for each in (one, other))
    here, there = (set(map(repr, each)) for each in (one, other))
    lost = [each for each in one if repr(each) not in there][:3]
    more = [each for each in other if repr(each) not in here][:3]
    yield f"{key}: in the workspace {lost or 'in another order'}; from nothing {more}"


def _claim(claim: Claim) -> tuple[Any, ...]:
    return claim.iri, claim.passage, str(claim.origin), claim.recorded_on, claim.statements


def _indexed(basis: Whole) -> dict[str, Any]:
    claims, belief = basis.claims, basis.belief
    named = {str(each) for each in belief.graph.objects() if isinstance(each, URIRef)}
    things = {*basis.things(), *named, *map(str, belief.graph.subjects())}
    assert [basis.claim(str(claim.iri)) for claim in claims] == list(claims)
    return {
        thing: (
            [_claim(claim) for claim in basis.about(thing)],
            [(claim.iri, triple) for claim, triple in basis.naming(thing)],
            [_claim(claim) for claim in basis.resting(thing)],
            list(basis.following(thing)),
            basis.findings_about.get(thing, ()),
        )
        for thing in sorted(things)
    }


def _closed(closure: Closure) -> dict[str, Any]:
    return {
        "inferred": [reading_order(triple) for triple in closure.inferred.sorted()],
        "clashes": closure.clashes,
    }


def _timed(times: Chronology) -> dict[str, Any]:
    points = times.points()
    return {
        "bounds": [
            (
                point,
                times.bounds(point),
                times.reading_bounds(point),
                _argument(times.why_not_before(point)),
                _argument(times.why_not_after(point)),
                sorted(map(reading_order, times.disputing(point))),
            )
            for point in points
        ],
        "conflicts": sorted(
            (
                str(each.point),
                str(each.origin),
                each.days,
                _argument(each.not_before),
                _argument(each.not_after),
            )
            for each in times.conflicts
        ),
        "repair": sorted(
            (
                choice.cost,
                [[reading_order(ground.triple) for ground in option] for option in choice.options],
            )
            for choice in times.repair
        ),
        "lapses": list(times.lapses()),
        "outside": times.outside(),
    }


def _argument(argument: Argument | None) -> tuple[Any, ...]:
    if argument is None:
        return ()
    return argument.late, tuple(
        (
            step.rule.name,
            str(step.reached),
            step.day,
            tuple((reading_order(g.triple), g.weight, tuple(map(str, (c.iri for c in g.claims))))
                  for g in step.grounds),
        )
        for step in argument.steps
    )  # fmt: skip


def _answers(snapshot: Snapshot) -> Iterator[tuple[str, Any]]:
    for name in QUESTIONS:
        answer = snapshot.answers.ask(name)
        yield name, [(row.values, row.claims) for row in answer.rows]


def walk(start: Record | Snapshot, seed: int, steps: int, every: int) -> list[str]:
    """Walk through a collection; say what is not as from nothing, first of all the steps taken.

    Parameters
    ----------
    start
        Where it begins: a record, or a collection with what is kept of it.
    seed
        Tells the walk.
    steps
        How many steps to take.
    every
        After how many steps everything is compared; at the end it is in any case.
    """
    workspace = Workspace(Snapshot.of(start) if isinstance(start, Record) else start)
    walker = Walker(workspace, seed)
    taken: list[str] = []
    for number in range(1, steps + 1):
        taken.append(walker.step())
        if number % every == 0 or number == steps:
            wrong = differing(
                everything(workspace.snapshot, workspace.findings), from_nothing(workspace.record)
            )
            if wrong:
                return [f"seed {seed}", *taken, *wrong]
    return []


def asking(start: Record, seed: int, steps: int, every: int, asked: int = 1) -> list[str]:
    """Walk through a collection and ask after each step which answers it changes.

    Every so often these are held against the answers of collections made from nothing, before and
    after the step, and the store that was patched against one made from nothing; blank nodes are
    left aside.

    Parameters
    ----------
    start, seed, steps, every
        See `walk`.
    asked
        After how many steps it is asked.
    """
    workspace = Workspace(Snapshot.of(start))
    walker = Walker(workspace, seed)
    taken: list[str] = []
    for number in range(1, steps + 1):
        before = workspace.record
        taken.append(walker.step())
        made = walker.made
        assert made is not None
        if number % asked:
            continue
        found = sorted(map(_told, made.coming()))
        if number % every and number != steps:
            continue
        was, now = (
            Snapshot.of(replace(r, _beliefs={})).answers for r in (before, workspace.record)
        )
        claims = [each.claim for each in (*made.added, *made.withdrawn)]
        anew = compare(put(was, claims, [each.claim for each in made.withdrawn]), now)
        wrong = list(_differing("changed answers", found, sorted(map(_told, anew))))
        store, judging = workspace.asked_store, workspace.judging
        if store is not None:
            wrong += _differing("store", *map(_lines, (store, now.store)))
        if judging is not None:
            fresh = Snapshot.of(replace(workspace.record, _beliefs={})).reckoned_of_lists()
            told = (set(judging.now.statements()), set(fresh))
            wrong += _differing("judged of lists", *(sorted(map(repr, each)) for each in told))
        if wrong:
            return [f"seed {seed}", *taken, *wrong]
    return []


def _told(each: Affected) -> str:
    asked = sorted(each.parameters.items())
    return repr((each.question, asked, each.fate, each.values, each.claims))


def _lines(store: ox.Store) -> list[str]:
    """Return what a store holds, but for who was first, last and alone: that is made if asked."""
    return sorted(line for line in map(str, store) if "_:" not in line and not _judges(line))


def _judges(line: str) -> bool:
    return any(kind in line.partition(" ")[0] for kind in ("/judgement/", "/evidence/"))


__all__ = ["Walker", "asking", "differing", "everything", "from_nothing", "made", "walk"]
