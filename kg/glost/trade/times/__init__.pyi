from . import wording as wording
from .arguments import Argument, Ground, Step
from .bounded import Bounded, Timed
from .chronology import Chronology
from .results import DEFAULT_LAG_YEARS, Bounds, Change, Choice, Conflict, Lapse, Outside
from .rules import Rule, in_force
from .special import Reading

__all__ = [
    "DEFAULT_LAG_YEARS",
    "Argument",
    "Bounded",
    "Bounds",
    "Change",
    "Choice",
    "Chronology",
    "Conflict",
    "Ground",
    "Lapse",
    "Outside",
    "Reading",
    "Rule",
    "Step",
    "Timed",
    "in_force",
]
