"""Reckoning from all dates and orders of events together: bounds, reasons, contradictions.

Independent of RDF. Events are numbers, days are numbers (0001-01-01 is day 1), constraints are
`target - source <= days`, and each rests on claims, which are numbers too: a claim is whatever can
be set aside, and a constraint needs all of its own.
"""

from glost.reason.chronology.apart import solve_apart
from glost.reason.chronology.conflicts import NetworkConflict, Survey, survey
from glost.reason.chronology.explain import ChainStep, why_not_after, why_not_before
from glost.reason.chronology.hitting_sets import HittingSets
from glost.reason.chronology.lapses import Lapses
from glost.reason.chronology.network import FAR, ORIGIN, Network, Reasons
from glost.reason.chronology.propagate import (
    ContradictionError,
    NetworkBounds,
    bounds,
    distances,
)
from glost.reason.chronology.readings import Readings, every_reading, reading_steps
from glost.reason.chronology.repair import Solution, UnfoundedError, solve

__all__ = [
    "FAR",
    "ORIGIN",
    "ChainStep",
    "ContradictionError",
    "HittingSets",
    "Lapses",
    "Network",
    "NetworkBounds",
    "NetworkConflict",
    "Readings",
    "Reasons",
    "Solution",
    "Survey",
    "UnfoundedError",
    "bounds",
    "distances",
    "every_reading",
    "reading_steps",
    "solve",
    "solve_apart",
    "survey",
    "why_not_after",
    "why_not_before",
]
