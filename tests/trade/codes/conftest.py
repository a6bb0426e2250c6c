"""Small collections with schemes of codes."""

from functools import partial
from pathlib import Path

import pytest

from shelf_of_codes import Believe, believed


@pytest.fixture
def believe(tmp_path: Path) -> Believe:
    """Read a collection of which a test gives some tables."""
    return partial(believed, tmp_path / "codes")
