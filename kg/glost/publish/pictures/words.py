"""What pictures say in words, where several say alike."""

from collections.abc import Iterable

from glost.publish.pictures.model import Bar, Basis, Life
from glost.record.dates import to_iso


def rests_on(basis: Basis) -> str:
    """Say on how many claims and passages a picture rests."""
    if not basis.claims:
        return ""
    claims, passages = len(basis.claims), len(basis.passages)
    return (
        f"Rests on {claims} claim{'' if claims == 1 else 's'}, "
        f"{passages} passage{'' if passages == 1 else 's'}; the table beside this picture "
        "names them."
    )


def basis_cells(basis: Basis) -> tuple[str, str]:
    """Return the last two cells of every row: passages, and claims."""
    return " | ".join(basis.passages), " ".join(basis.claims)


BASIS = ("rests on", "claims")


def standing(life: Life) -> str:
    """Say how a life stands: ``disputed``, ``dated``, ``partly dated`` or ``undated``."""
    if life.disputed:
        return "disputed"
    if not life.known:
        return "undated"
    return "dated" if life.certain else "partly dated"


def extent(bars: Iterable[Bar]) -> str:
    known = [day for bar in bars for day in (*bar.life.begin, *bar.life.end) if day is not None]
    if not known:
        return "None of them is dated."
    return f"It runs from {to_iso(min(known))} to {to_iso(max(known))}."
