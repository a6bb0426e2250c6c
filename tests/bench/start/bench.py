"""Processor time of whole commands, as a multiple of importing rdflib, in one run.

python tests/bench/start/bench.py [--rounds 5] [--out results.json]
"""

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

TOP = Path(__file__).resolve().parents[3]
VALLEY = ("-c", str(TOP / "examples" / "wend-valley"))
BASE = (sys.executable, "-c", "import rdflib")
COMMANDS: tuple[tuple[tuple[str, ...], float], ...] = (
    (("--version",), 1.5),
    (("--help",), 1.5),
    (("ask", "in-production", "year=1912", *VALLEY), 4),
    (("show", "shape/alder", *VALLEY), 4),
    (("when", "shape/alder", *VALLEY), 4),
    (("date", "wv-056", *VALLEY), 4),
    (("check", *VALLEY), 12),
)
"""Words of a command, and the multiple that it should not go beyond."""


def seconds(command: tuple[str, ...], environment: dict[str, str]) -> float:
    """Run a command; return its processor time, the system's and that of its children with it."""
    process = subprocess.Popen(
        command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    _, _, used = os.wait4(process.pid, 0)
    process.returncode = 0
    return used.ru_utime + used.ru_stime


def measure(rounds: int, cache: str) -> list[dict[str, object]]:
    """Run each command beside the import, as often as asked; return medians of the ratios."""
    path = os.pathsep.join([str(TOP / "kg"), str(TOP / "cli")])
    environment = {**os.environ, "PYTHONPATH": path, "GLOST_CACHE": cache}
    found = []
    for words, bar in COMMANDS:
        command = (sys.executable, "-m", "glost_cli", *words)
        for _ in range(2):
            seconds(command, environment)  # warm: the second keeps what only it asks for
        pairs = [(seconds(command, environment), seconds(BASE, environment)) for _ in range(rounds)]
        each: dict[str, object] = {
            "command": " ".join(word for word in words if word not in VALLEY),
            "seconds": round(statistics.median(own for own, _ in pairs), 3),
            "import rdflib": round(statistics.median(base for _, base in pairs), 3),
            "ratio": round(statistics.median(own / base for own, base in pairs), 2),
            "bar": bar,
        }
        print("  ".join(f"{name} {value}" for name, value in each.items()), flush=True)
        found.append(each)
    return found


def main() -> None:
    """Measure, print a table and write the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--out", type=Path)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as cache:
        found = measure(given.rounds, cache)
    if given.out is not None:
        given.out.write_text(json.dumps(found, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
