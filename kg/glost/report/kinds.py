"""How readers are spoken to of each kind of thing: the last step of identifiers before the slug."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Kind:
    """How to speak of a kind of thing.

    Attributes
    ----------
    name
        The step of the identifiers that tells it.
    many, one, lead
        Heading of its list, name over a page, first words of its list.
    order
        Its place among the lists.
    """

    name: str
    many: str
    one: str
    lead: str
    order: int

    @property
    def href(self) -> str:
        """The file of its list."""
        return f"{self.name}/index.html"


@cache
def kinds() -> dict[str, Kind]:
    """Return the kinds that have words of their own, in order."""
    told = tomllib.loads(Path(__file__).with_name("kinds.toml").read_text(encoding="utf-8"))
    return {
        name: Kind(name, words["many"], words["one"], words["lead"], at)
        for at, (name, words) in enumerate(told.items())
    }


def kind(name: str) -> Kind:
    """Return how to speak of a kind; one without words of its own goes by its name."""
    known = kinds().get(name)
    return known or Kind(name, name.capitalize(), name.capitalize(), "", len(kinds()))
