"""The four answers to whether something holds."""

from enum import StrEnum


class Verdict(StrEnum):
    """Whether something holds, by what is on record.

    ``YES`` and ``NO`` each need a ground: a bound, a complete list, a statement, an order.
    ``POSSIBLY``: something on record bears on it and leaves it open; whoever says so says also
    what would decide it. ``NOT_KNOWN``: nothing on record bears on it.
    """

    YES = "yes"
    NO = "no"
    POSSIBLY = "possibly"
    NOT_KNOWN = "not known"
