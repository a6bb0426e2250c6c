"""Columns that a public statement is said to have used and that the row has not."""

from glost.answer.checks import Check
from glost.answer.errata import column_findings
from glost.record.errata import unknown_columns

CHECK = Check(
    lambda snapshot, belief: column_findings(
        unknown_columns(snapshot.record, belief), belief.worded
    ),
    beyond=True,
)
