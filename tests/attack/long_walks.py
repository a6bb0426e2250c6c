"""Long random walks through a workspace, each compared with a collection made from nothing.

Run it by hand from the top of the checkout::

    python tests/attack/long_walks.py examples/wend-valley --seed 1 --steps 200 --every 10

It ends with 1, and prints the seed, the steps and what differs, if anything is not the same to the
letter.
"""

import argparse
import sys
import time
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP / "kg"), str(TOP / "tests" / "support")]

from glost.record.record import read  # noqa: E402
from walks import asking, walk  # noqa: E402


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("collection", type=Path)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--walks", type=int, default=1, help="seeds that follow one another")
    options.add_argument("--steps", type=int, default=50)
    options.add_argument("--asking", action="store_true", help="what it changes in answers")
    options.add_argument("--every", type=int, default=10)
    given = options.parse_args()
    record = read(given.collection)
    for seed in range(given.seed, given.seed + given.walks):
        start = time.process_time()
        wrong = (asking if given.asking else walk)(record, seed, given.steps, given.every)
        if wrong:
            print("\n".join(line[:3000] for line in wrong))
            return 1
        print(f"seed {seed}: the same, {time.process_time() - start:.1f} s", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
