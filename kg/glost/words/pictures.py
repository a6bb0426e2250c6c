"""What pictures say in words, where several say alike."""

from collections.abc import Iterable, Sequence
from typing import Protocol, TypeAlias

from glost.record.dates import to_iso
from glost.words.english import count
from glost.words.spans import between

Days: TypeAlias = tuple[int | None, int | None]


class WordedBasis(Protocol):
    """What words need of what a part of a picture rests on."""

    @property
    def claims(self) -> Sequence[str]:
        """IRIs of the claims."""

    @property
    def passages(self) -> Sequence[str]:
        """Source and place of each, in words."""


class WordedLife(Protocol):
    """What words need of when something ran."""

    @property
    def begin(self) -> Days:
        """The days between which it began."""

    @property
    def end(self) -> Days:
        """The days between which it ended."""

    @property
    def disputed(self) -> bool:
        """Whether claims about either cannot all hold."""

    @property
    def known(self) -> bool:
        """Whether anything at all is known of it."""

    @property
    def certain(self) -> tuple[int, int] | None:
        """First and last day on which it certainly ran."""


class WordedBar(Protocol):
    """What words need of one line of a chart of runs."""

    @property
    def life(self) -> WordedLife:
        """When it ran."""


def rests_on(basis: WordedBasis) -> str:
    """Say on how many claims and passages a picture rests."""
    if not basis.claims:
        return ""
    claims, passages = count(len(basis.claims), "claim"), count(len(basis.passages), "passage")
    return f"Rests on {claims}, {passages}; the table beside this picture names them."


def basis_cells(basis: WordedBasis) -> tuple[str, str]:
    """Return the last two cells of every row: passages, and claims."""
    return " | ".join(basis.passages), " ".join(basis.claims)


BASIS = ("rests on", "claims")


def standing(life: WordedLife) -> str:
    """Say how a life stands: ``disputed``, ``dated``, ``partly dated`` or ``undated``."""
    if life.disputed:
        return "disputed"
    if not life.known:
        return "undated"
    return "dated" if life.certain else "partly dated"


_CITED = 3


def cited(basis: WordedBasis) -> str:
    """Return the first few passages that something rests on, and how many more there are."""
    more = len(basis.passages) - _CITED
    return "; ".join(basis.passages[:_CITED]) + (f"; and {more} more" if more > 0 else "")


def told_of(name: str, life: WordedLife, basis: WordedBasis) -> str:
    """Say when something ran and what that rests on, for whoever points at it."""
    if not life.known:
        return f"{name}: no dates known"
    when = f"began {between(life.begin)}, ended {between(life.end)}"
    disputed = " Disputed." if life.disputed else ""
    return f"{name}: {when}.{disputed} {cited(basis)}".strip()


def extent(bars: Iterable[WordedBar]) -> str:
    known = [day for bar in bars for day in (*bar.life.begin, *bar.life.end) if day is not None]
    if not known:
        return "None of them is dated."
    return f"It runs from {to_iso(min(known))} to {to_iso(max(known))}."
