"""Claims that a remark doubts."""

from collections.abc import Iterator

from glost.answer.checks import Check
from glost.answer.remarks import remarks
from glost.answer.snapshot import Snapshot
from glost.findings import Finding, Severity
from glost.record.belief import Belief
from glost.words.sentences import side

DOUBTED = "doubted"
"""The kind of these findings."""


def _find(snapshot: Snapshot, belief: Belief) -> Iterator[Finding]:
    """Find each claim that stands although a remark on it alone doubts it."""
    for remark in remarks(belief):
        doubted = belief.claims.at(remark.on[0]) if len(remark.on) == 1 else None
        note = belief.claims.at(remark.side.claim)
        if doubted is not None and note is not None:
            yield Finding(
                kind=DOUBTED,
                severity=Severity.NOTE,
                about=(str(doubted.statements[0][0]).partition("#")[0],),
                message=f"It is doubted: {remark.side.says}",
                sides=(side(doubted, belief.worded), side(note, belief.worded)),
                remedy="Correct or withdraw it once that is settled; the remark then falls away.",
            )


CHECK = Check(_find, disputes=False, beyond=True)
