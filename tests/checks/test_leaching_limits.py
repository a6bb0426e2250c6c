"""The limits of lead and cadmium against the table of the rules they come from.

US FDA Compliance Policy Guides 545.400 (cadmium) and 545.450 (lead), Food Code 4-101.13; Council
Directive 84/500/EEC, Article 2(4): read in stored copies, verified. How many of six samples must
meet the lead figures, and all of ISO 6486-2:1999: from memory, and marked so.
"""

import csv
from decimal import Decimal
from pathlib import Path

from glost.trade.cautions import limits

TABLE = Path(__file__).parent / "leaching_limits.csv"
METALS = {"Pb": "lead", "Cd": "cadmium"}


def test_every_limit_is_that_of_the_table_with_its_standing() -> None:
    with TABLE.open(encoding="utf-8", newline="") as file:
        expected = [
            (r["authority"], r["category"], METALS[r["metal"]], Decimal(r["limit"]), r["unit"],
             r["standing"])
            for r in csv.DictReader(file)
        ]  # fmt: skip
    assert len(expected) == 22
    assert [
        (x.authority, x.category, x.metal, x.limit, x.unit, x.standing) for x in limits()
    ] == expected


def test_what_was_not_read_in_the_rule_is_marked_memory() -> None:
    assert {x.authority for x in limits() if x.standing == "memory"} == {"ISO 6486-2"}
    lead = [x for x in limits() if "545.450" in x.authority]
    assert {x.criterion_standing for x in lead} == {"memory"}
    assert all("(memory)" in str(x) for x in lead)


def test_the_strictest_and_the_loosest_figures_by_volume() -> None:
    """From the rules as printed: cups 0.5 mg/L of lead, cooking ware 0.1 mg/L of cadmium."""
    by_volume = [x for x in limits() if x.unit == "mg/L" and x.standing == "verified"]
    assert min(x.limit for x in by_volume if x.metal == "lead") == Decimal("0.5")
    assert min(x.limit for x in by_volume if x.metal == "cadmium") == Decimal("0.1")
    assert max(x.limit for x in by_volume if x.metal == "lead") == Decimal("4.0")
