"""How long it takes to find which line of a list is which of another, from tables to pairs.

Run: ``python tests/bench/linking/bench.py [LINES ...] [--series N]``. Each size runs in a process of
its own: two made-up catalogues of so many lines whose true links are known are written as a
collection, read, and matched as ``glost match LIST LIST`` does. The named peer, in the same run, is
a plain loop that takes two lines for one if shape, form and item number are the same.
Shapes are those of the record, which keeps them apart; the other columns are as the lists have them.
"""

import argparse
import csv
import json
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable, Sequence
from pathlib import Path

TOP = Path(__file__).parents[3]
sys.path[:0] = [str(TOP / "kg"), str(TOP / "tests" / "support")]

from catalogue_pairs import FLAT, Row, pair  # noqa: E402

SIZES = (10_000, 30_000, 100_000)


def make(folder: Path, lists: tuple[list[Row], list[Row]]) -> None:
    """Write two lists as a collection; the variant tells an article apart that is offered twice."""
    (folder / "tables").mkdir()
    settings = 'title = "Bench"\nbase = "https://example.org/bench/"\n'
    (folder / "collection.toml").write_text(settings, encoding="utf-8")
    rows = [row for each in lists for row in each]
    named = {name: f"s{at}" for at, name in enumerate(sorted({row[1] for row in rows}))}
    forms = {form: f"f{at}" for at, form in enumerate(sorted({row[2] for row in rows}))}
    _write(folder, "potteries", ("pottery", "name", "source"), [("one", "One", "a")])
    _write(folder, "sources", ("source", "title", "kind", "date"),
           [("a", "List A", "catalogue", "1905"), ("b", "List B", "catalogue", "1908")])  # fmt: skip
    _write(folder, "shapes", ("shape", "pottery", "name", "source"),
           ((id_, "one", name, "a") for name, id_ in named.items()))  # fmt: skip
    _write(folder, "terms", ("scheme", "term", "name", "broader", "source"),
           (("form", id_, form, "flatware" if form in FLAT else "hollow-ware", "a")
            for form, id_ in forms.items()))  # fmt: skip
    columns = ("catalogue", "shape", "form", "trade_size", "variant", "count", "item", "price",
               "locator")  # fmt: skip
    lines = (
        (name, named[shape], forms[form], "" if size is None else str(size), f"v{at}", count, item,
         f"${price:.2f}", f"item {at}")
        for name, each in zip("ab", lists, strict=True)
        for at, (_, shape, form, size, count, item, price) in enumerate(each)
    )  # fmt: skip
    _write(folder, "assortments", columns, lines)


def _write(folder: Path, table: str, names: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    with (folder / "tables" / f"{table}.csv").open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file)
        out.writerow(names)
        out.writerows(rows)


def peer(lists: tuple[list[Row], list[Row]]) -> int:
    """Count lines that are the same in shape, form and item number."""
    known = {(row[1], row[2], row[5]): row[0] for row in lists[0]}
    return sum(known.get((row[1], row[2], row[5])) == row[0] for row in lists[1])


def measure(lines: int, series: int) -> dict[str, float]:
    """Time one size in this process."""
    from rdflib import URIRef

    from glost.answer.alike import lines_of
    from glost.answer.snapshot import Snapshot

    one, other = pair(lines, 31, series)
    shapes = {row[0]: row[1] for row in one}
    lists = one, [(row[0], shapes[row[0]], *row[2:]) for row in other]
    began = time.perf_counter()
    plain = peer(lists)
    loop = time.perf_counter() - began
    with tempfile.TemporaryDirectory() as name:
        make(Path(name), lists)
        began, worked = time.perf_counter(), time.process_time()
        snapshot = Snapshot(Path(name))
        _ = snapshot.belief
        read = time.perf_counter() - began
        base = snapshot.record.base
        found = lines_of(snapshot, URIRef(f"{base}source/a"), URIRef(f"{base}source/b"))
        matched = time.perf_counter() - began - read
        worked = time.process_time() - worked
    good = sum(lists[0][_place(each.one)][0] == lists[1][_place(each.other)][0] for each in found)
    return {
        "lines": lines,
        "read": read,
        "match": matched,
        "worked": worked,
        "gib": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1 << 20),
        "precision": good / len(found),
        "recall": good / len(lists[1]),
        "loop": loop,
        "loop_recall": plain / len(lists[1]),
    }


def _place(offering: str) -> int:
    """Return which line of its list an offering is, from the variant in its IRI."""
    return int(offering.partition(".v")[2].partition(".")[0])


def main() -> None:
    """Measure each size in a process of its own and print a line for each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("lines", nargs="*", type=int, default=SIZES)
    parser.add_argument("--series", type=int, default=1)
    parser.add_argument("--here", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.here:
        print(json.dumps(measure(asked.lines[0], asked.series)))
        return
    for size in asked.lines:
        command = [sys.executable, __file__, str(size), "--series", str(asked.series), "--here"]
        run = subprocess.run(command, capture_output=True, text=True, check=True)
        told = json.loads(run.stdout.splitlines()[-1])
        print(
            "{lines:>9,} lines: read {read:.1f} s, matched {match:.1f} s, processor {worked:.1f} s, {gib:.2f} GiB; precision"
            " {precision:.4f}, recall {recall:.3f}; plain loop {loop:.2f} s, recall"
            " {loop_recall:.3f}".format(**told),
            flush=True,
        )


if __name__ == "__main__":
    main()
