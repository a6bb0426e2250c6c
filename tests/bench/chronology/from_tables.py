"""From tables to bounds with reasons, at size, each size in a process of its own.

Run: python tests/bench/chronology/from_tables.py [pieces ...]
"""

import random
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[3]
sys.path.insert(0, str(ROOT / "kg"))

RUNS = 2_500
"""Shapes, and as many marks."""


def tables(folder: Path, pieces: int) -> None:
    """Write a collection whose pieces lie within the runs of a shape and of a mark."""
    rng = random.Random(1)
    (folder / "tables").mkdir(parents=True)
    (folder / "collection.toml").write_text(
        'title = "Many pieces"\nbase = "https://example.org/many/"\n', encoding="utf-8"
    )
    begun = [rng.randint(1880, 1920) for _ in range(RUNS)]
    files = {
        "sources": ["source,title,kind", "book,A book,book"],
        "shapes": ["shape,name,begin,end,source"],
        "marks": ["mark,wording,applied,begin,end,source"],
        "pieces": ["piece,shape,form,mark,made"],
    }
    for run, year in enumerate(begun):
        files["shapes"].append(f"s{run},S{run},{year},{year + 15}~,book")
        files["marks"].append(f"m{run},M{run},underglaze,{year},{year + 12}~,book")
    for piece in range(pieces):
        run = rng.randrange(RUNS)
        made = begun[run] + rng.randint(0, 12)
        files["pieces"].append(f"p{piece},s{run},plate,m{run},{made}")
    for name, lines in files.items():
        (folder / "tables" / f"{name}.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


def measure(folder: Path) -> None:
    """Read, reckon and give reasons, and print what each took."""
    from rdflib import URIRef

    from glost.record.record import read
    from glost.trade.times.reckoning import chronology

    start = time.perf_counter()
    record = read(folder)
    belief = record.believed()
    got = time.perf_counter()
    times = chronology(belief)
    done = time.perf_counter()
    assert not times.conflicts
    points = [URIRef(f"{record.base}piece/p{n}#made") for n in range(0, 2_000, 20)]
    times.why_not_before(points[0])
    waits = []
    for point in points:
        begun = time.perf_counter()
        assert times.why_not_before(point) is not None
        waits.append(time.perf_counter() - begun)
    network = times._solution.network
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    print(
        f"{len(record.claims):>9} claims, {len(network):>9} limits: read {got - start:6.2f} s, "
        f"bounds {done - got:6.2f} s, in all {done - start:6.2f} s, {peak:.2f} GiB; "
        f"one bound's reasons {1e3 * sorted(waits)[50]:.2f} ms, at most {1e3 * max(waits):.2f}",
        flush=True,
    )


def main() -> None:
    if sys.argv[1:2] == ["--measure"]:
        measure(Path(sys.argv[2]))
        return
    for size in [int(each) for each in sys.argv[1:]] or [10_000, 100_000, 1_000_000]:
        with tempfile.TemporaryDirectory() as folder:
            tables(Path(folder) / "c", size)
            subprocess.run(
                [sys.executable, __file__, "--measure", str(Path(folder) / "c")], check=True
            )


if __name__ == "__main__":
    main()
