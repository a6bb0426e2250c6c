from .next_looks import Look
from .points import Bearing, NamingPoint, Weight, weights
from .ranking import Naming, RankedShape, name_piece, ranked
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
    "ranked",
    "seen_on",
    "weights",
]
