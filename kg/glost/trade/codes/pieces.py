"""The date codes read on pieces, and the days they tell."""

import csv
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import NamedTuple, TypeAlias

from rdflib import URIRef

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.trade.codes.decoding import Decoded, decode
from glost.trade.codes.parts import CodeError
from glost.trade.codes.scheme import CodeScheme

_TABLE = Path(__file__).with_name("applications.csv")


class PieceDate(NamedTuple):
    """The days that the date code of a piece tells.

    Attributes
    ----------
    piece
        The piece.
    point
        ``made`` or ``decorated``: what is dated.
    earliest, latest
        First and last day, both inclusive, day numbers as in `glost.record.dates`; None where the
        code says nothing.
    claims
        The claims it rests on: what was read, which mark and how applied, the scheme, its parts.
    """

    piece: URIRef
    point: str
    earliest: int | None
    latest: int | None
    claims: tuple[Claim, ...]


DATING = frozenset(
    {
        *(GLOST.dateCodeRead, GLOST.bearsMark, GLOST.readBy, GLOST.application, GLOST.date),
        *(GLOST.pattern, GLOST.codes, GLOST.schemeOf, GLOST.codePartOf, GLOST.partName),
        *(GLOST.partValue, GLOST.partTells, GLOST.partDigits, GLOST.holdsIn, GLOST.ordinaryToo),
        *(GLOST.denotes, GLOST.denotesYear, GLOST.denotesMonth, GLOST.denotesPlant),
    }
)
"""The properties that dating a piece by its date code looks at."""


@dataclass(frozen=True, slots=True)
class PieceCode:
    """A date code read on a piece, by the scheme of one of its marks.

    Attributes
    ----------
    piece, mark
        The piece, and the mark whose scheme the code is read by.
    point
        What the mark speaks of, ``made``, ``decorated`` or ``sold``; empty if how it was applied is
        not said, or leaves it open.
    decoded
        The code and its readings by the mark's scheme.
    claims
        The claims for what was read, for the mark on the piece, and for its scheme and
        application.
    """

    piece: URIRef
    mark: URIRef
    point: str
    decoded: Decoded
    claims: tuple[Claim, ...]


@cache
def points() -> dict[str, str]:
    """Return what marks speak of, ``made``, ``decorated`` or ``sold``, by how they are applied."""
    lines = [
        line for line in _TABLE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")
    ]
    return {row["application"]: row["point"] for row in csv.DictReader(lines)}


def piece_codes(
    belief: Belief, schemes: Iterable[CodeScheme], only: Iterable[URIRef] | None = None
) -> Iterator[PieceCode]:
    """Read the date code of every piece by the schemes of the marks it bears.

    Parameters
    ----------
    belief
        What is believed.
    schemes
        The schemes; see `glost.trade.codes.schemes`.
    only
        The pieces to look at, sorted; None for all.

    Yields
    ------
    PieceCode
        Sorted by piece, code and mark; one for each code read and each mark with a scheme. A code
        too worn to be read has no readings.
    """
    known, once = _by_iri(schemes), dict[_Code, Decoded]()
    for piece in belief.having(GLOST.dateCodeRead) if only is None else only:
        yield from _read_on(piece, belief, known, once)


def codes_read_on(
    piece: URIRef, belief: Belief, schemes: Iterable[CodeScheme]
) -> Iterator[PieceCode]:
    """Read the date codes of one piece; see `piece_codes`."""
    return _read_on(piece, belief, _by_iri(schemes), {})


_Code: TypeAlias = tuple[str, URIRef]
"""A code as written, and the scheme it is read by."""


def _by_iri(schemes: Iterable[CodeScheme]) -> dict[URIRef, list[CodeScheme]]:
    found: dict[URIRef, list[CodeScheme]] = {}
    for scheme in schemes:
        found.setdefault(scheme.iri, []).append(scheme)
    return found


def _read_on(
    piece: URIRef,
    belief: Belief,
    known: Mapping[URIRef, Iterable[CodeScheme]],
    once: dict[_Code, Decoded],
) -> Iterator[PieceCode]:
    for text in belief.values(piece, GLOST.dateCodeRead):
        for mark in belief.named(piece, GLOST.bearsMark):
            for named in belief.values(mark, GLOST.readBy):
                scheme = URIRef(str(named))
                key = (str(text), scheme)
                if key not in once:
                    once[key] = _decoded(str(text), known.get(scheme, ()))
                read: list[Triple] = [
                    (piece, GLOST.dateCodeRead, text),
                    (piece, GLOST.bearsMark, mark),
                    (mark, GLOST.readBy, named),
                ]
                point, applied = _point(belief, mark)
                claims = dict.fromkeys([*belief.supporting(read), *applied])
                yield PieceCode(piece, mark, point, once[key], tuple(claims))


def _decoded(text: str, schemes: Iterable[CodeScheme]) -> Decoded:
    try:
        return decode(text, schemes)
    except CodeError:
        return Decoded(text, ())


def _point(belief: Belief, mark: URIRef) -> tuple[str, tuple[Claim, ...]]:
    """Say what a mark speaks of, if all claims on how it was applied agree, and which they are."""
    applied = belief.texts(mark, GLOST.application)
    said = {points().get(how.rsplit("/", 1)[-1], "") for how in applied}
    return (said.pop() if len(said) == 1 else ""), belief.saying(mark, GLOST.application)


def piece_dates(
    belief: Belief, schemes: Iterable[CodeScheme], only: Iterable[URIRef] | None = None
) -> Iterator[PieceDate]:
    """Date pieces by their date codes.

    Impressed, incised, moulded and underglaze marks speak of the making, overglaze and
    gold-stamped ones of the decorating, labels and cold stamps of the sale (*common practice*; the
    list is ``applications.csv``). What is sold was decorated by then. A code on a mark of which it
    is not said how it was put on was written at some time from the making to the decorating: the
    piece was made before the end of its days, and decorated after their beginning.

    Parameters
    ----------
    belief
        What is believed.
    schemes
        The schemes; see `glost.trade.codes.schemes`.
    only
        The pieces to date, sorted; None for all.

    Yields
    ------
    PieceDate
        The first and last day of the readings by schemes that may have been in force (of all
        readings, if none was), sorted by piece and point, with every claim it rests on.
    """
    for found in piece_codes(belief, schemes, only):
        earliest, latest = found.decoded.span
        if earliest is None or latest is None:
            continue
        claims = tuple(dict.fromkeys([*found.claims, *found.decoded.claims]))
        if found.point in ("made", "decorated"):
            yield PieceDate(found.piece, found.point, earliest, latest, claims)
            continue
        if found.point == "":
            yield PieceDate(found.piece, "made", None, latest, claims)
            yield PieceDate(found.piece, "decorated", earliest, None, claims)
        else:
            yield PieceDate(found.piece, "decorated", None, latest, claims)
