"""Tables of what no single source says: what there is to choose from, and what there is of it."""

from collections.abc import Iterable, Sequence

from glost.report.tree import Cell, Column, Report, Row, Rule, Section, Table


def table(
    heading: str,
    columns: Sequence[str | Column],
    rows: Iterable[Sequence[Cell]],
    ground: str,
) -> Report:
    """Tell one table, in section ``table``, every row of which rests on the same.

    Parameters
    ----------
    heading
        What stands above it.
    columns
        Its columns, or their names.
    rows
        Cells, one for each column.
    ground
        What they rest on, as a rule.
    """
    heads = tuple(
        each if isinstance(each, Column) else Column(each, each.replace("_", " "))
        for each in columns
    )
    rule = (Rule(ground),)
    made = Table(heads, tuple(Row(tuple(row), rule) for row in rows))
    return Report("", heading, sections=(Section("table", "", (made,)),))
