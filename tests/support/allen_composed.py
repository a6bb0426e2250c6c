"""Allen's table of transitivity, as the constraints of the thirteen relations give it."""

from functools import cache
from itertools import product

from glost.reason.chronology.allen import Relation, _consistent, _limits, relations


def compose(first: str, second: str) -> frozenset[str]:
    """Name the relations of A to C that some A, B, C show with A `first` B and B `second` C.

    One cell of Allen's table of transitivity.
    """
    return _table()[first, second]


@cache
def _table() -> dict[tuple[str, str], frozenset[str]]:
    proper = _limits(6)
    for start in (0, 2, 4):
        proper[start + 1, start] = -1
    cells = {}
    for first, second in product(relations().values(), repeat=2):
        known = [*_renumber(first, (0, 1, 2, 3)), *_renumber(second, (2, 3, 4, 5))]
        cells[first.name, second.name] = frozenset(
            third.name
            for third in relations().values()
            if _consistent(proper, [*known, *_renumber(third, (0, 1, 4, 5))])
        )
    return cells


def _renumber(relation: Relation, ends: tuple[int, ...]) -> list[tuple[int, int, int]]:
    return [(ends[source], ends[target], days) for source, target, days in relation.limits]
