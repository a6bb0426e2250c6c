"""What the tests of the closure share."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest


def _load(name: str) -> ModuleType:
    path = Path(__file__).with_name(f"{name}.py")
    spec = importlib.util.spec_from_file_location(name, path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def random_cases() -> ModuleType:
    """Return the generator of random schemas and facts."""
    return _load("random_cases")


@pytest.fixture(scope="session")
def naive() -> ModuleType:
    """Return a forward chainer that is slow and plain, and a checker of proofs."""
    return _load("naive")
