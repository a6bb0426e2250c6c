"""Numbers and date codes: schemes from claims, codes read by them and made by them.

A scheme is data: a pattern with named parts, and rows that say what each value of a part means.
Where sources differ, a code has several readings, each with the claims it rests on.
"""

from glost.trade.codes.decoding import Decoded, decode
from glost.trade.codes.encoding import Encoded, encode
from glost.trade.codes.parts import CodeError, Meaning, Part, PartReading
from glost.trade.codes.pieces import PieceCode, PieceDate, piece_codes, piece_dates
from glost.trade.codes.scheme import Reading, Scheme
from glost.trade.codes.schemes import problems, schemes

__all__ = [
    "CodeError",
    "Decoded",
    "Encoded",
    "Meaning",
    "Part",
    "PartReading",
    "PieceCode",
    "PieceDate",
    "Reading",
    "Scheme",
    "decode",
    "encode",
    "piece_codes",
    "piece_dates",
    "problems",
    "schemes",
]
