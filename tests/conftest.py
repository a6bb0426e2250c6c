"""What holds for every test."""

import gc
import os
from pathlib import Path
from tempfile import TemporaryDirectory

import hypothesis  # imported first: what it looks through must not have been frozen yet, or it warns
import pytest

from glost.answer.snapshot import Snapshot

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"

# No test asserts a time, and a busy machine takes long over drawing what is tried.
hypothesis.settings.register_profile(
    "untimed", deadline=None, suppress_health_check=[hypothesis.HealthCheck.too_slow]
)
hypothesis.settings.load_profile("untimed")

# As the command does: with a collection in memory, looking for cycles costs more than they hold.
gc.set_threshold(100_000, 20, 20)

# pytest-xdist tells its workers that lines are 80 wide; without it nobody does. What is printed is
# to be the same both ways.
os.environ.pop("COLUMNS", None)

# There are as many workers as processors, and each of them has processes: threads are in the way.
os.environ.setdefault("POLARS_MAX_THREADS", "1")


def pytest_configure(config: pytest.Config) -> None:
    """Keep what follows from collections in a folder of this run, which its workers share."""
    if "PYTEST_XDIST_WORKER" not in os.environ:
        kept = TemporaryDirectory(prefix="glost-tests-", ignore_cleanup_errors=True)
        os.environ["GLOST_CACHE"] = kept.name
        config.add_cleanup(kept.cleanup)


@pytest.fixture(autouse=True)
def keeping(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep nothing: most collections of tests are opened once, and keeping takes time."""
    monkeypatch.setenv("GLOST_CACHE", "")


@pytest.fixture(scope="session")
def kept_by_all() -> str:
    """Return the folder in which all tests of a run may keep what follows from an example."""
    return os.environ["GLOST_CACHE"]


@pytest.fixture
def keeping_examples(kept_by_all: str, keeping: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """Take what any test of this run kept: for commands on the larger example.

    A check makes nothing ready for the next, which takes as long as a hundred tests.
    """
    monkeypatch.setenv("GLOST_CACHE", kept_by_all)
    monkeypatch.setattr("glost.answer.earlier.keep_ahead", lambda _: None)


@pytest.fixture(scope="session")
def valley() -> Snapshot:
    """Open the larger example, which nobody changes, once for every test."""
    return Snapshot(EXAMPLES / "wend-valley")


@pytest.fixture(scope="session")
def thurle() -> Snapshot:
    """Open the second keeper's example, which nobody changes, once for every test."""
    return Snapshot(EXAMPLES / "thurle-cabinet")
