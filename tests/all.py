"""Everything that must hold before a change is handed in: lint, types, layers, tests.

Run from the top of the checkout with the environment that ``pip install -e '.[dev]'`` made.
Every part runs even if an earlier one fails; the exit code is 1 if any did. Types are looked at
beside the tests and told after them. Tests of properties run under one seed, so that a change is
judged by the same cases as the one before it; ``--seed N`` tries others, which is worth doing now
and then.
"""

import argparse
import os
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parents[1]
BIN = Path(sys.executable).parent


def parts(seed: int) -> dict[str, list[str]]:
    """Return the command of each part; `seed` is that of the property tests."""
    tests = [sys.executable, "-m", "pytest", "-q", "-n", "auto", "--dist", "worksteal"]
    return {
        "lint": [str(BIN / "ruff"), "check", "."],
        "format": [str(BIN / "ruff"), "format", "--check", "."],
        "types": [sys.executable, "-m", "mypy"],
        "layers": [str(BIN / "lint-imports")],
        f"tests (seed {seed})": [*tests, f"--hypothesis-seed={seed}"],
    }


def main() -> int:
    """Run the parts and say which failed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=0, help="seed of the property tests")
    seed = parser.parse_args().seed
    # What one process of a run compiles, the hundreds after it are to find compiled.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    failed, commands = [], parts(seed)
    types = subprocess.Popen(
        commands.pop("types"), cwd=TOP, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    for name, command in commands.items():
        sys.stdout.write(f"== {name}\n")
        sys.stdout.flush()
        if subprocess.run(command, cwd=TOP, check=False).returncode:
            failed.append(name)
    sys.stdout.write(f"== types\n{types.communicate()[0]}")
    failed += ["types"] if types.returncode else []
    sys.stdout.write(f"failed: {', '.join(failed)}\n" if failed else "all is well\n")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
