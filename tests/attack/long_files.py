"""Very many broken files of every kind; see `mutants` for how they are broken, `tried` for the bar.

Run it by hand from the top of the checkout::

    python tests/attack/long_files.py --count 100000 --seed 0

It prints how often each kind was read or refused, the most processor time and memory that one took,
and whatever ended as nothing should; it ends with 1 if anything did. ``--first`` goes on where an
earlier run stopped, and ``--count 1`` with it tries one again.
"""

import argparse
import sys
import time
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP / "kg"), str(TOP / "cli"), str(TOP / "tests" / "support")]

from tried import trials  # noqa: E402


def main() -> int:
    """Try what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--only", default="", help="one kind of file")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--step", type=int, default=2_000, help="tell so often how it goes")
    given = parser.parse_args()
    began, wrong = time.monotonic(), 0
    ends: dict[tuple[str, str], int] = {}
    most, memory = 0.0, 0
    for first in range(given.first, given.first + given.count, given.step):
        count = min(given.step, given.first + given.count - first)
        found = trials(given.seed, first, count, given.only, given.processes)
        for key, times in found.ends.items():
            ends[key] = ends.get(key, 0) + times
        most, memory = max(most, found.seconds), max(memory, found.memory)
        wrong += len(found.wrong)
        for number, fault in found.wrong:
            print(f"--seed {given.seed} --first {number}: {fault}", flush=True)
        passed = time.monotonic() - began
        print(f"{first + count - given.first} files in {passed:.0f} s, {wrong} wrong", flush=True)
    for (kind, ended), times in sorted(ends.items()):
        print(f"{kind:6} {ended:18} {times}")
    print(f"the most for one: {most:.2f} s of processor, {memory >> 20} MiB")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
