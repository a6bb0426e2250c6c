"""What the desk takes to answer, from a process of its own over HTTP, as a browser asks it.

    python tests/bench/desk/bench.py --claims 2000 20000 --times 40

makes collections of so many claims (those of ``tests/bench/live``), opens a desk on each, with a
cold and with a warm cache, and prints in milliseconds, median and 95th percentile over the clock:
a keystroke's check of a cell, what a row would bring about, the saving of a row, and the views.
"""

import argparse
import http.client
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median, quantiles
from urllib.parse import urlencode

TOP = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(TOP / each) for each in ("kg", "cli", "tests/support", "tests/bench/live")]

from bench import made  # type: ignore[attr-defined]  # noqa: E402

VIEWS = ("/", "/thing/shape/p1-s0", "/things/shape", "/claim/CLAIM", "/claim/CLAIM/correct", "/conflicts",
         "/find?q=Shape+3+of+1&list=1", "/piece/answer?form=plate", "/questions", "/history",
         "/enter/pieces", "/ask/in-production?year=1905&pottery=pottery/p1")  # fmt: skip


class Desk:
    """A desk in a process of its own."""

    def __init__(self, folder: Path) -> None:
        command = [sys.executable, "-m", "glost_cli", "desk", "-c", str(folder), "--no-browser"]
        path = os.pathsep.join(str(TOP / each) for each in ("kg", "cli"))
        self.began = time.perf_counter()
        self.process = subprocess.Popen(
            command, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONPATH": path}
        )
        assert self.process.stdout is not None
        address = self.process.stdout.readline().split(" is at ")[1].strip()
        self.host, _, key = address.removeprefix("http://").partition("/")
        self.line = http.client.HTTPConnection(self.host, timeout=600)
        self.line.request("GET", f"/{key}")
        answer = self.line.getresponse()
        answer.read()
        self.cookie = (answer.headers["set-cookie"] or "").partition(";")[0]

    def ask(self, address: str, fields: dict[str, str] | None = None) -> str:
        headers = {"Cookie": self.cookie, "Origin": f"http://{self.host}"}
        body = urlencode(fields) if fields is not None else None
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        self.line.request("POST" if body is not None else "GET", address, body, headers)
        answer = self.line.getresponse()
        text = answer.read().decode(errors="replace")
        assert answer.status < 400, (address, answer.status, text[:500])
        return text

    def end(self) -> None:
        self.line.close()
        self.process.terminate()
        self.process.wait(timeout=60)


def timed(times: int, work: Callable[[int], object]) -> str:
    taken = []
    for at in range(times):
        start = time.perf_counter()
        work(at)
        taken.append(1000 * (time.perf_counter() - start))
    return f"{median(taken):.0f} / {quantiles(taken, n=20)[18]:.0f}"


def measure(folder: Path, times: int) -> None:
    for cache in ("cold", "warm"):
        desk = Desk(folder)
        while "is being opened" in desk.ask("/"):
            continue
        print(f"opening, {cache} cache: {time.perf_counter() - desk.began:.1f} s", flush=True)
        if cache == "cold":
            desk.end()
    page = desk.ask("/thing/shape/p1-s0")
    claim = re.search(r'href="/claim/(\w+)/correct"', page)
    assert claim
    text = "Shape 3 of 1"
    print("| what | median / 95th percentile, ms |\n|---|---|", flush=True)

    def cell(at: int) -> None:
        typed = text[: 1 + at % len(text)]
        desk.ask("/cell?" + urlencode({"table": "pieces", "column": "shape", "text": typed}))

    def row(at: int) -> dict[str, str]:
        return {
            "cell-piece": f"new{at}",
            "cell-shape": "p1-s1",
            "cell-form": "plate",
            "cell-made": f"19{10 + at % 80}",
        }

    print(f"| a keystroke's check | {timed(times, cell)} |", flush=True)
    told = timed(times, lambda at: desk.ask("/foretold/pieces?" + urlencode(row(at))))
    print(f"| what a row would bring about | {told} |", flush=True)
    saved = timed(
        max(3, times // 4), lambda at: desk.ask("/enter/pieces", {**row(at), "do": "save"})
    )
    print(f"| a row saved | {saved} |", flush=True)
    for view in VIEWS:
        address = view.replace("CLAIM", claim[1])
        desk.ask(address)
        told = timed(max(3, times // 4), partial(lambda each, _: desk.ask(each), address))
        print(f"| `{view}` | {told} |", flush=True)
    desk.end()


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--claims", type=int, nargs="*", default=[2_000])
    options.add_argument("--times", type=int, default=40)
    given = options.parse_args()
    with tempfile.TemporaryDirectory() as place:
        os.environ["GLOST_CACHE"] = str(Path(place) / "cache")
        for claims in given.claims:
            print(f"\n{claims:,} claims\n", flush=True)
            measure(made(claims, Path(place) / str(claims)), given.times)


if __name__ == "__main__":
    main()
