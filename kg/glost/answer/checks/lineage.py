"""Rings of descent, and copies older than their model."""

from glost.answer.checks import Check
from glost.trade.lineage import lineage, lineage_findings

CHECK = Check(
    lambda desk, belief: lineage_findings(lineage(belief), desk.record.collection.margin),
    disputes=True,
)
