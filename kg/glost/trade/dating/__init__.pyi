from .batch import Row, date_table
from .dated import Between, Clash, Dated, date_seen
from .law import Custom, customs
from .limits import Limit, Limiter, Stated
from .misread import Misreading, misreadings
from .narrowing import Narrowing, narrowings

__all__ = [
    "Between",
    "Clash",
    "Custom",
    "Dated",
    "Limit",
    "Limiter",
    "Misreading",
    "Narrowing",
    "Row",
    "Stated",
    "customs",
    "date_seen",
    "date_table",
    "misreadings",
    "narrowings",
]
