"""Crossings: treatments seen on other shapes than their home, and the lives of decals."""

from glost.trade.crossings.decals import DecalLife, DecalUse, Evidence, decal_life
from glost.trade.crossings.explaining import OnRecord
from glost.trade.crossings.facts import gather, homes_by_number
from glost.trade.crossings.model import (
    STRENGTHS,
    Cell,
    Crossing,
    Explanation,
    Matrix,
    Sighting,
    Timing,
    kinds,
    told,
)
from glost.trade.crossings.searching import crossings, matrix, support

__all__ = [
    "STRENGTHS",
    "Cell",
    "Crossing",
    "DecalLife",
    "DecalUse",
    "Evidence",
    "Explanation",
    "Matrix",
    "OnRecord",
    "Sighting",
    "Timing",
    "crossings",
    "decal_life",
    "gather",
    "homes_by_number",
    "kinds",
    "matrix",
    "support",
    "told",
]
