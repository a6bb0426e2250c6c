from .next_looks import Look
from .points import Bearing, NamingPoint, Weight, weights
from .ranking import Naming, RankedShape, name_piece
from .seen import Seen, seen_on

__all__ = [
    "Bearing",
    "Look",
    "Naming",
    "NamingPoint",
    "RankedShape",
    "Seen",
    "Weight",
    "name_piece",
    "seen_on",
    "weights",
]
