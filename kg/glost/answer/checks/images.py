"""Cells for images that lead nowhere, or to what is no image."""

from glost.answer.checks import ByValue, Check
from glost.answer.pictured import image_findings, images_of
from glost.names import GLOST

CHECK = Check(
    lambda snapshot, belief: image_findings(belief, snapshot.record.collection, belief.worded),
    outside=True,
    by_value=ByValue(
        lambda: frozenset({GLOST.image}),
        lambda snapshot, belief, thing, _, shared: images_of(
            thing, belief, snapshot.record.collection, belief.worded
        ),
    ),
)
