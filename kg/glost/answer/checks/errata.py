"""What was said in public and is still to be put right."""

from glost.answer.checks import Check
from glost.answer.errata import errata_findings
from glost.record.errata import overtaken

CHECK = Check(
    lambda snapshot, belief: errata_findings(overtaken(snapshot.record, belief), belief.worded),
    beyond=True,
)
