"""The closure against its peers, whole processes in one run, and how it grows.

    python tests/bench/closure/run.py [part ...]

Parts: ``peers`` ``growth`` ``text`` ``why`` ``change`` ``random``; ``huge`` (10^8 triples, some
16 GB of memory) only when named.  Times are the least of three runs, or of one where a run takes
over 20 seconds.
"""

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parents[2] / "kg"), str(HERE.parents[1] / "reason")]

from asking import changes, questions  # noqa: E402
from collection import write  # noqa: E402

RUNS = 3
LONG = 20.0
LIMIT = 240
"""Seconds after which a peer is stopped; its ratio is then a lower bound."""


def whole(program: str, argument: object) -> tuple[float, dict]:
    """Run a program as a process of its own; return the least time and what it told.

    What it told is empty if it was stopped at the limit.
    """
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        command = [sys.executable, str(HERE / "worker.py"), program, str(argument)]
        try:
            done = subprocess.run(
                command, capture_output=True, text=True, check=False, cwd=HERE, timeout=LIMIT
            )
        except subprocess.TimeoutExpired:
            return LIMIT, {}
        times.append(time.perf_counter() - start)
        if done.returncode:
            raise SystemExit(f"{program} failed:\n{done.stderr}")
        if times[-1] > LONG:
            break
    return min(times), json.loads(done.stdout.splitlines()[-1])


def versus(folder: Path, triples: int, peers: dict[str, str]) -> None:
    """Compare with other programs on one file of N-Triples."""
    path = folder / f"{triples}.ttl"
    write(triples, path, graphs=False)
    ours, told = whole("glost", path)
    print(
        f"{told['triples']:>12,} triples  glost {ours:8.2f} s  {told['peak_mb']:>6} MB"
        f"  {told['inferred']:,} inferred"
    )
    for peer, note in peers.items():
        theirs, told = whole(peer, path)
        ratio = f"ratio {theirs / ours:.1f}"
        end = f"{told['peak_mb']:>6} MB  {ratio}" if told else f"   stopped  {ratio} or more"
        print(f"{'':>21}  {peer} {theirs:8.2f} s  {end}  {note}", flush=True)


def peers(folder: Path) -> None:
    """Compare with owlrl, reasonable and Nemo, each where it can still run."""
    keyless = "(keys left out: it ignores a key's last property and equates too much)"
    versus(folder, 3_200, {"owlrl": keyless})
    versus(folder, 32_000, {"owlrl": keyless})
    lacks = "(has no property chains and no keys; knows sameness)"
    versus(folder, 320_000, {"reasonable": lacks})
    same = "(the same rules but sameness and clashes)"
    versus(folder, 3_200_000, {"nemo_triple": same, "nemo_vertical": same})


def growth(_: Path) -> None:
    """Print time and memory over three sizes, from codes."""
    for triples in (100_000, 1_000_000, 10_000_000):
        seconds, told = whole("glost_coded", triples)
        print(
            f"{told['triples']:>12,} triples  {seconds:8.2f} s  {told['peak_mb']:>6} MB"
            f"  {told['inferred']:,} inferred"
        )


def huge(_: Path) -> None:
    """Close 10^8 triples from codes."""
    seconds, told = whole("glost_coded", 100_000_000)
    print(
        f"{told['triples']:>12,} triples  {seconds:8.2f} s  {told['peak_mb']:>6} MB"
        f"  {told['inferred']:,} inferred"
    )


def text(folder: Path) -> None:
    """Close 8 million quads from text."""
    path = folder / "text.nq"
    quads = write(8_315_000, path)
    seconds, told = whole("glost", path)
    print(f"{quads:>12,} quads of text  {seconds:8.2f} s  {told['peak_mb']:>6} MB")


def why(_: Path) -> None:
    """Print how long questions take at 10 million triples, in milliseconds."""
    questions(10_000_000)


def change(_: Path) -> None:
    """Print how long changes take at 3 and 10 million triples, in milliseconds."""
    for triples in (3_200_000, 10_000_000):
        changes(triples)


def random(_: Path) -> None:
    """Compare 1,000 random schemas and datasets with owlrl."""
    from random_cases import by_owlrl, case, comparable
    from rdflib.namespace import OWL, RDF

    from glost.reason.closure import close

    compared = nothing = clashing = 0
    for seed in range(1000, 2000):
        drawn = case(seed)
        expected, contradiction = by_owlrl(drawn)
        closure = close(drawn.facts, drawn.schema)
        found = comparable({*drawn.facts, *closure.inferred}, drawn)
        in_nothing = any(t[1] == RDF.type and t[2] == OWL.Nothing for t in expected)
        agree = found <= expected if in_nothing else found == expected
        if not agree or bool(closure.clashes) != contradiction:
            raise SystemExit(f"seed {seed}: owlrl and this closure differ")
        compared, nothing = compared + len(expected), nothing + in_nothing
        clashing += contradiction
    print(
        f"1,000 random cases, {compared:,} triples as by owlrl; {clashing} with a clash; in "
        f"{nothing} of them owlrl put members of owl:Nothing into every class, and we did not"
    )


PARTS = {f.__name__: f for f in (peers, growth, text, why, change, random, huge)}

if __name__ == "__main__":
    chosen = sys.argv[1:] or [name for name in PARTS if name != "huge"]
    with tempfile.TemporaryDirectory() as made:
        for name in chosen:
            print(f"{name}: {(PARTS[name].__doc__ or '').strip()}", flush=True)
            PARTS[name](Path(made))
