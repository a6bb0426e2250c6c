"""Taking a code apart by a pattern, in every way that fits."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from math import prod

from glost.record.dates import day_number
from glost.record.edtf_days import month_length
from glost.trade.codes.parts import (
    DAY,
    LIMIT,
    MONTH,
    QUARTER,
    WORN,
    YEAR,
    CodeError,
    CodePart,
    Digits,
    Meaning,
    PartReading,
    fits,
)

_FIGURES = "0123456789"
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_HIGHEST = {MONTH: 12, QUARTER: 4, DAY: 31}

Choice = tuple[str, tuple[tuple[Meaning, int | None], ...]]
"""A value that some characters are taken for, with each meaning it may have and what it counts."""

Cut = tuple[tuple[int, int], ...]
"""Where each token of a pattern begins and ends in a code."""


class NoSuchDayError(ValueError):
    """The year, month and day of a code are not a day of the calendar, or contradict each other."""


def readings(
    tokens: Sequence[CodePart | str], cuts: Sequence[Cut], text: str
) -> Iterator[tuple[PartReading, ...]]:
    """Yield the parts of a code for every way in which it fits a pattern.

    Parameters
    ----------
    tokens
        The pattern taken apart.
    cuts
        Every way of laying it over as many characters as the code has; see `ways_to_cut`.
    text
        The code, worn characters written ``?``.

    Raises
    ------
    CodeError
        If it is so worn that there would be too many ways to go through.
    """
    for cut in cuts:
        found = _laid(tokens, cut, text)
        together = prod(count for _, _, count in found)
        if together > LIMIT:
            raise too_worn(text)
        if not found:
            continue
        for chosen in product(*(choices(part, piece) for part, piece, _ in found)):
            laid = list(zip(found, chosen, strict=True))
            values = {part.name: value for (part, _, _), (value, _) in laid}
            code = "".join(t if isinstance(t, str) else values[t.name] for t in tokens)
            resolved = [
                [
                    PartReading(part.name, piece, value, meaning, number)
                    for meaning, number in resolve(meanings, code, values)
                ]
                for (part, piece, _), (value, meanings) in laid
            ]
            yield from product(*resolved)


def _laid(tokens: Sequence[CodePart | str], cut: Cut, text: str) -> list[tuple[CodePart, str, int]]:
    """Return each part, its characters and how many values they may be; nothing if one has none."""
    found = []
    for token, (start, end) in zip(tokens, cut, strict=True):
        piece = text[start:end]
        if isinstance(token, str):
            if piece != token and not fits(piece, token):
                return []
        elif count := ways(token, piece):
            found.append((token, piece, count))
        else:
            return []
    return found


def too_worn(text: str) -> CodeError:
    """Make the error for a code that could be read in too many ways."""
    message = f'"{text}" can be read in more than {LIMIT} ways'
    return CodeError(message, "give more of its characters")


def ways_to_cut(tokens: Sequence[CodePart | str], length: int, start: int = 0) -> Iterator[Cut]:
    """Yield where each token begins and ends, for every way a pattern may fill a length."""
    if not tokens:
        if length == start:
            yield ()
        return
    first, rest = tokens[0], tokens[1:]
    widths = [len(first)] if isinstance(first, str) else first.widths(length - start)
    for width in widths:
        end = start + width
        if end <= length:
            for further in ways_to_cut(rest, length, end):
                yield ((start, end), *further)


def ways(part: CodePart, text: str) -> int:
    """Return how many values the characters of a part may be; more than `LIMIT` if too many."""
    try:
        return len(choices(part, text))
    except CodeError:
        return LIMIT + 1


def choices(part: CodePart, text: str) -> tuple[Choice, ...]:
    """Return every value that the characters of a part may be, with what each may mean."""
    known = part.known
    if text not in known:
        known[text] = tuple(_choices(part, text))
    return known[text]


def _choices(part: CodePart, text: str) -> Iterator[Choice]:
    counted: dict[str, list[tuple[Meaning, int | None]]] = {}
    for meaning in part.counted:
        for value, number in _counted(meaning, text):
            counted.setdefault(value, []).append((meaning, number))
    for value in part.values(text):
        meanings: list[tuple[Meaning, int | None]] = [(m, None) for m in part.table[value]]
        if all(meaning.only_in for meaning, _ in meanings):
            meanings += counted.get(value, ())
        yield value, tuple(meanings)
    for value in sorted(set(counted) - set(part.table)):
        yield value, tuple(counted[value])


def _counted(meaning: Meaning, text: str) -> Iterator[tuple[str, int | None]]:
    digits = meaning.digits
    assert digits is not None
    if len(text) < digits.least or (digits.most is not None and len(text) > digits.most):
        return
    signs = _LETTERS if digits.letters else _FIGURES
    if not set(text) <= {*signs, WORN}:
        return
    if meaning.tells not in (YEAR, *_HIGHEST):
        yield text, None if WORN in text else number(text, digits)
        return
    worn = text.count(WORN)
    if len(signs) ** worn > LIMIT:
        raise too_worn(text)
    for filling in product(signs, repeat=worn):
        characters = iter(filling)
        value = "".join(next(characters) if c == WORN else c for c in text)
        count = number(value, digits)
        if written(count, digits) == value and _possible(meaning, count):
            yield value, count


def _possible(meaning: Meaning, count: int) -> bool:
    highest = _HIGHEST.get(meaning.tells)
    return highest is None or 1 <= count <= highest


def number(text: str, digits: Digits) -> int:
    """Return the number that figures write, or letters with A as 1, Z as 26 and AA as 27."""
    if not digits.letters:
        return int(text)
    count = 0
    for letter in text:
        count = 26 * count + _LETTERS.index(letter) + 1
    return count


def written(count: int, digits: Digits) -> str:
    """Write a number in figures, filled up with noughts to the least width, or in letters."""
    if not digits.letters:
        return str(count).zfill(digits.least)
    text = ""
    while count > 0:
        count, rest = divmod(count - 1, 26)
        text = _LETTERS[rest] + text
    return text


def resolve(
    meanings: Sequence[tuple[Meaning, int | None]], code: str, values: Mapping[str, str]
) -> list[tuple[Meaning, int | None]]:
    """Return the meanings that hold in a code: exceptions in place of the ordinary ones.

    Where the code is too worn to say whether an exception holds, it and the ordinary meanings are
    all possible.
    """
    ordinary = [each for each in meanings if not each[0].only_in]
    exceptions = [each for each in meanings if each[0].only_in]
    if not exceptions:
        return ordinary
    said = [(each, each[0].holds(code, values)) for each in exceptions]
    held = [each for each, holds in said if holds is not False]
    if any(holds and not meaning.also for (meaning, _), holds in said):
        return held
    return ordinary + held


def days(parts: Sequence[PartReading]) -> tuple[int | None, int | None]:
    """Return the first and last day that parts tell, both inclusive; None if they tell no year.

    Raises
    ------
    NoSuchDayError
        If there is no such day, or two parts tell two years or two months.
    """
    years = {part.year for part in parts if part.year is not None}
    months = {part.month for part in parts if part.month is not None}
    if len(years) > 1 or len(months) > 1:
        raise NoSuchDayError
    if not years:
        return None, None
    (year,) = years
    if not months:
        return day_number(year, 1, 1), day_number(year, 12, 31)
    (month,) = months
    quarter = any(part.meaning.tells == QUARTER for part in parts)
    last = min(month + 2, 12) if quarter and not _tells(parts, MONTH) else month
    for part in parts:
        day = part.day
        if day is not None:
            if day > month_length(year, month):
                raise NoSuchDayError
            return day_number(year, month, day), day_number(year, month, day)
    return day_number(year, month, 1), day_number(year, last, month_length(year, last))


def _tells(parts: Sequence[PartReading], kind: object) -> bool:
    return any(part.meaning.tells == kind for part in parts)
