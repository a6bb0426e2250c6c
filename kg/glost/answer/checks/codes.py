"""Numbers and date codes that do not fit their schemes, or what bears them."""

from glost.answer.checks import ByValue, Check
from glost.trade.codes.findings import CODES, code_findings, codes_of, known_schemes

CHECK = Check(
    lambda snapshot, belief: code_findings(
        belief, belief.worded, snapshot.record.collection.margin
    ),
    disputes=True,
    by_value=ByValue(
        lambda: CODES,
        lambda snapshot, belief, thing, property_, known: codes_of(
            thing, property_, belief, known, belief.worded, snapshot.record.collection.margin
        ),
        shared=lambda snapshot, belief: known_schemes(
            belief, belief.worded, snapshot.record.collection.margin
        ),
        of_shared=lambda known: known.problems,
        alone=False,
    ),
)
