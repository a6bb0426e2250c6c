"""Numbers and date codes that do not fit their schemes, or what bears them."""

from glost.answer.checks import Check
from glost.trade.codes.findings import code_findings

CHECK = Check(
    lambda snapshot, belief: code_findings(
        belief, belief.worded, snapshot.record.collection.margin
    ),
    disputes=True,
)
