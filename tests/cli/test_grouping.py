"""The command for a group of pieces, on the example."""

import json
from pathlib import Path

from click.testing import CliRunner

from glost_cli.main import glost

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
    whole = json.loads(run("--as", "json", "--years", "10"))
    assert whole["pieces"] == sum(t["count"] for t in whole["types"]) + len(
        whole["left_out_of_the_mean"]
    )
    weight = sum(period["weight"] for period in whole["periods"])
    assert round(weight, 6) == whole["pieces"] - len(whole["left_out_of_the_spread"])
    assert all(period["claims"] for period in whole["periods"] if period["possible"])
    lines = run("--as", "csv", "--years", "10").splitlines()
    assert lines[0] == "from,to,weight,possible,claims"
    assert len(lines) == len(whole["periods"]) + 1
