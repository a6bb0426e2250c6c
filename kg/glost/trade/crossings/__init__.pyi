from .decals import DecalEvidence, DecalLife, DecalUse, decal_life
from .explaining import OnRecord
from .facts import gather, homes_by_number
from .model import (
    STRENGTHS,
    Crossing,
    CrossingCell,
    CrossingMatrix,
    Explanation,
    Sighting,
    TimeOfCrossing,
    kinds,
    told,
)
from .searching import crossings, matrix, support

__all__ = [
    "STRENGTHS",
    "Crossing",
    "CrossingCell",
    "CrossingMatrix",
    "DecalEvidence",
    "DecalLife",
    "DecalUse",
    "Explanation",
    "OnRecord",
    "Sighting",
    "TimeOfCrossing",
    "crossings",
    "decal_life",
    "gather",
    "homes_by_number",
    "kinds",
    "matrix",
    "support",
    "told",
]
