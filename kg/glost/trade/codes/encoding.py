"""Making a code of what it is to tell."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import product
from math import prod

from rdflib import URIRef

from glost.trade.codes.parts import (
    DAY,
    LIMIT,
    MONTH,
    QUARTER,
    YEAR,
    CodeError,
    CodePart,
    PartReading,
)
from glost.trade.codes.scheme import CodeScheme, Reading
from glost.trade.codes.splitting import choices, written

Wanted = URIRef | int | str
"""What a part is to tell: a thing, a year or a month or a count, or a value as written."""


@dataclass(frozen=True, slots=True)
class Encoded:
    """A code that tells what it is to tell.

    Attributes
    ----------
    code
        The code.
    reading
        How it is read, with the claims it rests on.
    """

    code: str
    reading: Reading


def encode(scheme: CodeScheme, wanted: Mapping[str, Wanted]) -> tuple[Encoded, ...]:
    """Make the codes that tell something by a scheme.

    Parameters
    ----------
    scheme
        The scheme.
    wanted
        For each part by its name in the pattern: the thing it stands for; a year, month or day as
        a number, or the number of a running part; or the value as it is written.

    Returns
    -------
    tuple of Encoded
        Every code, sorted. Several, if several values mean the same; each is such that decoding
        it by the scheme gives what was wanted among its readings.

    Raises
    ------
    CodeError
        If a part is missing or not one of the scheme's, or no value of it means what is wanted.
    """
    parts = {part.name: part for part in scheme.parts}
    for name in sorted(set(wanted) - set(parts)):
        raise CodeError(f'the scheme has no part "{name}"', f"its parts are {', '.join(parts)}")
    for name in sorted(set(parts) - set(wanted)):
        raise CodeError(f'the part "{name}" is missing', f"say {name}=…, what it is to tell")
    found = [sorted(set(_values(part, wanted[name]))) for name, part in parts.items()]
    for name, values in zip(parts, found, strict=True):
        if not values:
            known = ", ".join(sorted(parts[name].table)) or "a number"
            raise CodeError(
                f'no value of the part "{name}" means {wanted[name]}', f"it may be {known}"
            )
    if prod(map(len, found)) > LIMIT:
        raise CodeError(f"there are more than {LIMIT} such codes", "say the values as written")
    made: dict[str, Encoded] = {}
    for chosen in product(*found):
        code = scheme.write(dict(zip(parts, chosen, strict=True)))
        for reading in scheme.decode(code):
            if all(tells(part, wanted[part.name]) for part in reading.parts):
                made.setdefault(code, Encoded(code, reading))
    return tuple(made[code] for code in sorted(made))


def tells(part: PartReading, wanted: Wanted) -> bool:
    """Say whether a part as read tells what is wanted."""
    if isinstance(wanted, URIRef):
        return part.meaning.thing == wanted
    if isinstance(wanted, str):
        return part.value == wanted
    if part.meaning.tells == QUARTER:
        return part.number == wanted or part.meaning.month == 3 * wanted - 2
    known = {YEAR: part.year, MONTH: part.month, DAY: part.day}
    return known.get(part.meaning.tells, part.number) == wanted


def _values(part: CodePart, wanted: Wanted) -> Iterator[str]:
    for value in part.table:
        for _, meanings in choices(part, value):
            if any(
                tells(PartReading(part.name, value, value, meaning, number), wanted)
                for meaning, number in meanings
            ):
                yield value
    if isinstance(wanted, URIRef):
        return
    for meaning in part.counted:
        if isinstance(wanted, str):
            value = wanted
        else:
            base = (meaning.year or 0) if meaning.tells == YEAR else 0
            if wanted < base or meaning.digits is None:
                continue
            value = written(wanted - base, meaning.digits)
        if choices(part, value):
            yield value
