"""The command for a group of pieces, on the example."""

import re
from pathlib import Path

from click.testing import CliRunner

from glost_cli.main import glost
from printed import statements, tables

VALLEY = str(Path(__file__).parents[2] / "examples" / "wend-valley")


def run(*words: str) -> str:
    done = CliRunner().invoke(glost, ["spread", *words, "-c", VALLEY], catch_exceptions=False)
    assert done.exit_code == 0
    return done.output


def test_text_with_evidence() -> None:
    told = run("--of", "tamsin", "--evidence")
    assert "We reckon a mean ceramic date of 1914.0" in told
    assert "tables/pieces.csv row" in told


def test_json_and_csv_name_claims() -> None:
    printed = run("--as", "json", "--years", "10")
    (periods,) = tables(printed, "spread")
    said = " ".join(each["text"] for each in statements(printed, "spread"))
    pieces = int(re.search(r"has (\d+) pieces", said)[1])
    left = re.search(r" missing: (\d+) of", said)
    out = int(left[1]) if left else 0
    weight = sum(float(period["weight"]) for period in periods)
    assert abs(weight - (pieces - out)) < 0.0005 * len(periods)
    assert all(period["claims"] for period in periods if period["possible"])
    (types,) = tables(printed, "mean")
    assert sum(row["pieces"] for row in types) <= pieces
    lines = run("--as", "csv", "--years", "10").splitlines()
    assert lines[0] == "from,to,weight,possible,rests_on,claims"
    assert len(lines) == len(periods) + 1
