"""Contradictions under the rules of OWL 2 RL."""

from glost.answer.checks import Check
from glost.answer.clashes import clash_findings

CHECK = Check(
    lambda desk, belief: clash_findings(desk.closure, belief, belief.worded),
    disputes=True,
    beyond=True,
)
