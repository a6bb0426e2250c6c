"""``glost check --watch`` tells what each saving of a table does."""

from collections.abc import Iterator
from pathlib import Path

import pytest
import watchfiles
from click.testing import CliRunner

from glost_cli.main import glost
from shelf import TABLES, write


def test_saving_a_table_is_told_while_the_command_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = write(tmp_path / "shelf")
    shapes = folder / "tables" / "shapes.csv"

    def watch(path: Path, **_: object) -> Iterator[set[object]]:
        assert path == folder
        shapes.write_text(TABLES["shapes"].replace("Alder,1908", "Alder,spring"), encoding="utf-8")
        yield set()
        shapes.write_text(TABLES["shapes"].replace("Alder,1908", "Alder,1906"), encoding="utf-8")
        yield set()
        raise KeyboardInterrupt  # the user has had enough

    monkeypatch.setattr(watchfiles, "watch", watch)
    ran = CliRunner().invoke(glost, ["check", "--watch", "-c", str(folder)])
    assert ran.exit_code == 0, ran.output
    waiting, _, told = ran.output.partition("Waiting for a table to be saved")
    assert "shape-seen-nowhere" not in waiting and "spring" in told
    wrong, _, right = told.partition("Now held")
    assert "tables/shapes.csv, row 2, column begin" in wrong
    assert "Alder began in 1906 (before: in 1908" in right
    assert "runs-reckoned: 1 no longer so, 1 new" in right and "Answers that change:" in right


def test_few_lines_tell_a_saving_of_many_rows_and_all_on_demand(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Five pieces more are five claims more: three are told, or all."""
    folder = write(tmp_path / "shelf")
    pieces = folder / "tables" / "pieces.csv"
    more = "".join(f"q{n},,cup,b7,B7,,\n" for n in range(5))

    def watch(path: Path, **_: object) -> Iterator[set[object]]:
        pieces.write_text(TABLES["pieces"] + more, encoding="utf-8")
        yield set()
        raise KeyboardInterrupt

    def told(*options: str) -> list[str]:
        pieces.write_text(TABLES["pieces"], encoding="utf-8")
        ran = CliRunner().invoke(glost, ["check", "--watch", *options, "-c", str(folder)])
        _, _, lines = ran.output.partition("Now held\n")
        return lines.partition("\n\n")[0].splitlines()

    monkeypatch.setattr(watchfiles, "watch", watch)
    few, every = told(), told("--all")
    assert len(few) == 4 and few[3] == "  - and 2 more"
    assert len(every) == 5 and every[:3] == few[:3]
