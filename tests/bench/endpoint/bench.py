"""How fast the endpoint answers, and whether long queries hold the others up.

Run it by hand from the top of the checkout: ``python tests/bench/endpoint/bench.py``. It serves a
collection on loopback in processes of its own, reads it with sockets that understand just enough
HTTP to be no burden, and prints the figures of README.md.
"""

import argparse
import asyncio
import json
import statistics
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Awaitable, Callable
from pathlib import Path
from urllib.parse import quote, urlsplit

TOP = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(TOP / "kg"), str(TOP / "cli"), str(TOP / "tests" / "support")]

from endpoint import serving, write_site  # noqa: E402
from glost.answer.questions import catalogue  # noqa: E402

READERS = 50
PER_QUESTION = 400
ENDLESS = "SELECT (COUNT(*) AS ?n) { ?a ?b ?c . ?d ?e ?f . ?g ?h ?i FILTER(?c < ?f && ?f < ?i) }"
SHORT = "SELECT ?s ?n { ?s a glost:Shape ; rdfs:label ?n FILTER(%d >= 0) } ORDER BY ?n"


class Reader:
    """One connection, kept open, that reads one response after another."""

    def __init__(self, address: str) -> None:
        parts = urlsplit(address)
        self._host, self._port = str(parts.hostname), int(parts.port or 80)
        self.body = b""
        self._lines: tuple[asyncio.StreamReader, asyncio.StreamWriter] | None = None

    async def get(self, path: str, accept: str) -> tuple[int, int]:
        """Ask, and return the status and the length of the body."""
        if self._lines is None:
            self._lines = await asyncio.open_connection(self._host, self._port, limit=1 << 20)
        source, sink = self._lines
        sink.write(
            f"GET /{path} HTTP/1.1\r\nHost: x\r\nAccept: {accept}\r\n"
            "Accept-Encoding: gzip\r\n\r\n".encode()
        )
        head = (await source.readuntil(b"\r\n\r\n")).decode("latin-1").lower()
        length = int(head.partition("content-length: ")[2].partition("\r")[0] or 0)
        self.body = await source.readexactly(length)
        return int(head.split(" ", 2)[1]), length


async def crowd(address: str, paths: list[str], accept: str, readers: int) -> list[float]:
    """Let readers share the paths out; return the milliseconds each took, sorted."""
    waiting = iter(paths)
    taken: list[float] = []

    async def reader() -> None:
        line = Reader(address)
        for path in waiting:
            began = time.perf_counter()
            status, _ = await line.get(path, accept)
            taken.append((time.perf_counter() - began) * 1_000)
            if status != 200:
                raise RuntimeError(f"{status} for {path[:80]}: {line.body[:200]!r}")

    await asyncio.gather(*(reader() for _ in range(readers)))
    return sorted(taken)


def at(share: float, taken: list[float]) -> float:
    """Return the value below which a share of the values lies."""
    return taken[min(len(taken) - 1, int(share * len(taken)))]


def questions() -> list[str]:
    """Return the named questions that need no parameter."""
    return [
        name
        for name, asked in catalogue().items()
        if all(each.optional or each.default for each in asked.parameters)
    ]


async def prepared(address: str) -> float:
    """Wait until every named question has been made ready; return the seconds it took."""
    began = time.perf_counter()
    line = Reader(address)
    for name in questions():
        for form in ("json", "page"):
            await line.get(f"sparql?question={name}&format={form}", "*/*")
    return time.perf_counter() - began


async def named(address: str) -> None:
    """Each named question under 50 readers, as its page and as JSON, once it is ready."""
    print(f"made ready in {await prepared(address):.1f} s")
    print("question | median ms | 95th ms | most ms (JSON) | 95th ms (page)")
    worst = 0.0
    for name in questions():
        row = []
        for form in ("json", "page"):
            path = f"sparql?question={name}&format={form}"
            taken = await crowd(address, [path] * PER_QUESTION, "*/*", READERS)
            row += [statistics.median(taken), at(0.95, taken), taken[-1]]
        worst = max(worst, row[1], row[4])
        print(f"{name} | {row[0]:.1f} | {row[1]:.1f} | {row[2]:.1f} | {row[4]:.1f}")
    mixed = [f"sparql?question={name}&format=json" for name in questions()] * 40
    taken = await crowd(address, mixed, "*/*", READERS)
    print(f"worst 95th: {worst:.1f} ms; all questions mixed: 95th {at(0.95, taken):.1f} ms")


async def first_time(address: str) -> None:
    """Each named question asked for the first time, alone: nothing is cached."""
    print("question | first answer ms")
    line = Reader(address)
    for number, name in enumerate(questions()):
        text = catalogue()[name].header.query + f"\n# {number}"
        began = time.perf_counter()
        status, length = await line.get(f"sparql?query={quote(text)}", "application/json")
        print(f"{name} | {(time.perf_counter() - began) * 1_000:.0f} ({status}, {length} octets)")


async def others(address: str, endless: int) -> None:
    """Short queries, each new, by 8 readers while endless ones run; and the same without."""
    count = iter(range(1 << 30))

    def fresh(total: int) -> list[str]:
        return [f"sparql?query={quote(SHORT % next(count))}" for _ in range(total)]

    quiet = await crowd(address, fresh(400), "application/json", 8)

    async def long(number: int) -> int:
        query = ENDLESS.replace("?a", f"?a{number}")
        return (await Reader(address).get(f"sparql?query={quote(query)}", "*/*"))[0]

    running = [asyncio.ensure_future(long(number)) for number in range(endless)]
    await asyncio.sleep(0.2)
    loud = await crowd(address, fresh(400), "application/json", 8)
    statuses = sorted([await each for each in running])
    for name, taken in (("alone", quiet), (f"beside {endless} endless", loud)):
        print(f"{name} | {statistics.median(taken):.1f} | {at(0.95, taken):.1f} | {taken[-1]:.1f}")
    print(f"the endless ones ended with {statuses}")


async def insisting(address: str, changing: bool) -> None:
    """200 readers with short queries, each new; then beside 8 that ask for endless ones for ever.

    The 8 ask again as soon as they are refused or stopped, the same query or, `changing`, another.
    """
    count = iter(range(1 << 30))

    def fresh(total: int) -> list[str]:
        return [f"sparql?query={quote(SHORT % next(count))}" for _ in range(total)]

    statuses: list[int] = []
    await prepared(address)

    async def insist(number: int) -> None:
        line = Reader(address)
        while True:
            name = f"{number}x{next(count)}" if changing else str(number)
            query = ENDLESS.replace("?a", f"?a{name}")
            statuses.append((await line.get(f"sparql?query={quote(query)}", "*/*"))[0])
            await asyncio.sleep(0.05)

    quiet = await crowd(address, fresh(4_000), "application/json", 200)
    running = [asyncio.ensure_future(insist(number)) for number in range(8)]
    await asyncio.sleep(2.0)
    loud = await crowd(address, fresh(4_000), "application/json", 200)
    for task in running:
        task.cancel()
    await asyncio.gather(*running, return_exceptions=True)
    kind = "new each time" if changing else "the same again"
    for name, taken in (("alone", quiet), (f"beside 8 endless, {kind}", loud)):
        print(f"200 readers {name} | {statistics.median(taken):.1f} | {at(0.95, taken):.1f}")
    print(f"ratio of the 95th percentiles: {at(0.95, loud) / at(0.95, quiet):.2f}")
    print(f"the endless ones were answered {dict(Counter(statuses))}")


async def static(address: str) -> None:
    """A page of the site under 50 readers."""
    taken = await crowd(address, ["shape/alder.html"] * 2_000, "*/*", READERS)
    print(f"a page: median {statistics.median(taken):.1f}, 95th {at(0.95, taken):.1f} ms")


def main() -> None:
    """Run what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--collection", type=Path, default=TOP / "examples" / "wend-valley")
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--last", type=int, default=0, help="run only so many of the last parts")
    given = parser.parse_args()
    limits = {
        "workers": 4, "slow": 2, "patience": 1.0, "seconds": given.seconds, "memory": 1 << 30,
        "rows": 100_000, "octets": 32 << 20, "query": 100_000, "headers": 32_768,
        "arriving": 10.0, "leaving": 20.0, "idle": 15.0,
    }  # fmt: skip
    parts: list[Callable[[str], Awaitable[None]]] = [
        first_time,
        named,
        static,
        lambda address: others(address, 1),
        lambda address: others(address, 6),
        lambda address: insisting(address, changing=False),
        lambda address: insisting(address, changing=True),
    ]
    with tempfile.TemporaryDirectory() as place:
        site = write_site(Path(place) / "site", given.collection)
        for number, part in enumerate(parts[-given.last :]):
            with serving(site, Path(place) / f"store{number}", **limits) as address:
                asyncio.run(part(address))
    print(json.dumps(limits))


if __name__ == "__main__":
    main()
