"""Remarks: notes that stay with claims which are left open or doubted."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from glost.findings import Side
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim
from glost.words.sentences import side


@dataclass(frozen=True, slots=True)
class Remark:
    """What was noted of claims.

    Attributes
    ----------
    on
        IRIs of the claims it is on, sorted.
    side
        The note: its text, its own claim, and what it rests on.
    """

    on: tuple[str, ...]
    side: Side

    @property
    def manner(self) -> str:
        """How it leaves them: one claim alone is doubted, several are left open."""
        return "Doubted" if len(self.on) == 1 else "Left open"


def remarks(belief: Belief) -> tuple[Remark, ...]:
    """Return every remark that stands, by file and row."""
    return tuple(
        Remark(on, _side(claim, belief))
        for claim in belief.claims.of_tables("remarks")
        if (on := remarked(claim))
    )


def remarked(claim: Claim) -> tuple[str, ...]:
    """Return the IRIs of the claims that a row of remarks is on, sorted."""
    return tuple(sorted(str(o) for _, p, o in claim.statements if p == GLOST.remarksOn))


def noted(some: Iterable[Remark], claims: Iterable[str]) -> Sequence[Remark]:
    """Return the remarks on claims of a finding and on no others, but for one that is of it."""
    there = frozenset(claims)
    return [each for each in some if there.issuperset(each.on) and each.side.claim not in there]


def _side(claim: Claim, belief: Belief) -> Side:
    text = "; ".join(sorted(str(o) for _, p, o in claim.statements if p == GLOST.noted))
    told = side(claim, belief.worded)
    return Side(text, told.claim, told.source, told.passage, told.read_from, told.certainty)
