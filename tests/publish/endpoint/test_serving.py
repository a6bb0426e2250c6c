"""The command serve: where it serves, how it ends, what it says when it cannot."""

import json
import os
import re
import signal
import socket
import subprocess
import sys
from pathlib import Path

import httpx2 as httpx
import pytest

from endpoint import PATHS


def start(*words: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "glost_cli", "serve", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(PATHS)},
    )


def children(process: int) -> list[int]:
    listed = subprocess.run(
        ["ps", "-o", "pid=", "--ppid", str(process)], capture_output=True, text=True, check=False
    )
    return [int(word) for word in listed.stdout.split()]


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_it_ends_cleanly_in_the_midst_of_a_query(site: Path, number: signal.Signals) -> None:
    with start(str(site), "--port", "0", "--processes", "2") as process:
        assert process.stdout is not None
        said = process.stdout.readline()
        address = re.search(r"at (http://127\.0\.0\.1:\d+/)$", said.strip())
        assert address, said
        workers = children(process.pid)
        assert len(workers) >= 2
        endless = "SELECT (COUNT(*) AS ?n) { ?a ?b ?c . ?d ?e ?f FILTER(?c < ?f && ?b < ?e) }"
        with pytest.raises(httpx.ReadTimeout):
            httpx.get(f"{address[1]}sparql", params={"query": endless}, timeout=0.5)
        httpx.get(f"{address[1]}shape/alder?x=%0aforged", trust_env=False)
        process.send_signal(number)
        out, err = process.communicate(timeout=20)
    assert process.returncode == 0, err
    assert out == "Stopped.\n"
    assert not [pid for pid in workers if Path(f"/proc/{pid}/stat").exists()]
    lines = [json.loads(line) for line in err.splitlines() if line.startswith("{")]
    last = next(line for line in lines if line["address"] == "/shape/alder?x=%0aforged")
    assert (last["method"], last["status"], last["from"]) == ("GET", 303, "127.0.0.1")


def test_a_folder_that_is_no_site(tmp_path: Path) -> None:
    with start(str(tmp_path)) as process:
        _, err = process.communicate(timeout=30)
    assert process.returncode == 2
    assert "holds no published site" in err
    assert "glost publish" in err


def test_an_address_that_is_taken(site: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        with start(str(site), "--port", port) as process:
            _, err = process.communicate(timeout=30)
    assert process.returncode == 1
    assert "in use" in err
