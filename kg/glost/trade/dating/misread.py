"""What a number or code would have to be, one sign read otherwise, for everything to fit."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from glost.trade.codes import CodeError
from glost.trade.dating.dated import Dated, date_seen
from glost.trade.dating.limits import Limiter, StatedDate
from glost.trade.naming.seen import Seen
from glost.trade.naming.sight import treatments_read

_MOST = 12
"""So many readings are tried at most for each sign."""


@dataclass(frozen=True, slots=True)
class Misreading:
    """A reading one sign off with which nothing contradicts.

    Attributes
    ----------
    observation
        ``number`` or ``date code``.
    read, instead
        As it was read, and as it would have to be.
    dated
        The piece, dated by that.
    """

    observation: str
    read: str
    instead: str
    dated: Dated


def misreadings(
    limiter: Limiter, dated: Dated, stated: tuple[StatedDate, ...] = ()
) -> tuple[Misreading, ...]:
    """Find what would have been misread, if one wrong sign explains a contradiction.

    Every sign of the number, then of the code, is taken to be any other in turn; what is then on
    record, or read by the schemes, and fits all else is kept. That a reading fits does not make it
    so: look at the piece again.

    Returns
    -------
    tuple of Misreading
        By observation and reading; none if nothing contradicts.
    """
    if not dated.contradictory:
        return ()
    found = [*_numbers(limiter, dated.seen, stated), *_codes(limiter, dated.seen, stated)]
    return tuple(sorted(found, key=lambda m: (m.observation, m.instead)))


def _one_worn(text: str) -> Iterator[str]:
    for place, sign in enumerate(text):
        if sign.isalnum():
            yield f"{text[:place]}?{text[place + 1 :]}"


def _numbers(limiter: Limiter, seen: Seen, stated: tuple[StatedDate, ...]) -> Iterator[Misreading]:
    tried = set(treatments_read(seen, limiter.known))
    for worn in _one_worn(seen.number):
        guess = replace(seen, number=worn, treatment=None)
        for treatment in treatments_read(guess, limiter.known)[:_MOST]:
            if treatment in tried:
                continue
            tried.add(treatment)
            again = date_seen(limiter, replace(guess, treatment=treatment), stated)
            if not again.contradictory:
                name = limiter.known.name(treatment)
                yield Misreading("number", seen.number, name, again)


def _codes(limiter: Limiter, seen: Seen, stated: tuple[StatedDate, ...]) -> Iterator[Misreading]:
    tried = {seen.date_code}
    for worn in _one_worn(seen.date_code):
        try:
            decoded, _ = limiter.read(replace(seen, date_code=worn))
        except CodeError:
            continue
        for code in sorted({reading.code for reading in decoded.counting} - tried):
            tried.add(code)
            again = date_seen(limiter, replace(seen, date_code=code), stated)
            if not again.contradictory:
                yield Misreading("date code", seen.date_code, code, again)
