from .next_looks import Look
from .points import Bearing, NamingPoint, Weight, weights
from .ranking import Candidate, Naming, name_piece
from .seen import Seen, seen_on

__all__ = [
    "Bearing",
    "Candidate",
    "Look",
    "Naming",
    "NamingPoint",
    "Seen",
    "Weight",
    "name_piece",
    "seen_on",
    "weights",
]
