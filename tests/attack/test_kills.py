"""A few of the many kills of ``long_kills.py``, and many who correct at once; chosen by a seed."""

import random
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parents[2]


def ran(program: str, *words: str) -> "subprocess.CompletedProcess[str]":
    command = [sys.executable, str(TOP / "tests" / "attack" / program), *words]
    return subprocess.run(command, capture_output=True, text=True, check=False)


@pytest.mark.parametrize("name", ["begin", "correct", "several", "export tables", "handover"])
def test_before_or_after_and_never_between(name: str) -> None:
    seed = random.SystemRandom().randrange(1 << 30)
    done = ran("long_kills.py", "--count", "4", "--seed", str(seed), "--only", name)
    assert done.returncode == 0, f"--seed {seed} --only {name}: {done.stdout}{done.stderr}"
    assert " 4 trials: " in done.stdout


def test_of_those_who_correct_at_once_nobody_loses_anything() -> None:
    done = ran("long_pairs.py", "--pairs", "3")
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.startswith("3 pairs: 6 corrections told, 6 kept")
