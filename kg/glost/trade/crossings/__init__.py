"""Crossings: treatments seen on other shapes than their home, and the lives of decals."""

from glost.trade.crossings.decals import DecalLife, DecalUse, Evidence, decal_life
from glost.trade.crossings.model import Cell, Crossing, Explanation, Matrix, Sighting
from glost.trade.crossings.searching import crossings, matrix, support

__all__ = [
    "Cell",
    "Crossing",
    "DecalLife",
    "DecalUse",
    "Evidence",
    "Explanation",
    "Matrix",
    "Sighting",
    "crossings",
    "decal_life",
    "matrix",
    "support",
]
