"""Commands find what follows from a collection where the last one kept it, as a user's do."""

import pytest


@pytest.fixture(autouse=True)
def keeping() -> None:
    """Keep it in the folder of this run."""
