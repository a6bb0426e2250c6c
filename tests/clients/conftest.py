"""What these tests need: Virtuoso, roqet, node, npm, Apache, nginx and Caddy. None is skipped.

They stand outside the ordinary run, because their programs come from the operating system:
``apt-get install virtuoso-opensource rasqal-utils nodejs npm apache2-bin nginx-light caddy``, then
``pytest tests/clients``. Each server is started on a free port of loopback, and no service is.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest

from endpoint import serving, write_site
from glost.answer.snapshot import Snapshot
from shelf import write


@pytest.fixture(scope="session")
def collection(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write(tmp_path_factory.mktemp("clients") / "shelf")


@pytest.fixture(scope="session")
def snapshot(collection: Path) -> Snapshot:
    return Snapshot(collection)


@pytest.fixture(scope="session")
def address(collection: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    site = write_site(tmp_path_factory.mktemp("site"), collection)
    with serving(site, tmp_path_factory.mktemp("store") / "store") as where:
        yield where
