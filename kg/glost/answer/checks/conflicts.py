"""Dates that cannot all hold."""

from collections.abc import Hashable

from glost.answer.checks import Check, OneByOne
from glost.answer.times import code_of_conflict, conflict_finding, conflict_findings, settling
from glost.trade.times import Argument, Choice, Conflict, Ground


def _key(found: Conflict, choice: Choice) -> Hashable:
    """Return all that is told of a contradiction, but for the words of things."""
    option = tuple(map(_grounded, choice.options[0]))
    sides = tuple(map(_argued, (found.not_before, found.not_after)))
    grounds = tuple(map(_grounded, found.grounds))
    return found.point, found.origin, found.days, sides, grounds, option


def _argued(argument: Argument) -> Hashable:
    return tuple(
        (step.rule.name, step.reached, step.day, tuple(map(_grounded, step.grounds)))
        for step in argument.steps
    )


def _grounded(ground: Ground) -> Hashable:
    claims = tuple((claim, str(claim.origin)) for claim in ground.claims)
    return ground.triple, ground.told, claims


CHECK = Check(
    lambda snapshot, belief: conflict_findings(snapshot.chronology, belief.worded),
    timed=True,
    one_by_one=OneByOne(
        lambda snapshot: {id(each[0]): each for each in settling(snapshot.chronology)},
        lambda snapshot, belief, each: conflict_finding(
            each[0], each[1], snapshot.chronology, belief.worded
        ),
        lambda each: _key(*each),
        lambda each: code_of_conflict(each[0]),
    ),
)
