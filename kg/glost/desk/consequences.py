"""What a change would bring about, as a page shows it before anything is saved."""

from collections.abc import Iterable
from dataclasses import dataclass

from glost.answer.affected import FATES, Affected
from glost.answer.consequences import Consequences
from glost.answer.questions import catalogue
from glost.answer.snapshot import Snapshot
from glost.desk.opened import Opened
from glost.record.changes import Change
from glost.record.claims import Claim


@dataclass(frozen=True, slots=True)
class Foreseen:
    """What a change would bring about.

    Attributes
    ----------
    parts
        A heading for each kind of consequence, with each in a sentence.
    answers
        The answers to named questions that would change, a line each; None if nobody asked.
    """

    parts: tuple[tuple[str, tuple[str, ...]], ...]
    answers: tuple[str, ...] | None = None

    @property
    def nothing(self) -> bool:
        """Whether nothing would change."""
        return not self.parts and not self.answers


def foreseen(opened: Opened, claims: Iterable[Claim], *, answers: bool = False) -> Foreseen:
    """Say what it would bring about if claims were added; nothing is changed."""
    return _foreseen(opened, Change(added=tuple(sorted(claims, key=lambda c: c.iri))), answers)


def foreseen_without(opened: Opened, claims: Iterable[Claim]) -> Foreseen:
    """Say what would follow without some claims; nothing is changed."""
    return _foreseen(opened, Change(removed=tuple(sorted(c.iri for c in claims))), False)


def _foreseen(opened: Opened, change: Change, answers: bool) -> Foreseen:
    def told(found: Consequences, now: Snapshot) -> Foreseen:
        parts = tuple((heading, tuple(e.text for e in some)) for heading, some in found.parts())
        changed = tuple(_answer(each, found, now) for each in found.coming()) if answers else None
        return Foreseen(parts, changed)

    return opened.trying(change, told)


def _answer(each: Affected, found: Consequences, now: Snapshot) -> str:
    question = catalogue()[each.question].header.question
    return f"{question} {FATES[each.fate]}: {found.answer(each, now.words)}"
