"""Columns that a public statement is said to have used and that the row has not."""

from glost.answer.checks import Check
from glost.answer.errata import column_findings
from glost.record.errata import unknown_columns

CHECK = Check(
    lambda desk, belief: column_findings(unknown_columns(desk.record, belief), belief.worded),
    beyond=True,
)
