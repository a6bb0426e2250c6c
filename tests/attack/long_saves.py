"""A save at the desk ended at each call to the disk it makes; in a process of its own, which forks.

    python tests/attack/long_saves.py FOLDER [--calls N]

FOLDER is one that is not there. Prints how many trials there were, and how many ended with the row
and how many without; exits 1 if anything else was found.
"""

import argparse
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP / each) for each in ("kg", "cli", "tests/support")]

# Each trial would import these anew.
import networkx  # noqa: E402, F401
import pyshacl  # noqa: E402, F401
import shacl  # noqa: E402, F401

import shelf  # noqa: E402
from desks import desk  # noqa: E402
from glost.record.transaction import Place, settle  # noqa: E402
from kills import run, tree  # noqa: E402

ROW = {"cell-shape": "birch", "cell-with": "alder", "cell-source": "letter", "do": "save"}


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("--calls", type=int, default=1_000, help="try so many calls of all")
    given = parser.parse_args()
    folder, place = shelf.write(given.folder / "shelf"), given.folder / "trial"
    place.mkdir()
    before = tree(folder)

    def save() -> None:
        with desk(folder) as opened:
            assert opened.post("/enter/flatware", ROW).status_code == 303

    tried = run(place, save)
    after = tree(folder)
    if tried.code != 0 or before == after:
        print("nothing was saved:", tried.told)
        return 1
    ends: Counter[str] = Counter()
    tries = min(given.calls, tried.calls)
    for at in (tried.calls - tried.calls * n // tries for n in range(tries)):
        for how in ("kill", "half", "full"):
            ends[
                ended(folder, before, after, lambda at=at, how=how: run(place, save, at, how))
            ] += 1  # type: ignore[misc]
    print(f"{sum(ends.values())} trials: {ends['before']} before, {ends['after']} after")
    wrong = {end for end in ends if end not in ("before", "after")}
    for each in sorted(wrong):
        print(each)
    return 1 if wrong or min(ends["before"], ends["after"]) == 0 else 0


def ended(
    folder: Path, before: dict[str, bytes], after: dict[str, bytes], work: Callable[[], object]
) -> str:
    """Return how a folder is once whoever comes next has opened it."""
    for name, content in before.items():
        (folder / name).write_bytes(content)
    work()
    settle(Place.within(folder))
    now = tree(folder)
    if now == before:
        return "before"
    same = now.keys() == after.keys() and all(
        now[name] == after[name] or name == "tables/flatware.csv" for name in after
    )
    rows = now["tables/flatware.csv"].count(b"\n")
    return "after" if same and rows == after["tables/flatware.csv"].count(b"\n") else f"{now}"


if __name__ == "__main__":
    sys.exit(main())
