"""Which of several media types a client prefers (RFC 9110, section 12.5.1)."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

_TOKEN = r"[!#$%&'*+.^_`|~0-9A-Za-z-]+"
_PARAMETER = rf'\s*;\s*({_TOKEN})\s*=\s*({_TOKEN}|"(?:[^"\\]|\\.)*")'
_RANGE = re.compile(rf"\s*(\*/\*|{_TOKEN}/\*|{_TOKEN}/{_TOKEN})((?:{_PARAMETER})*)\s*")
_WEIGHT = re.compile(r"0(\.\d{0,3})?|1(\.0{0,3})?")
_RANGES = 100


@dataclass(frozen=True, slots=True)
class Range:
    """A range of media types that a client accepts.

    Attributes
    ----------
    type
        ``text/turtle``, ``text/*`` or ``*/*``, in lower case.
    parameters
        Its parameters but for the weight and for ``profile``, which asks for a style of the type
        that a server need not know (RFC 6906, section 3); names in lower case.
    weight
        From 0, not wanted, to 1.
    """

    type: str
    parameters: frozenset[tuple[str, str]]
    weight: float

    def closeness(self, offered: "Range") -> int:
        """Say how closely it names what is offered; below nought if it does not at all."""
        if not self.parameters <= offered.parameters:
            return -1
        if self.type == "*/*":
            return 0
        if self.type.endswith("/*"):
            return 1 if offered.type.startswith(self.type[:-1]) else -1
        return 2 + len(self.parameters) if self.type == offered.type else -1


def accepted(header: str) -> list[Range]:
    """Read an ``Accept`` header; parts that are not well formed are passed over."""
    return [found for part in _parts(header) if (found := _range(part)) is not None]


def weight(offered: str, ranges: Iterable[Range]) -> float:
    """Return how much a media type is wanted: the weight of the range that names it most closely.

    Parameters
    ----------
    offered
        A media type, with parameters or without.
    ranges
        What the client accepts.
    """
    return _wanted(offered, ranges)[0]


def _wanted(offered: str, ranges: Iterable[Range]) -> tuple[float, bool]:
    """Return how much a media type is wanted, and whether it is named and not only taken."""
    given = _range(offered)
    if given is None:
        raise ValueError(f"{offered!r} is no media type")
    close, weight = max(((each.closeness(given), each.weight) for each in ranges), default=(-1, 0))
    return (weight, close > 1) if close >= 0 else (0.0, False)


def choose(header: str | None, offers: Sequence[str]) -> str | None:
    """Choose the media type that a client wants most.

    Parameters
    ----------
    header
        Its ``Accept`` header; None or empty for a client that takes anything.
    offers
        What there is, the server's favourite first. Of what the client wants alike, one that it
        names goes before one that it takes among others, then the favourite.

    Returns
    -------
    str or None
        None if the client wants none of them. A header in which nothing is well formed counts
        as none.
    """
    ranges = accepted(header or "")
    if not ranges:
        return offers[0]
    wanted = [_wanted(offer, ranges) for offer in offers]
    most = max(wanted)
    return offers[wanted.index(most)] if most[0] > 0 else None


def _parts(header: str) -> list[str]:
    """Part a list at its commas, those within quotes aside."""
    return re.findall(r'(?:[^,"]|"(?:[^"\\]|\\.)*")+', header)[:_RANGES]


def _range(part: str) -> Range | None:
    found = _RANGE.fullmatch(part)
    if found is None:
        return None
    pairs = [
        (name.lower(), value.strip('"').lower()) for name, value in re.findall(_PARAMETER, found[2])
    ]
    weight = 1.0
    for name, value in pairs:
        if name == "q":
            if not _WEIGHT.fullmatch(value):
                return None
            weight = float(value)
    rest = frozenset(pair for pair in pairs if pair[0] not in ("q", "profile"))
    return Range(found[1].lower(), rest, weight)
