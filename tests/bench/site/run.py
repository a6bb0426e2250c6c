"""How long a site of a large collection takes, in what memory, and what one changed row rewrites.

``python tests/bench/site/run.py [THINGS ...]``; each size runs as whole processes, over a floor in
the same run: the same files written by a loop that makes nothing, ratio given.
"""

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).parent
_RUN = "import sys; from glost_cli.main import main; sys.argv = ['glost', *sys.argv[1:]]; main()"


def publish(collection: Path, site: Path) -> tuple[float, str]:
    """Publish in a process of its own; return its seconds and what it says."""
    begun = time.perf_counter()
    command = [sys.executable, "-c", _RUN, "publish", str(site), "-c", str(collection)]
    done = subprocess.run(
        [*command, "--validator", "shacl"], capture_output=True, text=True, check=True
    )
    return time.perf_counter() - begun, done.stdout.splitlines()[0].partition(": ")[2]


def floor(site: Path, folder: Path) -> float:
    """Write the files of a site again, already made; return the seconds."""
    files = [(p.relative_to(site), p.read_bytes()) for p in site.rglob("*") if p.is_file()]
    begun = time.perf_counter()
    for name, content in files:
        place = folder / name
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(content)
    return time.perf_counter() - begun


def measure(things: int) -> None:
    """Measure one size."""
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        collection, site = top / "collection", top / "site"
        subprocess.run(
            [sys.executable, str(HERE / "collection.py"), str(things), str(collection)], check=True
        )
        seconds, said = publish(collection, site)
        peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 2**20
        bare = floor(site, top / "floor")
        print(f"{things:,} things: {seconds:.1f} s, {peak:.2f} GiB at most so far; {said}")
        print(f"    the files alone, already made: {bare:.1f} s; {seconds / bare:.1f} times that")
        largest = max(p.stat().st_size for p in site.glob("*/*.html"))
        print(f"    the largest page: {largest:,} octets")
        print(f"    again, nothing changed: {publish(collection, site)}")
        table = collection / "tables" / "pieces.csv"
        table.write_text(table.read_text().replace("A society", "Another society", 1))
        print(f"    again, one row changed: {publish(collection, site)}")


if __name__ == "__main__":
    for size in [int(word) for word in sys.argv[1:]] or [2_000, 6_000, 20_000]:
        measure(size)
