"""What a start imports, and how commands are found."""

import json
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from glost_cli import group
from glost_cli.main import glost
from shelf import write
from shelf_of_codes import PLANTS

HEAVY = {"duckdb", "jinja2", "matplotlib", "networkx", "numpy", "owlrl", "PIL", "pint", "polars",
         "pyoxigraph", "pyshacl", "rdflib", "rich", "scipy"}  # fmt: skip
"""Libraries that take longer to import than a person should wait to be told a version."""


def imported(*commands: tuple[str, ...], cache: str = "") -> set[str]:
    """Return the names of the modules that a process imports which runs commands in turn."""
    run = "import json, sys; from glost_cli.main import main\n"
    run += "for words in json.loads(sys.argv[1]):\n"
    run += "    sys.argv = ['glost', *words]\n"
    run += "    try: main()\n"
    run += "    except SystemExit: pass\n"
    run += "print('imported', *sorted(sys.modules))"
    ended = subprocess.run(
        [sys.executable, "-c", run, json.dumps(commands)],
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": ":".join(sys.path), "GLOST_CACHE": cache},
    )
    return set(ended.stdout.splitlines()[-1].split()[1:])


@pytest.mark.parametrize("words", [("--version",), ("--help",), ("no-such",)])
def test_a_start_imports_no_command_and_nothing_heavy(words: tuple[str, ...]) -> None:
    names = imported(words)
    assert {name for name in names if name.startswith("glost")} == {
        "glost",
        "glost.limits",
        "glost.record",
        "glost.record.characters",
        "glost.record.errors",
        "glost.usage",
        "glost_cli",
        "glost_cli.group",
        "glost_cli.main",
    }
    assert not HEAVY & names


ASKED = ("ask", "in-production", "year=1912")
LOOKED_UP = {
    ("show", "shape/alder"): {"sqlite3"},
    ("when", "shape/alder"): {"sqlite3"},
    ("date", "piece/p1"): {"sqlite3"},
    ("plant", "old"): {"sqlite3"},
    ("check",): {"PIL"},
}
"""Commands that look up in what is kept, with the libraries they need besides those of all."""


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., set[str]]:
    """Return what tells the imports of a command on a shelf of which all is kept."""
    place = tmp_path_factory.mktemp("kept")
    shelf = write(place / "shelf", plants=PLANTS)

    def run(*commands: tuple[str, ...]) -> set[str]:
        words = ((*command, "-c", str(shelf)) for command in commands)
        return imported(*words, cache=str(place / "cache"))

    assert {"polars", "numpy", "owlrl"} <= run(*LOOKED_UP, ASKED), "nothing was kept yet"
    return run


def test_a_question_put_to_what_is_kept_imports_what_reads_a_store(
    kept: Callable[..., set[str]],
) -> None:
    names = kept(ASKED)
    assert HEAVY & names == {"pyoxigraph", "rdflib", "rich"}
    assert not {name for name in names if name.startswith(("glost.reason", "glost.trade"))}


@pytest.mark.parametrize("words", LOOKED_UP, ids=lambda each: each[0])
def test_what_is_looked_up_in_what_is_kept_imports_no_more_than_that(
    kept: Callable[..., set[str]], words: tuple[str, ...]
) -> None:
    names = kept(words)
    found = (HEAVY | {"sqlite3"}) & names
    assert found == {"pyoxigraph", "rdflib", "rich", *LOOKED_UP[words]}
    reading = {"glost.record.record", "glost.record.rows", "glost.trade.times.chronology"}
    assert not reading & names
    assert not {name for name in names if name.startswith("glost.reason")}


NAMES = glost.list_commands(click.Context(glost))


@pytest.mark.parametrize("name", NAMES)
def test_a_command_bears_the_name_of_its_module_and_help_says_what_it_says(name: str) -> None:
    command = glost.get_command(click.Context(glost), name)
    assert command is not None
    assert command.name == name
    text = (Path(group.__file__).with_name("commands") / f"{name.replace('-', '_')}.py").read_text(
        encoding="utf-8"
    )
    part, does = group._listed(text)
    assert part in group.PARTS
    assert does == command.get_short_help_str(limit=1000)
    assert glost.resolve_command(click.Context(glost), [name, "x"]) == (name, command, ["x"])


def test_help_lists_every_command_once_under_a_heading() -> None:
    told = CliRunner().invoke(glost, ["--help"], terminal_width=200).output
    listed = re.findall(
        r"^  ([a-z-]+)  +[A-Z]", told.partition("Keep the record:")[2], re.MULTILINE
    )
    assert sorted(listed) == NAMES


@pytest.mark.parametrize("former", group.FORMER)
def test_a_command_is_still_found_by_its_former_name(former: str) -> None:
    now = group.FORMER[former]
    assert glost.resolve_command(click.Context(glost), [former, "x"])[:2] == (
        now,
        glost.get_command(click.Context(glost), now),
    )
    assert former not in NAMES
    assert CliRunner().invoke(glost, [former, "--help"]).output.startswith(f"Usage: glost {now}")


def test_a_command_that_is_not_there_gets_the_nearest_names() -> None:
    ended = CliRunner().invoke(glost, ["chek"])
    assert ended.exit_code == 2
    assert 'there is no command "chek"; did you mean "check"?' in ended.output
