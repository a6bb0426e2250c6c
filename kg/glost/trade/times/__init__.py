"""From claims to chronology: the tightest dates, why they hold, and which claims clash.

`chronology` gathers what every claim says of time and joins it by the rules of ``rules.toml``;
`Chronology` answers.
"""

from glost.trade.times.arguments import Argument, Ground, Step
from glost.trade.times.chronology import Chronology
from glost.trade.times.reckoning import chronology
from glost.trade.times.results import (
    DEFAULT_LAG_YEARS,
    Bounds,
    Change,
    Choice,
    Conflict,
    Lapse,
    Outside,
)
from glost.trade.times.rules import Rule, in_force, rules
from glost.trade.times.special import Reading

__all__ = [
    "DEFAULT_LAG_YEARS",
    "Argument",
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
    "chronology",
    "in_force",
    "rules",
]
