"""Lineage: what was copied, redesigned, reissued or shared, by whom, and which came first."""

from glost.trade.lineage.files import dot, graphml, passages
from glost.trade.lineage.graph import Lineage, Link, lineage, makers
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
from glost.trade.lineage.relations import Relation, relations
from glost.trade.lineage.wrong import lineage_findings

__all__ = [
    "Common",
    "First",
    "Kin",
    "Lineage",
    "Link",
    "Relation",
    "ancestors",
    "common_ancestors",
    "descendants",
    "dot",
    "families",
    "family",
    "firsts",
    "graphml",
    "lineage",
    "lineage_findings",
    "makers",
    "passages",
    "relations",
    "undated",
]
