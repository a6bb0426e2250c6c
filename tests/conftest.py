"""What every test shares: nothing a test makes is kept where its user keeps things."""

import os
import shutil
import tempfile

import pytest

_MADE = "GLOST_TESTS_MADE_CACHE"


def pytest_configure(config: pytest.Config) -> None:
    """Keep what follows from collections in a folder of this run, shared by its processes."""
    if _MADE not in os.environ:
        os.environ["GLOST_CACHE"] = os.environ[_MADE] = tempfile.mkdtemp(prefix="glost-tests-")
        config.stash[_FIRST] = True


def pytest_unconfigure(config: pytest.Config) -> None:
    """Delete that folder, in the process that made it."""
    if config.stash.get(_FIRST, False):
        shutil.rmtree(os.environ.pop(_MADE), ignore_errors=True)


_FIRST = pytest.StashKey[bool]()
