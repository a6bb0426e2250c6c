"""What one change costs in a workspace, against making everything again, in one run.

    python tests/bench/live/bench.py --claims 2000 20000 --changes 60

makes collections of so many claims (potteries of some hundred claims each, that share nothing),
opens each, makes random changes and takes some back, and prints the processor time of a change
(median and 99th percentile), of making everything anew, and their ratio. ``--collection`` measures
a folder instead. Figures are of one process; load of the machine changes them little.
"""

import argparse
import sys
import tempfile
import time
from pathlib import Path
from random import Random
from statistics import median, quantiles

TOP = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(TOP / "kg"), str(TOP / "tests" / "support")]

from glost.answer.snapshot import Snapshot  # noqa: E402
from glost.answer.workspace import Workspace  # noqa: E402
from glost.record.record import Record, read  # noqa: E402
from walks import Walker  # noqa: E402

FORMS = ("plate", "saucer", "teapot", "bowl")
OF_ONE = 110
"""About so many claims are made of one pottery."""


def pottery(at: int, draw: Random) -> dict[str, list[str]]:
    """Return the rows of one pottery, by table, each as a line of CSV."""
    p, found = f"p{at}", {}
    found["potteries"] = [f"{p},Pottery {at},{1880 + at % 20}~,{p}-c0,p. 1"]
    found["sources"] = [
        f"{p}-c{n},Catalogue {n} of pottery {at},catalogue,{1900 + 4 * n},{p},yes" for n in range(4)
    ]
    found["shapes"] = [
        f"{p}-s{n},{p},Shape {n} of {at},{1895 + draw.randrange(12)},{p}-c{n % 4},p. {n}"
        for n in range(6)
    ]
    found["flatware"] = [f"{p}-s0,{p}-s1,{p}-c1,p. 9", f"{p}-s2,{p}-s3,{p}-c2,p. 9"]
    found["treatments"] = [
        f"{p}-t{n},{p},A{n},Line {n} of {at},{p}-s{n % 6},{p}-c{n % 4},p. {n}" for n in range(25)
    ]
    found["pieces"] = [
        f"{p}-x{n},{p}-s{draw.randrange(6)},{FORMS[n % 4]},{p}-t{n % 25},A{n % 25}"
        for n in range(45)
    ]
    found["assortments"] = [
        f"{p}-c{n % 4},{p}-s{n % 6},{FORMS[n % 4]},{4 + n % 5},{100 + n},p. {n}" for n in range(24)
    ]
    return found


HEADS = {
    "potteries": "pottery,name,begin,source,locator",
    "sources": "source,title,kind,date,pottery,complete",
    "shapes": "shape,pottery,name,begin,source,locator",
    "flatware": "shape,with,source,locator",
    "treatments": "treatment,pottery,number,name,shape,source,locator",
    "pieces": "piece,shape,form,treatment,number_read",
    "assortments": "catalogue,shape,form,trade_size,item,locator",
}


def made(claims: int, folder: Path) -> Path:
    """Write a collection of about so many claims."""
    (folder / "tables").mkdir(parents=True)
    settings = 'title = "Many potteries"\nbase = "https://example.org/many/"\n'
    (folder / "collection.toml").write_text(settings, encoding="utf-8")
    draw, lines = Random(1), {name: [head] for name, head in HEADS.items()}
    for at in range(max(1, claims // OF_ONE)):
        for table, rows in pottery(at, draw).items():
            lines[table] += rows
    for table, rows in lines.items():
        (folder / "tables" / f"{table}.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    return folder


def measure(record: Record, changes: int) -> str:
    """Return a line of figures."""
    start = time.process_time()
    Snapshot.of(record).findings()
    anew = time.process_time() - start
    start = time.process_time()
    workspace = Workspace(Snapshot.of(record))
    opened = time.process_time() - start
    walker, taken = Walker(workspace, 1), []
    for number in range(changes + 3):
        start = time.process_time()
        walker.step()
        if number >= 3:  # the first read constraints and rules
            taken.append(time.process_time() - start)
    most = quantiles(taken, n=100)[98]
    other = Walker(Workspace(Snapshot.of(record)), 1)
    first, every = answering(other, max(3, changes // 5))
    return (
        f"| {len(record.claims):,} | {opened:.1f} s | {1000 * median(taken):.0f} ms"
        f" | {1000 * most:.0f} ms | {anew:.1f} s | {anew / median(taken):.0f}"
        f" | {1000 * median(first or [0]):.0f} ms | {1000 * median(every):.0f} ms |"
    )


def answering(walker: Walker, changes: int) -> tuple[list[float], list[float]]:
    """Return what the first answer that changed costs, and all but those judged of lists."""
    first, every = [], []
    for number in range(changes + 3):
        walker.step()
        assert walker.made is not None
        start, came = time.process_time(), walker.made.coming(judged=False)
        found = next(came, None)
        if number >= 3 and found is not None:  # the first make the store and read the questions
            first.append(time.process_time() - start)
        sum(1 for _ in came)
        if number >= 3:
            every.append(time.process_time() - start)
    return first, every


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--claims", type=int, nargs="*", default=[2_000])
    options.add_argument("--collection", type=Path, action="append", default=[])
    options.add_argument("--changes", type=int, default=60)
    given = options.parse_args()
    print(
        "| claims | opening | a change, median | 99th percentile | anew | times as fast"
        " | first answer, median | all but those judged of lists |"
    )
    print("|---|---|---|---|---|---|---|---|")
    for folder in given.collection:
        print(measure(read(folder), given.changes), flush=True)
    with tempfile.TemporaryDirectory() as place:
        for claims in given.claims:
            folder = made(claims, Path(place) / str(claims))
            print(measure(read(folder), given.changes), flush=True)


if __name__ == "__main__":
    main()
