"""Lineage: what was copied, redesigned, reissued or shared, by whom, and which came first."""

from glost.trade.lineage.files import dot, graphml, passages
from glost.trade.lineage.graph import Lineage, LineageLink, lineage, makers
from glost.trade.lineage.kin import (
    Common,
    First,
    Kin,
    ancestors,
    common_ancestors,
    descendants,
    families,
    family,
    firsts,
    undated,
)
from glost.trade.lineage.kinds import first_lines
from glost.trade.lineage.lines import LineageRow, all_lines, common_lines, lineage_lines
from glost.trade.lineage.relations import LineageRelation, relations
from glost.trade.lineage.wrong import older_findings, older_of, ring_findings

__all__ = [
    "Common",
    "First",
    "Kin",
    "Lineage",
    "LineageLink",
    "LineageRelation",
    "LineageRow",
    "all_lines",
    "ancestors",
    "common_ancestors",
    "common_lines",
    "descendants",
    "dot",
    "families",
    "family",
    "first_lines",
    "firsts",
    "graphml",
    "lineage",
    "lineage_lines",
    "makers",
    "older_findings",
    "older_of",
    "passages",
    "relations",
    "ring_findings",
    "undated",
]
