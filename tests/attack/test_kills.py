"""A few of the many kills of ``long_kills.py``, and many who correct at once; chosen by a seed."""

import os
import random
import re
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]


MEMORY = Path("/dev/shm")


def ran(program: str, *words: str) -> "subprocess.CompletedProcess[str]":
    command = [sys.executable, str(TOP / "tests" / "attack" / program), *words]
    environment = {**os.environ, **({"TMPDIR": str(MEMORY)} if MEMORY.is_dir() else {})}
    return subprocess.run(command, capture_output=True, text=True, check=False, env=environment)


def test_before_or_after_and_never_between() -> None:
    seed = str(random.SystemRandom().randrange(1 << 30))
    only = "begin|correct|undo|handover"
    done = ran("long_kills.py", "--count", "5", "--seed", seed, "--only", only)
    assert done.returncode == 0, f"--seed {seed} --only '{only}': {done.stdout}{done.stderr}"
    assert len(re.findall(r" [2-4] trials: ", done.stdout)) == 4


def test_of_those_who_correct_at_once_nobody_loses_anything() -> None:
    done = ran("long_pairs.py", "--pairs", "2")
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.startswith("2 pairs: 4 corrections told, 4 kept")
