"""How long tables take to become claims, and how much memory, over three sizes.

Run: ``python tests/bench/record/read_tables.py [ROWS ...]``. Each size runs in a process of its own; the
named peer, in the same run, is csvlib: Python's own ``csv.DictReader`` with SHA-256 over each row, which
checks nothing and builds no claim. Growth is given as time per row against the smallest size.
"""

import csv
import hashlib
import json
import random
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

SIZES = (10_000, 100_000, 1_000_000)
FORMS = [
    "dinner-plate",
    "saucer",
    "teapot",
    "nappy",
    "baker",
    "platter",
    "sugar",
    "creamer",
    "jug",
    "tea-cup",
]


def make(folder: Path, rows: int) -> None:
    """Write a collection of `rows` assortment rows, of invented shapes and catalogues."""
    dice = random.Random(rows)
    tables = folder / "tables"
    tables.mkdir(parents=True)
    settings = 'title = "Bench"\nbase = "https://example.org/bench/"\n'
    (folder / "collection.toml").write_text(settings, encoding="utf-8")
    catalogues = [f"cat{n}" for n in range(max(20, rows // 2000))]
    shapes = [f"shape{n}" for n in range(max(10, rows // 4000))]
    _write(
        tables / "sources.csv",
        ["source", "title", "kind", "date"],
        ([c, f"Catalogue {c}", "catalogue", str(1890 + n % 50)] for n, c in enumerate(catalogues)),
    )
    _write(tables / "potteries.csv", ["pottery", "name", "source"], [["one", "One", catalogues[0]]])
    _write(
        tables / "shapes.csv",
        ["shape", "pottery", "name", "source"],
        ([s, "one", s.title(), catalogues[0]] for s in shapes),
    )
    _write(
        tables / "assortments.csv",
        [
            "catalogue",
            "shape",
            "form",
            "trade_size",
            "item",
            "price",
            "per",
            "locator",
            "certainty",
        ],
        (
            [
                dice.choice(catalogues),
                dice.choice(shapes),
                dice.choice(FORMS),
                f"{dice.randint(3, 16)}",
                str(n),
                f"{dice.randint(40, 900) / 100:.2f}",
                "dozen",
                f"p. {n % 90}",
                "certain",
            ]
            for n in range(rows)
        ),
    )


def _write(path: Path, header: list[str], rows: object) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(header)
        writer.writerows(rows)  # type: ignore[arg-type]


def measure(what: str, folder: str) -> None:
    """Do one piece of work in this process and print seconds, peak memory and count."""
    start = time.perf_counter()
    if what == "glost":
        from glost.record.record import read

        count = len(read(folder).claims)
    else:
        count = 0
        with (Path(folder) / "tables" / "assortments.csv").open(encoding="utf-8") as file:
            kept = [
                (hashlib.sha256(repr(sorted(row.items())).encode()).hexdigest(), row)
                for row in csv.DictReader(file)
            ]
        count = len(kept)
    seconds = time.perf_counter() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2
    print(json.dumps({"seconds": seconds, "gib": peak, "count": count}))


def run(what: str, folder: Path) -> dict[str, float]:
    """Measure in a child process, its start-up included in `whole`."""
    start = time.perf_counter()
    out = subprocess.run(
        [sys.executable, __file__, "--child", what, str(folder)],
        check=True,
        capture_output=True,
        text=True,
    )
    return json.loads(out.stdout) | {"whole": time.perf_counter() - start}


def main(sizes: tuple[int, ...]) -> None:
    """Measure every size and print a table."""
    print(
        f"{'rows':>9} {'claims':>9} {'whole s':>8} {'GiB':>6} {'us/row':>7} {'csvlib s':>9} {'ratio':>6}"
    )
    for rows in sizes:
        with tempfile.TemporaryDirectory() as top:
            make(Path(top), rows)
            ours, peer = run("glost", Path(top)), run("csvlib", Path(top))
        print(
            f"{rows:>9} {ours['count']:>9} {ours['whole']:>8.2f} {ours['gib']:>6.2f} "
            f"{ours['whole'] / rows * 1e6:>7.1f} {peer['whole']:>9.2f} {ours['whole'] / peer['whole']:>6.1f}"
        )


if __name__ == "__main__":
    if sys.argv[1:2] == ["--child"]:
        measure(sys.argv[2], sys.argv[3])
    else:
        main(tuple(int(n) for n in sys.argv[1:]) or SIZES)
