"""What is looked for beyond the SHACL constraints: each check is a module here, and names itself.

Such a module bears the name of what it looks at and ends with `CHECK`. Nothing else names it: a
module that is put here is made with every ``glost check``, is made again in a living workspace when
what it looked at changes, and tells on fact sheets what is in dispute about a thing if it says so.
"""

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any, cast

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
        Yields what is found of the values of a property that a thing is given; last, it is given
        what `shared` makes.
    least
        How many of them there must be for anything to be found.
    shared
        Makes what is the same for all values, which is then made once; None if nothing is.
    of_shared
        Returns what is found of that by itself.
    alone
        Whether it hangs on these values alone if anything is found.
    """

    properties: Callable[[], frozenset[URIRef]]
    find: Callable[[Snapshot, Belief, Node, URIRef, Any], Iterable[Finding]]
    least: int = 1
    shared: Callable[[Snapshot, Belief], Any] | None = None
    of_shared: Callable[[Any], Iterable[Finding]] = lambda _: ()
    alone: bool = True


@dataclass(frozen=True, slots=True)
class OneByOne:
    """How a check is made of one of several things that the chronology tells.

    Attributes
    ----------
    every
        Returns them, each under a key that it has as long as it was not reckoned again.
    find
        Yields what is found of one.
    key
        Returns all that is told of one, but for the words of things: one reckoned again of which it
        is the same is found already.
    code
        Returns a text that tells one from every other of the same collection, the same whenever it
        is opened.
    """

    every: Callable[[Snapshot], Mapping[Hashable, Any]]
    find: Callable[[Snapshot, Belief, Any], Iterable[Finding]]
    key: Callable[[Any], Hashable]
    code: Callable[[Any], str]


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
    outside
        Whether it looks at files beside the tables: what it found must then be found anew whenever
        a collection is opened.
    by_value
        How it is made of one thing's values, where it looks at those of one property at a time: a
        living workspace then makes it again of what changed alone.
    one_by_one
        How it is made of one of the things it looks at, in the same way.
    """

    find: Callable[[Snapshot, Belief], Iterable[Finding]]
    disputes: bool = False
    timed: bool = False
    beyond: bool = False
    outside: bool = False
    by_value: ByValue | None = None
    one_by_one: OneByOne | None = None


@cache
def checks() -> dict[str, Check]:
    """Return all checks by name."""
    names = sorted(path.stem for path in Path(__file__).parent.glob("[a-z]*.py"))
    modules = {name: import_module(f"{__name__}.{name}") for name in names}
    return {name: cast(Check, module.CHECK) for name, module in modules.items()}
