"""Rings of descent, and copies older than their model."""

from glost.answer.checks import Check
from glost.trade.lineage import lineage, lineage_findings

CHECK = Check(
    lambda snapshot, belief: lineage_findings(lineage(belief), snapshot.record.collection.margin),
    disputes=True,
)
