from .decals import DecalLife, DecalUse, Evidence, decal_life
from .explaining import OnRecord
from .facts import gather, homes_by_number
from .model import STRENGTHS, Cell, Crossing, Explanation, Matrix, Sighting, Timing, kinds, told
from .searching import crossings, matrix, support

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
