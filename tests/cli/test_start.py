"""What a start imports, and the list of commands it is told by."""

import csv
import subprocess
import sys
from pathlib import Path

import click
import pytest

from glost_cli import commands
from glost_cli.main import glost
from shelf import write

LIST = Path(commands.__file__).with_name("commands.csv")
HEAVY = {"duckdb", "jinja2", "matplotlib", "networkx", "numpy", "owlrl", "PIL", "pint", "polars",
         "pyoxigraph", "pyshacl", "rdflib", "rich", "scipy"}  # fmt: skip
"""Libraries that take longer to import than a person should wait to be told a version."""


def imported(*words: str, cache: str = "") -> set[str]:
    """Return the names of the modules that a process of the command imports."""
    run = "import sys; from glost_cli.main import main; sys.argv = ['glost', *sys.argv[1:]]\n"
    run += "try: main()\nexcept SystemExit: pass\n"
    run += "print('imported', *sorted(sys.modules))"
    ended = subprocess.run(
        [sys.executable, "-c", run, *words],
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": ":".join(sys.path), "GLOST_CACHE": cache},
    )
    return set(ended.stdout.splitlines()[-1].split()[1:])


@pytest.mark.parametrize("words", [("--version",), ("--help",), ("no-such",)])
def test_a_start_imports_no_command_and_nothing_heavy(words: tuple[str, ...]) -> None:
    names = imported(*words)
    assert {name for name in names if name.startswith("glost")} == {
        "glost",
        "glost.limits",
        "glost.record",
        "glost.record.characters",
        "glost.record.errors",
        "glost.usage",
        "glost_cli",
        "glost_cli.commands",
        "glost_cli.guarding",
        "glost_cli.main",
    }
    assert not HEAVY & names


def test_a_question_put_to_what_is_kept_imports_what_reads_a_store(tmp_path: Path) -> None:
    words = ("ask", "in-production", "year=1912", "-c", str(write(tmp_path / "shelf")))
    assert {"polars", "duckdb", "scipy"} <= imported(*words, cache=str(tmp_path / "kept"))
    names = imported(*words, cache=str(tmp_path / "kept"))
    assert HEAVY & names == {"pyoxigraph", "rdflib", "rich"}
    assert not {name for name in names if name.startswith(("glost.reason", "glost.trade"))}


def rows() -> list[dict[str, str]]:
    with LIST.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["command"])
def test_the_list_says_of_a_command_what_the_command_says(row: dict[str, str]) -> None:
    context = click.Context(glost)
    name, command, rest = glost.resolve_command(context, [row["command"], "x"])
    assert command is not None
    assert (name, command.name, rest) == (row["command"], row["command"], ["x"])
    assert row["does"] == command.get_short_help_str(limit=1000)


def test_every_command_is_listed() -> None:
    listed = {(row["module"], row["attribute"]) for row in rows()}
    folder = LIST.parent
    decorated = set()
    for file in folder.glob("*.py"):
        lines = file.read_text(encoding="utf-8").splitlines()
        for number, line in enumerate(lines):
            if line.startswith("@click.command("):
                after = next(each for each in lines[number:] if each.startswith("def "))
                decorated.add((file.stem, after[4:].partition("(")[0]))
    assert listed == decorated
