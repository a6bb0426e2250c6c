"""Some of the many broken files of ``long_files.py``, chosen by a seed."""

import os
import random
import re
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
COUNT = 60


def test_broken_files_are_read_or_refused_soon_and_say_why() -> None:
    seed = str(random.SystemRandom().randrange(1 << 30))
    program = str(TOP / "tests" / "attack" / "long_files.py")
    words = ["--count", str(COUNT), "--seed", seed, "--processes", "2"]
    environment = {**os.environ, "GLOST_CACHE": ""}
    done = subprocess.run(
        [sys.executable, program, *words],
        capture_output=True,
        text=True,
        check=False,
        env=environment,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    ends = re.findall(r"^(\w+) +(read|refused|read and checked) +(\d+)$", done.stdout, re.MULTILINE)
    assert sum(int(times) for _, _, times in ends) == COUNT
    assert {kind for kind, _, _ in ends} >= {"csv", "xlsx", "trig", "toml"}
    assert {ended for _, ended, _ in ends} >= {"read", "refused"}
