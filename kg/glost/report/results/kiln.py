"""A kiln: what sources say of it, and the figures that follow, with their working."""

from glost.report.results import common
from glost.report.things.said import Said
from glost.report.tree import Cell, Column, Group, Report, Row, Rule, Section, Statement, Table
from glost.trade.kilns.kiln import KilnResult
from glost.trade.kilns.reckoned import AT_LEAST, Reckoned, unit_words

_SAID = (
    Column("of", "of"),
    Column("what", "what"),
    Column("written", "as written"),
    Column("by", "by"),
)
_FIGURES = (
    *(Column("of", "of"), Column("figure", "figure"), Column("value", "value")),
    Column("from", "from"),
    *(Column("low", "low", "number", True), Column("high", "high", "number", True)),
    *(Column("exact", "exact", aside=True), Column("unit", "unit", aside=True)),
    *(Column("formula", "formula", aside=True), Column("inputs", "inputs", aside=True)),
    Column("assumed", "assumed", aside=True),
)
NOTHING = Rule("Nothing on record tells a figure that others follow from")


def told(found: KilnResult, said: Said) -> Report:
    """Tell what is known and reckoned of a kiln.

    Parameters
    ----------
    found
        What is known of it.
    said
        Words statements.

    Returns
    -------
    Report
        Sections ``said``, a table of what sources say as they write it; ``reckoned``, a table of
        figures, in columns for programs as numbers too; and where figures disagree.
    """
    rows = tuple(
        Row((each.of, each.what, each.written, said.by(each.claims)), said.passages(each.claims))
        for each in found.said
    )
    figures = tuple(
        Row(
            (of.of, of.reckoned.name, of.reckoned.value(), _working(of.reckoned, found.assumptions),
             *figure(of.reckoned)),
            (*said.passages(of.reckoned.claims), Rule(f"Calculated as {of.reckoned.formula}")),
        )
        for of in found.reckoned
    )  # fmt: skip
    nothing = Group((Statement(("Nothing can be reckoned from this.",), (NOTHING,)),))
    reckoned = (Table(_FIGURES, figures),) if figures else (nothing,)
    sections = (
        Section("said", "The sources say", (Table(_SAID, rows),)),
        Section("reckoned", "We reckon", (*reckoned, *common.assumed(found.assumptions))),
        *common.findings(found.findings),
    )
    cautions = common.cautions(found.cautions)
    return Report(str(found.kiln), found.name, sections=sections, cautions=cautions)


def figure(of: Reckoned) -> tuple[Cell, ...]:
    """Return a figure as programs read it: its ends, exactly, its unit, formula and inputs."""
    return (
        float(of.low), None if of.limit == AT_LEAST else float(of.high), f"{of.low}..{of.high}",
        unit_words(of.unit), of.formula, "; ".join(each.words() for each in of.inputs),
        " | ".join(of.assumptions),
    )  # fmt: skip


def _working(of: Reckoned, assumptions: tuple[str, ...]) -> str:
    """Tell formula and inputs, each assumption by its number."""
    parts = []
    for each in of.inputs:
        part = f"{each.name} {' or '.join(each.given)}".strip()
        if each.assumed:
            part += f" (assumption {assumptions.index(each.words()) + 1})"
        parts.append(part)
    return f"{of.formula}: {'; '.join(dict.fromkeys(parts))}"
