"""Reading dates against the PyPI package `edtf`, on the same 64 strings in the same run.

Run: python tests/bench/dates/bench_dates.py
"""

import contextlib
import io
import sys
import time
import warnings
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parents[3]
sys.path.insert(0, str(ROOT / "kg"))
EXAMPLES = ROOT / "tests" / "checks" / "edtf_examples.tsv"
TARGET = 200


def examples() -> list[str]:
    lines = EXAMPLES.read_text(encoding="utf-8").splitlines()
    return [line.split("\t")[2] for line in lines if not line.startswith("#")][1:]


def best(read: Callable[[str], object], texts: list[str], rounds: int) -> float:
    """Return the shortest time, in seconds, of reading all the texts once."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        for text in texts:
            read(text)
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    from glost.record.dates import read

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import edtf

        def peer(text: str) -> None:
            with contextlib.suppress(AttributeError):  # it fails on 1984-1X
                date = edtf.parse_edtf(text)
                date.lower_strict()
                date.upper_strict()

        texts = examples()
        with contextlib.redirect_stdout(io.StringIO()):
            theirs = best(peer, texts, 5)
    ours = best(read, texts, 50)
    print(f"{len(texts)} strings: edtf {theirs * 1e3:.1f} ms, ours {ours * 1e3:.3f} ms")
    print(f"ratio {theirs / ours:.0f} (target {TARGET})")
    for size in (10, 100, 1000):
        print(f"{64 * size} strings: {best(read, texts * size, 3) / size / 64 * 1e6:.2f} us each")


if __name__ == "__main__":
    main()
