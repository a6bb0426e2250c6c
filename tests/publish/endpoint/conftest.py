"""One endpoint for all tests here, over a little collection with hostile names in it."""

from collections.abc import Iterator
from pathlib import Path

import httpx2 as httpx
import pytest

from endpoint import serving, write_site
from shelf import TABLES, write

HOSTILE = (
    "h1,harrow,X1,<script>alert(1)</script>,alder,cat1908,p. 10,\n"
    "h2,harrow,X2,javascript:alert(2),birch,cat1911,p. 10,\n"
)


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("endpoint")
    groups = "group,name,shape,source,claim\npair,The pair,alder|birch,letter,the-pair\n"
    collection = write(folder / "shelf", treatments=TABLES["treatments"] + HOSTILE, groups=groups)
    return write_site(folder / "site", collection)


@pytest.fixture(scope="session")
def address(site: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with serving(site, tmp_path_factory.mktemp("store") / "store") as where:
        yield where


@pytest.fixture
def client(address: str) -> Iterator[httpx.Client]:
    once = httpx.Limits(max_keepalive_connections=0)  # the endpoint closes those that rest a while
    # Nothing is encrypted: `verify` saves the time that it takes to read certificates.
    with httpx.Client(
        base_url=address, trust_env=False, verify=False, timeout=20, limits=once
    ) as opened:
        yield opened
