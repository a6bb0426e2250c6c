"""Naming an unknown piece: which shapes it may be of, and what speaks for and against each.

Nothing is guessed. Each candidate carries what agrees, what is unknown, what speaks against it and
what rules it out, with the claims; and what would part the candidates best is named. How much each
observation weighs, and why, stands in ``weights.csv``.
"""

from glost.trade.naming.points import Point, Verdict, Weight, weights
from glost.trade.naming.ranking import Candidate, Naming, name_piece
from glost.trade.naming.seen import Seen, seen_on
from glost.trade.naming.telling import Look

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
