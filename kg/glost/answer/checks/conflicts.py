"""Dates that cannot all hold."""

from glost.answer.checks import Check, OneByOne
from glost.answer.times import code_of_conflict, conflict_finding, conflict_findings, settling

CHECK = Check(
    lambda snapshot, belief: conflict_findings(snapshot.chronology, belief.worded),
    timed=True,
    one_by_one=OneByOne(
        lambda snapshot: {id(each[0]): each for each in settling(snapshot.chronology)},
        lambda snapshot, belief, each: conflict_finding(
            each[0], each[1], snapshot.chronology, belief.worded
        ),
        lambda each: code_of_conflict(each[0]),
    ),
)
