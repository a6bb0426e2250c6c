"""Very many hostile requests, and what the endpoint's memory does over them.

Run it by hand from the top of the checkout::

    python tests/attack/long_requests.py --count 20000 --seed 0 --idle 1050

It prints what was answered, the memory of the endpoint and of its processes every tenth of the
way, and how long a reader waited while the idle connections stood open.
"""

import argparse
import json
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path
from urllib.parse import urlsplit

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP / "kg"), str(TOP / "cli"), str(TOP / "tests" / "support")]

from endpoint import serving, write_site  # noqa: E402
from glost.publish.endpoint.limits import Limits  # noqa: E402
from hostile_requests import exchange, mixed  # noqa: E402

HEALTH = b"GET /health HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n"


def memory(store: str) -> tuple[float, float]:
    """Return MiB of the server and of all its processes that answer queries."""
    found = subprocess.run(["ps", "-eo", "rss,args"], capture_output=True, text=True, check=True)
    lines = [line.split(None, 1) for line in found.stdout.splitlines() if store in line]
    workers = [int(kib) for kib, words in lines if "endpoint.worker" in words]
    servers = [int(kib) for kib, words in lines if "endpoint.app" in words]
    return sum(servers) / 1024, sum(workers) / 1024


def waited(address: str, idle: int) -> float:
    """Open connections that send nothing, and return the seconds a reader then waits."""
    parts = urlsplit(address)
    with ExitStack() as lines:
        for _ in range(idle):
            lines.enter_context(socket.create_connection((parts.hostname, parts.port), timeout=30))
        began = time.perf_counter()
        got = exchange(address, HEALTH, 60)
        if not got.startswith(b"HTTP/1.1 200"):
            raise RuntimeError(f"the reader got {got[:60]!r}")
        return time.perf_counter() - began


def main() -> None:
    """Send what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--idle", type=int, default=1_050)
    parser.add_argument("--collection", type=Path, default=TOP / "examples" / "wend-valley")
    given = parser.parse_args()
    usual = Limits()
    limits = {name: getattr(usual, name) for name in usual.__dataclass_fields__}
    statuses: Counter[int] = Counter()
    with tempfile.TemporaryDirectory() as place, ThreadPoolExecutor(8) as threads:
        site, store = write_site(Path(place) / "site", given.collection), Path(place) / "store"
        with serving(site, store, **limits) as address:
            print(
                f"a reader beside {given.idle} idle connections: {waited(address, given.idle):.3f} s"
            )
            step = max(1, given.count // 10)
            for start in range(given.seed, given.seed + given.count, step):
                statuses.update(
                    threads.map(lambda n: mixed(address, n), range(start, start + step))
                )
                server, workers = memory(str(store))
                done = start + step - given.seed
                print(f"{done} requests: server {server:.0f} MiB, processes {workers:.0f} MiB")
            health = json.loads(exchange(address, HEALTH).partition(b"\r\n\r\n")[2])
    print(dict(sorted(statuses.items())), health)


if __name__ == "__main__":
    main()
