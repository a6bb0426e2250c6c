"""Lists whose rows or dates do not go together."""

from glost.answer.checks import ByValue, Check
from glost.trade.assortments.findings import LOOKED_AT, assortment_findings, found_of

CHECK = Check(
    lambda _, belief: assortment_findings(belief, belief.worded),
    disputes=True,
    by_value=ByValue(
        lambda: LOOKED_AT,
        lambda _, belief, thing, property_, shared: found_of(
            thing, property_, belief, belief.worded
        ),
    ),
)
