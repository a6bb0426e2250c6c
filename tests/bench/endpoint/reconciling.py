"""How fast the reconciliation service answers, over sizes of a collection.

Run: ``python tests/bench/endpoint/reconciling.py [THINGS ...]``. A made-up collection of so many
things that go by names is served on loopback in a process of its own; one client sends queries one
after another, names as they stand and with a slip, alone and in batches of ten, some with a type
and a maker. Milliseconds are by the clock from sending to the last octet; seconds to start include
loading the dataset. The peer, in the same run, is `difflib.get_close_matches` over the names, which
knows no other columns, types or probabilities.
"""

import asyncio
import json
import os
import random
import sys
import tempfile
import time
from difflib import get_close_matches
from pathlib import Path
from statistics import median
from typing import Any

TOP = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(TOP / "kg"), str(TOP / "cli"), str(TOP / "tests" / "support")]

import httpx2 as httpx  # noqa: E402
from bench import prepared  # noqa: E402

from catalogue_pairs import SYLLABLES, swapped  # noqa: E402
from endpoint import serving, write_site  # noqa: E402
from shelf import write  # noqa: E402

SIZES = (2_000, 6_000, 20_000)
TIMES = 200
WORDS = ("rose", "band", "line", "gold", "spray", "wreath", "fern", "trellis", "scroll", "posy")


def named(chance: random.Random) -> str:
    """Make up a name."""
    first = "".join(chance.sample(SYLLABLES, chance.choice([2, 3]))).capitalize()
    return f"{first} {chance.choice(WORDS).capitalize()}" if chance.random() < 0.6 else first


def make(folder: Path, things: int) -> tuple[Path, list[tuple[str, str, str]]]:
    """Write a collection; return it with the type, name and maker of its shapes and treatments."""
    chance = random.Random(things)
    makers = [f"{named(chance)} Pottery" for _ in range(20)]
    known = []
    tables = {
        "potteries": ["pottery,name,source", *(f"p{n},{m},cat1908" for n, m in enumerate(makers))],
        "shapes": ["shape,pottery,name,begin,source,locator"],
        "treatments": ["treatment,pottery,number,name,shape,source,locator"],
        "decals": ["decal,name,source"],
    }
    shapes = things // 8
    for at in range(things - 20):
        name, maker = named(chance), chance.randrange(20)
        if at < shapes:
            tables["shapes"].append(f"s{at},p{maker},{name},{1890 + at % 50},cat1908,p. {at}")
            known.append(("Shape", name, makers[maker]))
        elif at % 3:
            row = f"t{at},p{maker},T-{at},{name},s{at % shapes},cat1908,p. {at}"
            tables["treatments"].append(row)
            known.append(("Treatment", name, makers[maker]))
        else:
            tables["decals"].append(f"d{at},{name},letter")
    texts = {name: "\n".join(rows) + "\n" for name, rows in tables.items()}
    return write(folder, **texts, flatware="", pieces="", assortments=""), known


def query(known: list[tuple[str, str, str]], chance: random.Random) -> dict[str, Any]:
    """Make up a query: a name, in half with a slip, in half with its type and maker."""
    type_, name, maker = chance.choice(known)
    asked: dict[str, Any] = {"query": swapped(name, chance, 0.5)}
    if chance.random() < 0.5:
        pid = "madeBy" if type_ == "Shape" else "issuedBy"
        asked |= {"type": type_, "properties": [{"pid": pid, "v": maker}]}
    return asked


def processor() -> float:
    """Return the seconds of processor that the server, this process's child, has used."""
    child = Path(f"/proc/{os.getpid()}/task/{os.getpid()}/children").read_text().split()[0]
    used = Path(f"/proc/{child}/stat").read_text().rpartition(")")[2].split()[11:13]
    return sum(map(int, used)) / os.sysconf("SC_CLK_TCK")


def timed(client: httpx.Client, asked: list[dict[str, Any]]) -> str:
    """Send requests one after another; tell what they took, by the clock and of the processor."""
    taken, began_with = [], processor()
    for how in asked:
        began = time.perf_counter()
        response = client.request(**how)
        taken.append((time.perf_counter() - began) * 1_000)
        assert response.status_code == 200, response.text
    used = (processor() - began_with) / len(asked) * 1_000
    taken.sort()
    return f"{median(taken):.0f} and {taken[int(0.95 * len(taken))]:.0f} ms (processor {used:.0f})"


def measure(things: int) -> None:
    """Serve a collection of one size and print its figures."""
    chance = random.Random(1)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        collection, known = make(folder / "c", things)
        site = write_site(folder / "site", collection)
        began = time.perf_counter()
        limits = {"query": 100_000, "idle": 60.0, "seconds": 20.0, "memory": 1 << 30}
        with serving(site, folder / "store", **limits) as address:
            started = time.perf_counter() - began
            asyncio.run(prepared(address))
            with httpx.Client(base_url=address, trust_env=False, timeout=60) as client:
                found = {
                    name: timed(client, [
                        {"method": "POST", "url": "reconcile", "data": {"queries": json.dumps(
                            {str(n): query(known, chance) for n in range(many)})}}
                        for _ in range(TIMES)
                    ])
                    for name, many in (("one query", 1), ("ten queries", 10))
                }  # fmt: skip
                found["suggest"] = timed(client, [
                    {"method": "GET", "url": "reconcile/suggest/entity",
                     "params": {"prefix": chance.choice(known)[1][:4]}} for _ in range(TIMES)
                ])  # fmt: skip
    names = [name for _, name, _ in known]
    began = time.perf_counter()
    for _ in range(5):
        get_close_matches(swapped(chance.choice(names), chance, 0.5), names, cutoff=0.8)
    peer = (time.perf_counter() - began) * 200
    told = ", ".join(f"{name} {taken}" for name, taken in found.items())
    print(f"{things:>7,} things: started in {started:.1f} s; median and 95th percentile: {told};"
          f" difflib {peer:.0f} ms a name", flush=True)  # fmt: skip


if __name__ == "__main__":
    for size in map(int, sys.argv[1:] or SIZES):
        measure(size)
