"""Processor time of whole commands, as a multiple of importing rdflib, in one run.

python tests/bench/start/bench.py [--rounds 5] [--things 2000 20000] [--out results.json]

The larger example comes first, then made collections of about so many things.
"""

import argparse
import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

TOP = Path(__file__).resolve().parents[3]
VALLEY = TOP / "examples" / "wend-valley"
MAKER = TOP / "tests" / "bench" / "site" / "collection.py"
BASE = (sys.executable, "-c", "import rdflib")
START: tuple[tuple[tuple[str, ...], float], ...] = ((("--version",), 1.5), (("--help",), 1.5))
"""Words of a command, and the multiple that it should not go beyond."""


def asked(shape: str, piece: str) -> tuple[tuple[tuple[str, ...], float], ...]:
    """Return the commands put to a collection, with the multiples not to go beyond."""
    return (
        (("ask", "in-production", "year=1912"), 4),
        (("show", f"shape/{shape}"), 4),
        (("when", f"shape/{shape}"), 4),
        (("date", piece), 4),
        (("check",), 12),
    )


def seconds(command: tuple[str, ...], environment: dict[str, str]) -> float:
    """Run a command; return its processor time, the system's and that of its children with it."""
    process = subprocess.Popen(
        command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = 0
    if os.waitstatus_to_exitcode(status) not in (0, 1):
        raise SystemExit(f"{' '.join(command)} failed")
    return used.ru_utime + used.ru_stime


class Measuring:
    """Runs commands beside the import of rdflib, pair by pair, and notes medians of the ratios."""

    def __init__(self, rounds: int, cache: str) -> None:
        path = os.pathsep.join([str(TOP / "kg"), str(TOP / "cli")])
        self.environment = {**os.environ, "PYTHONPATH": path, "GLOST_CACHE": cache}
        self.rounds = rounds
        self.found: list[dict[str, object]] = []

    def __call__(
        self,
        of: str,
        words: tuple[str, ...],
        bar: float | None = None,
        before: Callable[[], None] = lambda: None,
        warm: int = 2,
        rounds: int | None = None,
    ) -> None:
        """Measure a command; `before` is done before each run."""
        command = (sys.executable, "-m", "glost_cli", *words)
        pairs = []
        for _ in range(warm):
            seconds(command, self.environment)
        for _ in range(rounds or self.rounds):
            before()
            own = seconds(command, self.environment)
            pairs.append((own, seconds(BASE, self.environment)))
        each: dict[str, object] = {
            "of": of,
            "seconds": round(statistics.median(own for own, _ in pairs), 3),
            "import rdflib": round(statistics.median(base for _, base in pairs), 3),
            "ratio": round(statistics.median(own / base for own, base in pairs), 2),
            "bar": bar,
        }
        print("  ".join(f"{name} {value}" for name, value in each.items()), flush=True)
        self.found.append(each)


def collection(measure: Measuring, name: str, folder: Path, shape: str, piece: str) -> None:
    """Measure the commands put to one collection: warm, and after a change."""
    table = folder / "tables" / "sources.csv"
    changes = iter(range(1_000))

    def change() -> None:
        """Describe one more source, so that nothing kept is of these files."""
        header = table.read_text("utf-8").partition("\n")[0].split(",")
        row = {"source": f"bench-{next(changes)}", "title": "Of the bench", "kind": "letter"}
        with table.open("a", encoding="utf-8") as file:
            file.write(",".join(row.get(column, "") for column in header) + "\n")

    where = ("-c", str(folder))
    for words, bar in asked(shape, piece):
        measure(f"{name}: {' '.join(words)}", (*words, *where), bar)
    for words, _ in asked(shape, piece):
        said = f"{name}: {words[0]}, a table changed"
        measure(said, (*words, *where), None, change, warm=0, rounds=1)


def main() -> None:
    """Measure, print a table and write the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--things", type=int, nargs="*", default=[2_000, 20_000])
    parser.add_argument("--out", type=Path)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        measure = Measuring(given.rounds, str(Path(scratch) / "cache"))
        for words, bar in START:
            measure(" ".join(words), words, bar)
        valley = Path(scratch) / "valley"
        shutil.copytree(VALLEY, valley)
        collection(measure, "wend-valley", valley, "alder", "wv-056")
        for things in given.things:
            made = Path(scratch) / f"made-{things}"
            subprocess.run([sys.executable, MAKER, str(things), made], check=True)
            collection(measure, f"{things:,} things", made, "shape1", "p1")
        if given.out is not None:
            given.out.write_text(json.dumps(measure.found, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
