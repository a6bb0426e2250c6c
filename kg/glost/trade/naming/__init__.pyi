from .points import Point, Verdict, Weight, weights
from .ranking import Candidate, Naming, name_piece
from .seen import Seen, seen_on
from .telling import Look

__all__ = [
    "Candidate",
    "Look",
    "Naming",
    "Point",
    "Seen",
    "Verdict",
    "Weight",
    "name_piece",
    "seen_on",
    "weights",
]
