"""What was said in public and is still to be put right."""

from glost.answer.checks import Check
from glost.answer.errata import errata_findings
from glost.record.errata import overtaken

CHECK = Check(
    lambda desk, belief: errata_findings(overtaken(desk.record, belief), belief.worded),
    beyond=True,
)
