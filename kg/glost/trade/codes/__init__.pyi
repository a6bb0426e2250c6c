from .decoding import Decoded, decode
from .encoding import Encoded, encode
from .many import ManyDecoded, decode_many
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
    "ManyDecoded",
    "Meaning",
    "PartReading",
    "PieceCode",
    "PieceDate",
    "Reading",
    "decode",
    "decode_many",
    "encode",
    "piece_codes",
    "piece_dates",
    "problems",
]
