"""Very many commands ended in the midst of what they write; see `kills`.

Run it by hand from the top of the checkout, where ``oxigraph`` is installed; a disk in memory makes it much faster::

    TMPDIR=/dev/shm python tests/attack/long_kills.py --count 1000 --seed 0

With ``--full`` the disk is full from some call on, and nothing is killed.

It prints for each command how many calls that write it makes, how many times it was killed, and
how often what stood then was as before or as after; then whatever was wrong. It ends with 1 if
anything was.
"""

import argparse
import random
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP / "kg"), str(TOP / "cli"), str(TOP / "tests" / "support")]

import httpx2 as httpx  # noqa: E402

from kills import Tally, scenarios, trials  # noqa: E402
from ports import free_port  # noqa: E402


def serve(place: Path) -> tuple["subprocess.Popen[bytes]", str]:
    """Start a store to hand over to."""
    port = free_port()
    program = Path(sys.executable).parent / "oxigraph"
    command = [program, "serve", "--location", place / "store", "--bind", f"127.0.0.1:{port}"]
    server = subprocess.Popen(
        list(map(str, command)), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    address = f"http://127.0.0.1:{port}/"
    for _ in range(200):
        try:
            httpx.get(address, trust_env=False)
            return server, address
        except httpx.TransportError:
            time.sleep(0.05)
    server.kill()
    raise RuntimeError("the store does not answer")


def main() -> int:
    """Try what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1_000, help="trials in all")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--only", default="", help="a regular expression for scenarios")
    parser.add_argument("--full", action="store_true", help="kill none; let the disk be full")
    given = parser.parse_args()
    chance = random.Random(given.seed)
    wrong: list[str] = []
    with tempfile.TemporaryDirectory(prefix="kills-") as name:
        server, address = serve(Path(name))
        try:
            chosen = [each for each in scenarios(address) if re.search(given.only, each.name)]
            whole = sum(each.weight for each in chosen)
            for scenario in chosen:
                share = max(2, round(given.count * scenario.weight / whole))
                tally = Tally()
                for _ in trials(scenario, share, chance, Path(name), tally, full=given.full):
                    pass
                wrong += tally.wrong
                told = ", ".join(f"{n} {kind}" for kind, n in sorted(tally.kinds.items()))
                print(f"{scenario.name}: {tally.calls} calls; {share} trials: {told}", flush=True)
                for each in tally.wrong:
                    print(f"  {each}", flush=True)
        finally:
            server.kill()
    print(f"{len(wrong)} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
