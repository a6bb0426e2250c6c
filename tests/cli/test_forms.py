"""Every command that tells something tells it in five forms, and with what it rests on."""

import csv
import io
import json
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from glost.record.record import read
from glost_cli import options
from glost_cli.main import glost
from shelf import write
from shelf_of_codes import PARTS, PLANTS, SCHEMES

pytestmark = pytest.mark.usefixtures("keeping_examples")

TOLD = {
    "ask": ("crossings",),
    "assortment": ("alder",),
    "candidates": ("--form", "plate"),
    "check": (),
    "conflicts": (),
    "crossings": (),
    "date": ("p1",),
    "decode": ("K12X",),
    "encode": (),
    "errata": (),
    "if-withdrawn": ("claim-a",),
    "kiln": ("round",),
    "lineage": ("birch",),
    "match": ("shapes",),
    "mean-date": (),
    "overview": (),
    "plant": ("old",),
    "show": ("alder",),
    "terms": ("forms",),
    "when": ("alder",),
    "why": ("a12", "appearsOn", "birch"),
}
"""Each command with what it is asked of."""


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write(
        tmp_path_factory.mktemp("forms") / "shelf",
        plants=PLANTS,
        kilns="kiln,plant,kind,firing,begin,setting,source,locator\n"
        'round,old,bottle,bisque,1905,"2,000 dozen",letter,sheet 3\n',
        lineage="thing,copied_from,source\nshape/birch,shape/alder,letter\n",
        code_schemes=SCHEMES,
        code_parts=PARTS,
    )


def told(shelf: Path, name: str, form: str, *more: str) -> str:
    words = [each if each != "claim-a" else _claim(shelf) for each in TOLD[name]]
    ran = CliRunner().invoke(glost, [name, *words, "-c", str(shelf), "--as", form, *more])
    assert ran.exit_code in (0, 1) and not isinstance(ran.exception, Exception), (name, ran.output)
    return ran.stdout


def _claim(shelf: Path) -> str:
    return next(claim.id for claim in read(shelf).claims if claim.origin.table == "shapes")


def test_no_command_that_prints_reports_is_left_out() -> None:
    context = click.Context(glost)
    commands = [glost.get_command(context, name) for name in glost.list_commands(context)]
    choosing = {
        command.name
        for command in commands
        if command is not None
        for parameter in command.params
        if isinstance(parameter.type, click.Choice)
        and set(options.FORMS) <= set(parameter.type.choices)
    }
    assert choosing == {
        *TOLD,
        "correct",
        "draw",
        "edition",
        "undo",
    }  # these write; see their own tests


@pytest.mark.parametrize("name", TOLD)
def test_a_command_tells_the_same_in_five_forms(name: str, shelf: Path) -> None:
    report = json.loads(told(shelf, name, "json"))
    heading = report["heading"]
    assert heading and (report["lead"] or report["sections"])
    text = " ".join(told(shelf, name, "text").split())
    assert text.startswith(" ".join(heading.split()))
    assert told(shelf, name, "markdown").startswith("# ")
    assert told(shelf, name, "html").startswith("<!DOCTYPE html>")
    written = [line for line in told(shelf, name, "csv").splitlines(True) if line[:2] != "# "]
    header, *rows = csv.reader(io.StringIO("".join(written)))
    assert header[-1] == "claims" and all(len(row) == len(header) for row in rows)
