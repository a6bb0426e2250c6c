"""Dates that cannot all hold."""

from glost.answer.checks import Check
from glost.answer.times import conflict_findings

CHECK = Check(
    lambda snapshot, belief: conflict_findings(snapshot.chronology, belief.worded), timed=True
)
