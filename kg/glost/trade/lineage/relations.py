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
class Relation:
    """A kind of tie.

    Attributes
    ----------
    key
        Its short name: ``copied``.
    predicate
        The property that says it, from the later thing to the earlier; between a tenure and a
        work for ``work``.
    says, said_back
        Its words seen from the later thing (``copied from``) and from the earlier (``copied as``).
    letter
        The letter that stands for it in pictures.
    descent
        Whether the later thing comes from the earlier, so that ancestors can be followed.
    """

    key: str
    predicate: URIRef
    says: str
    said_back: str
    letter: str
    descent: bool

    @property
    def mutual(self) -> bool:
        """Whether it says the same of both things."""
        return self.says == self.said_back


@cache
def relations() -> Mapping[str, Relation]:
    """Read the kinds of tie, by key, in the order of the table."""
    text = Path(__file__).with_name("relations.csv").read_text(encoding="utf-8")
    found = {}
    for row in csv.DictReader(text.splitlines()):
        found[row["relation"]] = Relation(
            row["relation"],
            GLOST[row["property"]],
            row["says"],
            row["said_back"],
            row["letter"],
            row["descent"] == "yes",
        )
    return MappingProxyType(found)
