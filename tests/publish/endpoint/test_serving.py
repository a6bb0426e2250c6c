"""The command serve: where it serves, how it ends, what it says when it cannot."""

import json
import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import httpx2 as httpx
import pytest

from commands import glost_ends
from endpoint import PATHS

ENDLESS = "SELECT (COUNT(*) AS ?n) { ?a ?b ?c . ?d ?e ?f FILTER(?c < ?f && ?b < ?e) }"


@contextmanager
def start(*words: str) -> Iterator[subprocess.Popen[str]]:
    with subprocess.Popen(
        [sys.executable, "-m", "glost_cli", "serve", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(PATHS)},
    ) as process:
        try:
            yield process
        finally:
            process.kill()


def children(process: int) -> list[int]:
    """Return the processes that one has started, by the fourth field of each one's state."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            parent = stat.read_text().rpartition(")")[2].split()[1]
            found += [int(stat.parent.name)] if int(parent) == process else []
    return found


def started(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    said = process.stdout.readline()
    address = re.search(r"at (http://127\.0\.0\.1:\d+/)$", said.strip())
    assert address, said
    return address[1]


def test_it_ends_cleanly_in_the_midst_of_a_query(site: Path) -> None:
    words = (str(site), "--port", "0", "--processes", "1")
    with start(*words) as first, start(*words) as second:
        processes = {signal.SIGTERM: first, signal.SIGINT: second}
        workers = []
        for process in processes.values():
            address = started(process)
            workers += children(process.pid)
            httpx.get(f"{address}shape/alder?x=%0aforged", trust_env=False)
            with pytest.raises(httpx.ReadTimeout):
                httpx.get(f"{address}sparql", params={"query": ENDLESS}, timeout=0.3)
        assert len(workers) >= 2
        for number, process in processes.items():
            process.send_signal(number)
        for process in processes.values():
            out, err = process.communicate(timeout=20)
            assert process.returncode == 0, err
            assert out == "Stopped.\n"
            lines = [json.loads(line) for line in err.splitlines() if line.startswith("{")]
            line = next(each for each in lines if each["address"] == "/shape/alder?x=%0aforged")
            assert (line["method"], line["status"], line["from"]) == ("GET", 303, "127.0.0.1")
    assert not [pid for pid in workers if Path(f"/proc/{pid}/stat").exists()]


def test_a_folder_that_is_no_site(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert glost_ends("serve", str(tmp_path)) == 2
    said = capsys.readouterr().err
    assert "holds no published site" in said
    assert "glost publish" in said


def test_an_address_that_is_taken(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        assert glost_ends("serve", str(site), "--port", port) == 1
    assert f"127.0.0.1:{port}: Address already in use" in capsys.readouterr().err
