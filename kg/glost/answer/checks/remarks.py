"""Claims that a remark doubts."""

from collections.abc import Iterator

from glost.answer.checks import Check
from glost.answer.snapshot import Snapshot
from glost.findings import Finding, Severity
from glost.names import GLOST
from glost.record.belief import Belief
from glost.words.sentences import side

DOUBTED = "doubted"
"""The kind of these findings."""


def _find(snapshot: Snapshot, belief: Belief) -> Iterator[Finding]:
    """Find each claim that stands although a remark on it alone doubts it."""
    for remark in belief.claims.of_tables("remarks"):
        on = sorted(str(o) for _, p, o in remark.statements if p == GLOST.remarksOn)
        doubted = belief.claims.at(on[0]) if len(on) == 1 else None
        if doubted is not None:
            noted = "; ".join(sorted(str(o) for _, p, o in remark.statements if p == GLOST.noted))
            yield Finding(
                kind=DOUBTED,
                severity=Severity.NOTE,
                about=(str(doubted.statements[0][0]).partition("#")[0],),
                message=f"It is doubted: {noted}",
                sides=(side(doubted, belief.worded), side(remark, belief.worded)),
                remedy="Correct or withdraw it once that is settled; the remark then falls away.",
            )


CHECK = Check(_find, disputes=False, beyond=True)
