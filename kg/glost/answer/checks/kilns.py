"""Figures of kilns that do not add up."""

from glost.answer.checks import Check
from glost.trade.kilns.findings import kiln_findings

CHECK = Check(lambda _, belief: kiln_findings(belief, belief.worded), disputes=True)
