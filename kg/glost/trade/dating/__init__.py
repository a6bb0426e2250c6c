"""Dating a piece by what is seen on it: not before, not after, why, and what to look for next.

`Limiter` says what each thing seen gives, and `date_seen` puts it together. `narrowings` says what
further look would narrow it most, `misreadings` what one sign read otherwise would settle, and
`date_table` dates a whole table. Contradictions are worded as hypotheses.
"""

from glost.trade.dating.batch import Row, date_table
from glost.trade.dating.dated import Between, Clash, Dated, date_seen
from glost.trade.dating.law import Custom, customs
from glost.trade.dating.limits import Limit, Limiter, Stated
from glost.trade.dating.misread import Misreading, misreadings
from glost.trade.dating.narrowing import Narrowing, narrowings

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
