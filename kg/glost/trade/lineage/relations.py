"""The kinds of tie between things, as the table beside this module lists them."""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from rdflib import URIRef

from glost.names import GLOST


@dataclass(frozen=True, slots=True)
class LineageRelation:
    """A kind of tie.

    Attributes
    ----------
    key
        Its short name: ``copied``.
    predicate
        The property that says it, from the later thing to the earlier.
    through
        The property that leads to the earlier thing where `predicate` leads to the later one, both
        from something between them: from a tenure to its holder and to the work, from a
        substitution to what it came instead of and to what came. None where there is nothing
        between.
    says, said_back
        Its words seen from the later thing (``copied from``) and from the earlier (``copied as``).
    letter
        The letter that stands for it in pictures.
    kind
        ``descent``, ``shared`` moulds or flatware, ``work``; ``likeness`` and ``substitution``,
        which are neither.
    """

    key: str
    predicate: URIRef
    through: URIRef | None
    says: str
    said_back: str
    letter: str
    kind: str

    @property
    def descent(self) -> bool:
        """Whether the later thing comes from the earlier, so that ancestors can be followed."""
        return self.kind == "descent"

    @property
    def kindred(self) -> bool:
        """Whether it makes its two things members of one family."""
        return self.kind in ("descent", "shared")

    @property
    def mutual(self) -> bool:
        """Whether it says the same of both things."""
        return self.says == self.said_back


@cache
def relations() -> Mapping[str, LineageRelation]:
    """Read the kinds of tie, by key, in the order of the table."""
    text = Path(__file__).with_name("relations.csv").read_text(encoding="utf-8")
    found = {}
    for row in csv.DictReader(text.splitlines()):
        found[row["relation"]] = LineageRelation(
            row["relation"],
            GLOST[row["property"]],
            GLOST[row["through"]] if row["through"] else None,
            row["says"],
            row["said_back"],
            row["letter"],
            row["kind"],
        )
    return MappingProxyType(found)
