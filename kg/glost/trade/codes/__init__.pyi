from .decoding import Decoded, decode
from .encoding import Encoded, encode
from .parts import CodeError, Meaning, Part, PartReading
from .pieces import PieceCode, PieceDate, piece_codes, piece_dates
from .scheme import Reading, Scheme
from .schemes import problems

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
]
