"""Cells for images that lead nowhere, or to what is no image."""

from glost.answer.checks import Check
from glost.answer.pictured import image_findings

CHECK = Check(
    lambda desk, belief: image_findings(
        belief, desk.record.collection.path, desk.record.base, belief.worded
    )
)
