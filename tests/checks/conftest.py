"""What checks against things outside share: the larger example, ready to be published."""

import pytest

from glost.answer.snapshot import Snapshot
from glost.publish.site.holdings import SiteContents


@pytest.fixture(scope="session")
def valley_held(valley: Snapshot) -> SiteContents:
    """The larger example indexed for publishing, its findings left out; nobody changes it."""
    return SiteContents(valley, ())
