from .batch import PieceRow, date_table
from .dated import Between, Dated, LimitClash, date_seen
from .law import Custom, customs
from .limits import Limit, Limiter, StatedDate
from .misread import Misreading, misreadings
from .narrowing import Narrowing, narrowings

__all__ = [
    "Between",
    "Custom",
    "Dated",
    "Limit",
    "LimitClash",
    "Limiter",
    "Misreading",
    "Narrowing",
    "PieceRow",
    "StatedDate",
    "customs",
    "date_seen",
    "date_table",
    "misreadings",
    "narrowings",
]
