from .arguments import Argument, ArgumentStep, Ground
from .bounded import Bounded, Timed
from .chronology import Chronology
from .results import DEFAULT_LAG_YEARS, Bounds, BoundsChange, Choice, Conflict, Lapse, Outside
from .rules import TimeRule, in_force
from .special import Reading

__all__ = [
    "DEFAULT_LAG_YEARS",
    "Argument",
    "ArgumentStep",
    "Bounded",
    "Bounds",
    "BoundsChange",
    "Choice",
    "Chronology",
    "Conflict",
    "Ground",
    "Lapse",
    "Outside",
    "Reading",
    "TimeRule",
    "Timed",
    "in_force",
]
