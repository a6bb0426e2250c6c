"""Rings of descent."""

from glost.answer.checks import Check
from glost.trade.lineage import ring_findings

CHECK = Check(lambda snapshot, belief: ring_findings(belief), disputes=True)
