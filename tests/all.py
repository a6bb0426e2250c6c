"""Everything that must hold before a change is handed in: lint, types, layers, tests.

Run from the top of the checkout with the environment that ``pip install -e '.[dev]'`` made.
Every part runs even if an earlier one fails; the exit code is 1 if any did.
"""

import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parents[1]
BIN = Path(sys.executable).parent

PARTS = {
    "lint": [str(BIN / "ruff"), "check", "."],
    "format": [str(BIN / "ruff"), "format", "--check", "."],
    "types": [sys.executable, "-m", "mypy"],
    "layers": [str(BIN / "lint-imports")],
    "tests": [sys.executable, "-m", "pytest", "-q", "-n", "auto"],
}


def main() -> int:
    """Run the parts and say which failed."""
    failed = []
    for name, command in PARTS.items():
        sys.stdout.write(f"== {name}\n")
        sys.stdout.flush()
        if subprocess.run(command, cwd=TOP, check=False).returncode:
            failed.append(name)
    sys.stdout.write(f"failed: {', '.join(failed)}\n" if failed else "all is well\n")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
