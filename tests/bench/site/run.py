"""How long a site of a large collection takes, in what memory, and what one changed row rewrites.

``python tests/bench/site/run.py [THINGS ...]``; each size runs as whole processes, which keep as
users' do what follows, beside a floor in the same run: the same files written by a loop that makes
nothing. Memory is the sum of the processes' proportional shares, looked at five times a second.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).parent
_RUN = "import sys; from glost_cli.main import main; sys.argv = ['glost', *sys.argv[1:]]; main()"


def publish(collection: Path, site: Path, cache: Path, new: float = 0.0) -> tuple[float, str]:
    """Publish in processes of their own; return what it took and what it says.

    `new` is the processor time that a new site took, for the ratio.
    """
    command = [sys.executable, "-c", _RUN, "publish", str(site), "-c", str(collection)]
    before, begun = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    with subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "GLOST_CACHE": str(cache)},
    ) as process:
        most = 0.0
        while process.poll() is None:
            most = max(most, memory(process.pid))
            time.sleep(0.2)
        said = process.stdout.read() if process.stdout else ""
    seconds = time.perf_counter() - begun
    if process.returncode:
        raise SystemExit(f"publishing ended with {process.returncode}")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    processor = sum(getattr(after, f) - getattr(before, f) for f in ("ru_utime", "ru_stime"))
    told = said.splitlines()[0].partition(": ")[2]
    ratio = f", {processor / new:.2f} of new" if new else ""
    says = f"{seconds:.1f} s, {processor:.1f} s of processor{ratio}, {most:.2f} GiB; {told}"
    return processor, says


def memory(process: int) -> float:
    """Return the GiB that a process and its children take, what they share counted once (Linux)."""
    try:
        rollup = Path(f"/proc/{process}/smaps_rollup").read_text()
        children = Path(f"/proc/{process}/task/{process}/children").read_text().split()
    except OSError:
        return 0.0
    own = next(int(line.split()[1]) for line in rollup.splitlines() if line.startswith("Pss:"))
    return own / 2**20 + sum(memory(int(child)) for child in children)


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
        collection, site, cache = top / "collection", top / "site", top / "cache"
        subprocess.run(
            [sys.executable, str(HERE / "collection.py"), str(things), str(collection)], check=True
        )
        new, told = publish(collection, site, cache)
        print(f"{things:,} things: {told}", flush=True)
        print(f"    the files alone, already made: {floor(site, top / 'floor'):.1f} s")
        largest = max(p.stat().st_size for p in site.glob("*/*.html"))
        print(f"    the largest page: {largest:,} octets")
        print(f"    again, nothing changed: {publish(collection, site, cache, new)[1]}", flush=True)
        table = collection / "tables" / "pieces.csv"
        table.write_text(table.read_text().replace("A society", "Another society", 1))
        print(f"    again, one row changed: {publish(collection, site, cache, new)[1]}")


if __name__ == "__main__":
    for size in [int(word) for word in sys.argv[1:]] or [2_000, 6_000, 20_000]:
        measure(size)
