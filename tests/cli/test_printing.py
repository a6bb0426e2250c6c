"""What is printed holds no control character, and every error ends in one message."""

import json
import os
from pathlib import Path

import pytest

from commands import glost_ends
from glost.record.characters import control
from glost_cli import main as main_module
from glost_cli.main import TRACE
from shelf import write

QUERY = 'SELECT ("a\\u001b[31mred\\u009b" AS ?x) ("=1+1" AS ?y) {}'


def ask(folder: Path, query: bytes, form: str = "text") -> int:
    file = folder / "query.rq"
    file.write_bytes(query)
    return glost_ends("ask", str(file), "-c", str(folder), "--as", form)


@pytest.mark.parametrize("form", ["text", "csv", "json", "markdown", "html"])
def test_no_answer_carries_a_control_character(
    tmp_path: Path, form: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert ask(write(tmp_path / "c"), QUERY.encode(), form) == 0
    out = capsys.readouterr().out
    assert not control(out)
    assert ("a\\u001b[31mred" in out) or form in ("markdown", "html")
    if form == "csv":
        assert ",'=1+1" in out
    if form == "json":
        (binding,) = json.loads(out)["results"]["bindings"]
        assert binding["x"]["value"] == "a\x1b[31mred\x9b"


def test_numbers_stand_to_the_right_and_words_wrap_whole(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A column of numbers alone stands to the right; below what it takes, rows become records."""
    query = b'SELECT ?n ?t { VALUES (?n ?t) { (5 "five long words") (1200 "x 2") } } ORDER BY ?n'
    folder = write(tmp_path / "c")
    monkeypatch.setenv("COLUMNS", "80")
    assert ask(folder, query) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[-2:] == ["   5   five long words", "1200   x 2            "]
    monkeypatch.setenv("COLUMNS", "12")
    assert ask(folder, query) == 0
    out = capsys.readouterr().out
    assert "\nn  5 " in out and "five long" in out and max(map(len, out.splitlines())) <= 12


def test_no_message_carries_a_control_character(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = write(tmp_path / "c")
    (folder / "tables" / "shapes\x1b[2J.csv").write_text("x\n")
    assert glost_ends("check", "-c", str(folder)) == 1
    assert glost_ends("show", "ald\x1ber\udcff", "-c", str(folder)) == 1
    told = capsys.readouterr()
    assert not control(told.out + told.err)
    assert "\\u001b[2J" in told.err


@pytest.mark.parametrize(
    ("query", "told"),
    [
        (b"\xff\xfeS\x00", "line 1 holds the byte ff, which is not UTF-8; save the file as text in UTF-8"),
        ("SELECT ('caf\u00e9' AS ?x) {}".encode("latin-1"), "holds the byte e9"),
        (b"#" * 100_001, "the query has more than 100,000 characters"),
        (b"ASK { FILTER" + b"(" * 3000 + b"1" + b")" * 3000 + b" }", "brackets stand open"),
        (b"", "not well formed"),
        (b"\x00", "not well formed"),
    ],
)  # fmt: skip
def test_a_query_that_cannot_be_read_is_one_error(
    tmp_path: Path, query: bytes, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert ask(write(tmp_path / "c"), query) == 2
    err = capsys.readouterr().err
    assert told in err
    assert "Traceback" not in err


def test_a_query_may_begin_with_a_byte_order_mark(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert ask(write(tmp_path / "c"), b"\xef\xbb\xbfASK {}") == 0
    assert "yes" in capsys.readouterr().out


@pytest.mark.parametrize("title", [os.fsdecode(b"caf\xe9"), "a\x1b[2J"])
def test_a_title_that_cannot_stand_is_refused(
    tmp_path: Path, title: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert glost_ends("begin", str(tmp_path / "new"), "--title", title) == 1
    assert not (tmp_path / "new").exists()
    assert not control(capsys.readouterr().err)


@pytest.mark.parametrize(
    ("raised", "told"),
    [
        (RecursionError(), "more than memory holds"),
        (MemoryError(), "more than memory holds"),
        (ValueError("x" * 500 + "\nmore"), "a fault of glost itself: ValueError: xxx"),
    ],
)
def test_what_nobody_foresaw_ends_in_one_message(
    raised: Exception,
    told: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def fail(**_: object) -> None:
        raise raised

    monkeypatch.delenv(TRACE, raising=False)
    monkeypatch.setattr(main_module.glost, "main", fail)
    assert glost_ends("check") == 1
    err = capsys.readouterr().err
    assert told in err and len(err) < 500
    if "fault" in told:
        monkeypatch.setenv(TRACE, "1")
        with pytest.raises(ValueError, match="xxx"):
            glost_ends("check")
