"""Links at odds with one another, and values and dates of linked things that cannot both be."""

from glost.answer.checks import Check
from glost.answer.linked import linked_findings

CHECK = Check(
    lambda snapshot, belief: linked_findings(
        belief, snapshot.chronology, snapshot.record.collection.margin
    ),
    disputes=True,
    timed=True,
)
