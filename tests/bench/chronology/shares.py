"""One machine against its shares, here or on Spark: processor seconds, seconds, and a checksum.

    python tests/bench/chronology/shares.py CLAIMS [COLLECTIONS] [MASTER]

Each collection has shapes whose runs follow one another, dates of lists and pieces, and two dates
that contradict each other. Seconds of the processor are those of this process; workers' are their own.
"""

import random
import sys
import time
from hashlib import sha256

import numpy as np

from glost.reason.chronology import Network, Reasons, Solution, solve, solve_apart
from glost.reason.chronology.spread import solved_on
from glost.record.partitioned import session


def collections(count: int, claims: int) -> Network:
    """Make so many collections of so many claims: a third orders, the others dates."""
    chance = random.Random(7)
    rows: list[tuple[int, int, int]] = []
    each = max(4, claims // 3)
    for number in range(count):
        first = 1 + number * each
        start = 690_000 + chance.randrange(20_000)
        last = start + 30 * (each - 1)
        for claim in range(claims - 2):
            place = claim % each
            event, day = first + place, start + 30 * place
            if claim < each - 1:
                rows.append((event + 1, event, -chance.randrange(20)))
            elif claim % 2 and place < each - 1:
                rows.append((0, event, day + chance.randrange(900)))
            elif place < each - 1:
                rows.append((event, 0, chance.randrange(900) - day))
        rows += [(0, first + each - 1, last), (first + each - 1, 0, -last - 400)]
    source, target, days = np.array(rows, dtype=np.int64).T
    return Network.build(
        1 + count * each, source, target, days, reasons=Reasons.one_each(len(rows))
    )


def checksum(solution: Solution) -> str:
    """Return a hash of all that a solution says."""
    sides = (solution.recorded, solution.bounds)
    digest = sha256(b"".join(a.tobytes() for s in sides for a in (s.earliest, s.latest)))
    digest.update(solution.disputed.tobytes())
    digest.update(repr([sorted(each.claims) for each in solution.conflicts]).encode())
    options = [[sorted(o) for o in c.options] for c in solution.choices]
    digest.update(repr(options).encode())
    return digest.hexdigest()[:16]


def main() -> None:
    """Measure."""
    claims = int(sys.argv[1])
    count = int(sys.argv[2]) if len(sys.argv) > 2 else claims // 1_000
    network = collections(count, claims // count)
    ways = {"one machine": solve, "8 shares, here": lambda n: solve_apart(n, shares=8)}
    if len(sys.argv) > 3:
        on = solved_on(session(sys.argv[3]))
        ways = {"one machine": solve, f"Spark {sys.argv[3]}": lambda n: on(n, lambda _: 1.0)}
    for name, way in ways.items():
        busy, began = time.process_time(), time.perf_counter()
        found = way(network)
        print(
            f"{len(network):>9,} claims, {count:>5,} collections, {name:16}"
            f"{time.process_time() - busy:9.2f} s of processor{time.perf_counter() - began:9.2f} s "
            f"{len(found.conflicts):>6,} conflicts  {checksum(found)}",
            flush=True,
        )


main()
