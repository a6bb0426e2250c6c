"""Crossings among very many pieces, against a plain loop over the rows in the same run.

    python tests/bench/codes/bench_crossings.py [SIZE...]

Pieces of twenty shapes bear four hundred treatments, one in five on another shape than its home. What
is timed begins with claims as they are read from tables, not yet expanded into statements, and ends
with every crossing, its sightings and their explanations. The peer goes over the same cells as lists
of texts: it finds the pieces on another shape and looks up shared flatware; it holds no claims, no
other explanation and no strength.
"""

import random
import resource
import sys
import tempfile
import time
from pathlib import Path

from glost.record.record import read
from glost.trade.crossings import crossings
from glost.trade.times.reckoning import chronology

SETTINGS = 'title = "Very many pieces"\nbase = "https://example.org/many/"\n'
SHAPES, TREATMENTS = 20, 400
FORMS = ("plate", "saucer", "platter", "teapot", "sugar", "jug")
Piece = tuple[str, int, str, int]


def draw(size: int, seed: int = 5) -> list[Piece]:
    """Draw pieces: id, shape, form and treatment."""
    rng = random.Random(seed)
    pieces = []
    for number in range(size):
        treatment = rng.randrange(TREATMENTS)
        shape = treatment % SHAPES if rng.random() < 0.8 else rng.randrange(SHAPES)
        pieces.append((f"p{number}", shape, rng.choice(FORMS), treatment))
    return pieces


def write(folder: Path, pieces: list[Piece]) -> Path:
    """Write the collection."""
    (folder / "tables").mkdir(parents=True)
    (folder / "collection.toml").write_text(SETTINGS, encoding="utf-8")
    tables = {
        "sources": ["source,title,kind,date", "list,A list,catalogue,1910"],
        "potteries": ["pottery,name,source", "fell,Fell,list"],
        "shapes": ["shape,pottery,name,begin,end,source"]
        + [f"s{n},fell,Shape {n},{1890 + n},{1900 + n},list" for n in range(SHAPES)],
        "decals": ["decal,name,source"] + [f"d{n},Decal {n},list" for n in range(100)],
        "treatments": ["treatment,pottery,number,decal,shape,source"]
        + [f"t{n},fell,T-{n},d{n % 100},s{n % SHAPES},list" for n in range(TREATMENTS)],
        "flatware": ["shape,with,source"] + [f"s{n},s{n + 1},list" for n in range(0, SHAPES, 4)],
        "pieces": ["piece,pottery,shape,form,treatment"]
        + [f"{name},fell,s{shape},{form},t{treatment}" for name, shape, form, treatment in pieces],
    }
    for name, lines in tables.items():
        text = "\n".join(lines) + "\n"
        (folder / "tables" / f"{name}.csv").write_text(text, encoding="utf-8")
    return folder


def naive(pieces: list[Piece]) -> int:
    """Count the sightings away from home that shared flatware accounts for, and the others."""
    shared = {(n, n + 1) for n in range(0, SHAPES, 4)} | {(n + 1, n) for n in range(0, SHAPES, 4)}
    found: dict[tuple[int, int, int], list[tuple[str, str, str]]] = {}
    for name, shape, form, treatment in pieces:
        home = treatment % SHAPES
        if shape != home:
            flat = (home, shape) in shared and form in ("plate", "saucer", "platter")
            why = "shared flatware" if flat else "none yet"
            found.setdefault((treatment, home, shape), []).append((name, form, why))
    return sum(map(len, found.values()))


def main() -> None:
    """Print a line for each size."""
    print("pieces     sightings  crossings s  loop s   crossings/loop  read s   peak GiB")
    for size in [int(word) for word in sys.argv[1:]] or [10_000, 100_000, 1_000_000]:
        pieces = draw(size)
        with tempfile.TemporaryDirectory() as top:
            began = time.perf_counter()
            belief = read(write(Path(top) / "many", pieces)).believed()
            start = time.perf_counter()
            found = crossings(belief, chronology(belief))
            between = time.perf_counter()
            count = naive(pieces)
            end = time.perf_counter()
        seen = sum(len(crossing.sightings) for crossing in found)
        if seen != count:
            raise SystemExit(f"{seen} sightings against {count}")
        slow, fast = between - start, end - between
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
        print(
            f"{size:<10} {seen:<10} {slow:<12.2f} {fast:<8.2f} {slow / fast:<15.1f} "
            f"{start - began:<8.2f} {peak:.2f}"
        )


if __name__ == "__main__":
    main()
