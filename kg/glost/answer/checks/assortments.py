"""Lists whose rows or dates do not go together."""

from glost.answer.checks import Check
from glost.trade.assortments.findings import assortment_findings

CHECK = Check(lambda _, belief: assortment_findings(belief, belief.worded), disputes=True)
