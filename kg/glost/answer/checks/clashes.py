"""Contradictions under the rules of OWL 2 RL."""

from glost.answer.checks import Check
from glost.answer.clashes import clash_findings

CHECK = Check(
    lambda snapshot, belief: clash_findings(snapshot.closure, belief, belief.worded),
    disputes=True,
    beyond=True,
)
