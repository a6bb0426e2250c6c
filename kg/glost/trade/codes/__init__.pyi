from .decoding import Decoded, decode
from .encoding import Encoded, encode
from .parts import CodeError, CodePart, Meaning, PartReading
from .pieces import PieceCode, PieceDate, piece_codes, piece_dates
from .scheme import CodeScheme, Reading
from .schemes import problems

__all__ = [
    "CodeError",
    "CodePart",
    "CodeScheme",
    "Decoded",
    "Encoded",
    "Meaning",
    "PartReading",
    "PieceCode",
    "PieceDate",
    "Reading",
    "decode",
    "encode",
    "piece_codes",
    "piece_dates",
    "problems",
]
