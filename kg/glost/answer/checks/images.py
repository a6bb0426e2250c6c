"""Cells for images that lead nowhere, or to what is no image."""

from glost.answer.checks import Check
from glost.answer.pictured import image_findings

CHECK = Check(
    lambda snapshot, belief: image_findings(
        belief, snapshot.record.collection.path, snapshot.record.base, belief.worded
    )
)
