"""What is looked for beyond the SHACL constraints: each check is a module here, and names itself.

Such a module bears the name of what it looks at and ends with `CHECK`. Nothing else names it: a
module that is put here is made with every ``glost check``, is made again in a living workspace when
what it looked at changes, and tells on fact sheets what is in dispute about a thing if it says so.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import cast

from rdflib import URIRef
from rdflib.term import Node

from glost.answer.snapshot import Snapshot
from glost.findings import Finding
from glost.record.belief import Belief


@dataclass(frozen=True, slots=True)
class ByValue:
    """How a check is made of the values of one property of one thing.

    Attributes
    ----------
    properties
        Returns the properties whose values it looks at.
    find
        Yields what is found of the values of a property that a thing is given.
    least
        How many of them there must be for anything to be found.
    """

    properties: Callable[[], frozenset[URIRef]]
    find: Callable[[Snapshot, Belief, Node, URIRef], Iterable[Finding]]
    least: int = 1


@dataclass(frozen=True, slots=True)
class Check:
    """Something that is looked for.

    Attributes
    ----------
    find
        Yields what is found, given the collection and what is believed of it. Whatever it learns of
        what is believed it must take from the second, which may note what is looked at.
    disputes
        Whether what it finds is claims about things that cannot all be right, or that differ: fact
        sheets show it.
    timed
        Whether it looks at the chronology too.
    beyond
        Whether it looks at more than what is believed and the chronology: at proofs, at claims that
        are withdrawn. It must then be quick, for it is made again at every change.
    by_value
        How it is made of one thing's values, where it looks at those of one property at a time: a
        living workspace then makes it again of what changed alone.
    """

    find: Callable[[Snapshot, Belief], Iterable[Finding]]
    disputes: bool = False
    timed: bool = False
    beyond: bool = False
    by_value: ByValue | None = None


@cache
def checks() -> dict[str, Check]:
    """Return all checks by name."""
    names = sorted(path.stem for path in Path(__file__).parent.glob("[a-z]*.py"))
    modules = {name: import_module(f"{__name__}.{name}") for name in names}
    return {name: cast(Check, module.CHECK) for name, module in modules.items()}
