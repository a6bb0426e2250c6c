"""What README.md tells a newcomer to run does what it says there."""

import re
import runpy
import shlex
import signal
import sys
from contextlib import suppress
from http.client import HTTPException
from pathlib import Path
from subprocess import PIPE, Popen
from threading import Thread
from time import sleep
from urllib.request import HTTPCookieProcessor, OpenerDirector, build_opener

import pytest

from commands import glost_ends

TOP = Path(__file__).resolve().parents[2]

pytestmark = pytest.mark.usefixtures("keeping_examples")


def commands() -> list[list[str]]:
    """Return the commands of the first block of code that install the program and run it."""
    text = (TOP / "README.md").read_text(encoding="utf-8")
    first = re.search(r"^```\n(.+?)^```$", text, re.DOTALL | re.MULTILINE)
    assert first is not None
    return [shlex.split(part) for part in first[1].strip().split("&&")]


def test_the_first_command_ends_with_the_address_of_the_desk() -> None:
    """A newcomer is to look at the archive first, not at a table of it; Ctrl+C ends that quietly."""
    *_, (program, *words) = commands()
    assert program == ".venv/bin/glost" and words[0] == "desk"
    command = [sys.executable, "-m", "glost_cli", *words, "--no-browser"]
    with Popen(command, cwd=TOP, stdout=PIPE, stderr=PIPE, text=True) as process:
        assert process.stdout is not None
        address = process.stdout.readline().partition(" is at ")[2].strip()
        jar = build_opener(HTTPCookieProcessor())
        try:
            page = jar.open(address, timeout=60).read().decode()
            while "is being opened" in page:
                page = jar.open(address.partition("?")[0], timeout=60).read().decode()
            # In the middle of an answer, so that what is cut short is told nobody as a fault.
            busy = Thread(target=quiet, args=(jar, address.partition("?")[0] + "picture/runs"))
            busy.start()
            sleep(0.1)
        finally:
            process.send_signal(signal.SIGINT)
            printed, wrong = process.communicate(timeout=60)
        busy.join()
    assert "The Wend Valley potteries" in page
    assert process.returncode == 0 and printed.endswith("Stopped.\n")
    assert "Traceback" not in wrong


def quiet(jar: OpenerDirector, address: str) -> None:
    with suppress(OSError, HTTPException):
        jar.open(address, timeout=60).read()


def test_the_question_it_mentions_is_answered(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (TOP / "README.md").read_text(encoding="utf-8")
    told = re.search(r"`\.venv/bin/glost (ask [^`]+)` says which treatments", text)
    assert told is not None
    monkeypatch.chdir(TOP)
    assert glost_ends(*shlex.split(told[1])) == 0
    printed = capsys.readouterr()
    assert "A-112 (Gorse and Linnet)" in printed.out and not printed.err


def test_the_check_it_mentions_ends_with_one(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (TOP / "README.md").read_text(encoding="utf-8")
    told = re.search(
        r"`\.venv/bin/glost (check [^`]+)` looks that\s+archive over and ends with 1", text
    )
    assert told is not None
    monkeypatch.chdir(TOP)
    assert glost_ends(*shlex.split(told[1])) == 1
    assert "contradiction" in capsys.readouterr().out


def test_the_picture_it_shows_is_what_the_example_gives() -> None:
    """To make it again: ``python examples/wend-valley/make_pictures.py``."""
    text = (TOP / "README.md").read_text(encoding="utf-8")
    shown = re.search(r"!\[[^\]]+\]\(([^)]+)\)", text)
    assert shown is not None
    file = TOP / shown[1]
    made = runpy.run_path(str(file.parent / "make_pictures.py"))
    assert made["FILE"] == file
    assert file.read_text(encoding="utf-8") == made["shapes"]().svg()


def test_what_it_links_to_is_there() -> None:
    for name in ("README.md", "DEVELOPERS.md", "tests/bench/README.md"):
        page = TOP / name
        links = re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8"))
        assert links or name == "DEVELOPERS.md"
        for link in links:
            assert "://" in link or (page.parent / link).exists(), (name, link)
