"""A closure put away in a file, and taken out again as it was.

The file is for the machine and the version that wrote it. Taking one out runs whatever it says,
so read only files that the same user wrote.
"""

import pickle
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from numpy.typing import NDArray

from glost.reason.closure import Closure
from glost.reason.coding import Dictionary
from glost.reason.compiler import Program
from glost.reason.engine import Engine
from glost.reason.equality import Sameness
from glost.reason.executor import DuckDB
from glost.reason.sql import Relation


@dataclass(frozen=True)
class _Kept:
    program: Program
    terms: Dictionary
    same: Sameness
    distinct: bool
    step: int
    state: list[tuple[Relation, int, int, set[int]]]
    tables: dict[str, dict[str, NDArray[Any]]]


def put_away(closure: Closure, file: Path) -> None:
    """Write a closure to a file: its tables, its terms and its rules.

    Parameters
    ----------
    closure
        As it was when its rules had run; changes made since are not looked for.
    file
        Where to; one that is there is written over.
    """
    engine = closure.engine
    names = {engine.names[rel] for rel in engine.steps}
    state = [
        (rel, engine.count[rel], engine.newest[rel], engine.steps[rel]) for rel in engine.steps
    ]
    kept = _Kept(
        engine.program,
        engine.terms,
        engine.same,
        engine.distinct,
        engine.step,
        state,
        {name: engine.executor.read(f"SELECT * FROM {name}") for name in ("asserted", *names)},
    )
    with file.open("wb") as out:
        pickle.dump(kept, out, protocol=pickle.HIGHEST_PROTOCOL)


def take_out(file: Path) -> Closure:
    """Read a closure that was put away.

    Raises
    ------
    OSError
        If the file cannot be read.
    Exception
        Of any kind, if it is not what `put_away` wrote.
    """
    with file.open("rb") as found:
        kept: _Kept = pickle.load(found)
    executor = DuckDB()
    engine = Engine(kept.program, kept.terms, executor)
    engine.same, engine.distinct, engine.step = kept.same, kept.distinct, kept.step
    executor.load("asserted", kept.tables["asserted"])
    for rel, count, newest, steps in kept.state:
        name = engine.names[rel]
        executor.create(name, engine.columns(rel))
        executor.load(name, kept.tables[name])
        engine.count[rel], engine.newest[rel], engine.steps[rel] = count, newest, steps
    return Closure(engine)
