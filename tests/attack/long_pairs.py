"""Very many pairs who correct one collection at the same time.

Run it by hand from the top of the checkout; a disk in memory makes it faster::

    TMPDIR=/dev/shm python tests/attack/long_pairs.py --pairs 200

Each of a pair is a process of its own that corrects another claim of the same table. Both are let
go at once. What a process tells it has done must be there afterwards, once. It ends with 1 if
anything was lost.
"""

import argparse
import csv
import os
import sys
import tempfile
from collections import Counter
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP / "kg"), str(TOP / "cli"), str(TOP / "tests" / "support")]

import shelf  # noqa: E402
from glost_cli.main import main as glost  # noqa: E402
from kills import make_ready  # noqa: E402

CLAIMS = ("b7-as-printed", "a12-as-printed")


def corrected(folder: Path, claim: str, gate: int, out: Path) -> int:
    """Fork a process that waits at the gate, corrects a claim and ends."""
    pid = os.fork()
    if pid:
        return pid
    code = 70
    try:
        handle = os.open(out, os.O_WRONLY | os.O_CREAT, 0o600)
        os.dup2(handle, 1)
        os.dup2(handle, 2)
        number = "B17" if claim.startswith("b") else "A21"
        grounds = ("--reason", "misread", "--source", "p2", "--quiet")
        sys.argv = ["glost", "correct", claim, f"number={number}", *grounds, "-c", str(folder)]
        os.read(gate, 1)
        try:
            glost()
            code = 0
        except SystemExit as end:
            code = int(end.code or 0)
    finally:
        os._exit(code)


def pair(place: Path) -> tuple[int, int, str]:
    """Let a pair go at once; return how many say they have done it, and how many rows say so."""
    text = shelf.TABLES["treatments"].replace("cat1908,p. 9,\n", "cat1908,p. 9,a12-as-printed\n")
    folder = shelf.write(place / "shelf", treatments=text)
    hold, gate = os.pipe()[::-1]
    pids = [corrected(folder, claim, gate, place / claim) for claim in CLAIMS]
    os.write(hold, b"go")
    codes = [os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid in pids]
    os.close(hold)
    os.close(gate)
    with (folder / "tables" / "corrections.csv").open(newline="", encoding="utf-8") as file:
        withdrawn = Counter(row["withdraws"].split("#")[0] for row in csv.DictReader(file))
    told = {claim for claim, code in zip(CLAIMS, codes, strict=True) if code == 0}
    said = "".join((place / claim).read_text() for claim in CLAIMS)
    hidden = [path.name for path in folder.rglob(".*")]
    wrong = "" if set(withdrawn) == told and not hidden else f"{codes} {withdrawn} {hidden} {said}"
    if any(count > 1 for count in withdrawn.values()):
        wrong += f" twice: {withdrawn}"
    return len(told), len(withdrawn), wrong


def main() -> int:
    """Let as many pairs go as are asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pairs", type=int, default=200)
    given = parser.parse_args()
    told = kept = 0
    wrong = []
    os.environ["GLOST_CACHE"] = ""
    make_ready(("glost.answer.workspace", "glost.trade.times", "glost_cli.commands.correct"))
    with tempfile.TemporaryDirectory(prefix="pairs-") as name:
        for number in range(given.pairs):
            did, stood, bad = pair(Path(name) / str(number))
            told, kept = told + did, kept + stood
            wrong += [f"pair {number}: {bad}"] if bad else []
    print(f"{given.pairs} pairs: {told} corrections told, {kept} kept, {len(wrong)} wrong")
    for each in wrong:
        print(each)
    return 1 if wrong or told != kept else 0


if __name__ == "__main__":
    sys.exit(main())
