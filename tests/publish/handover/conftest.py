"""A server to hand over to, and a collection with texts that are hard to hand over."""

import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import httpx2 as httpx
import pytest

from glost.answer.snapshot import Snapshot
from ports import free_port
from shelf import TABLES, write

HARD = r"""h1,harrow,H1,"C:\users\u0022 \\u0041 \U00000041 \n",alder,cat1908,p. 10,
h2,harrow,H2,"quote "" and } ] ; . <x>",alder,cat1908,p. 10,
h3,harrow,H3,Ångström – 釉 🏺,alder,cat1908,p. 10,
"""


@pytest.fixture(scope="session")
def collection(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("handover") / "shelf"
    return write(folder, treatments=TABLES["treatments"] + HARD)


@pytest.fixture(scope="session")
def snapshot(collection: Path) -> Snapshot:
    return Snapshot(collection)


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The Oxigraph server, keeping all in memory; its address with a closing slash."""
    port = free_port()
    program = Path(sys.executable).parent / "oxigraph"
    command = [
        str(program),
        "serve",
        "--bind",
        f"127.0.0.1:{port}",
    ]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as server:
        try:
            address = f"http://127.0.0.1:{port}/"
            for _ in range(100):
                try:
                    httpx.get(address, trust_env=False, verify=False)
                    break
                except httpx.TransportError:
                    time.sleep(0.05)
            yield address
        finally:
            server.terminate()


@pytest.fixture
def oxigraph(server: str) -> str:
    """The same, with nothing in it."""
    media = {"content-type": "application/sparql-update"}
    httpx.post(f"{server}update", content="DROP ALL", headers=media, trust_env=False, verify=False)
    return server
