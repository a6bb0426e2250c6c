"""Dates that cannot all hold."""

from glost.answer.checks import Check
from glost.answer.times import conflict_findings

CHECK = Check(lambda desk, belief: conflict_findings(desk.chronology, belief.worded), timed=True)
