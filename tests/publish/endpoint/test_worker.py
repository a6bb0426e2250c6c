"""The process that answers queries is small: its limit of memory is for queries."""

import subprocess
import sys

from endpoint import PATHS

_LARGE = ("polars", "duckdb", "scipy", "numpy", "networkx", "pyshacl", "pint", "PIL", "matplotlib")
_PROGRAM = """
import sys
sys.path[:0] = sys.argv[1:]
import glost.publish.endpoint.worker
print(*sorted({name.partition(".")[0] for name in sys.modules}))
"""


def test_a_process_brings_no_library_that_queries_do_not_need() -> None:
    command = [sys.executable, "-c", _PROGRAM, *PATHS]
    found = subprocess.run(command, capture_output=True, text=True, check=True).stdout.split()
    assert "pyoxigraph" in found
    assert not set(_LARGE) & set(found)
