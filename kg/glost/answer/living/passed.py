"""What a change did in a workspace, told to what questions are put to."""

from dataclasses import dataclass, field

from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.reason.rules import Triple
from glost.record.patching import Shift


class NotPatched(Exception):  # noqa: N818 - it is no error: all is made anew then
    """A change of which the store is made anew: it bears on everything."""


@dataclass(frozen=True)
class Passed:
    """What a change did in a workspace.

    Attributes
    ----------
    before, after
        The collection before and after it; of that before only what a change leaves as it is may
        be asked for.
    shift
        What it did to what is believed.
    told, untold
        Statements that the record makes of its claims now, and that it no longer makes.
    follows, falls
        Statements that follow now, and that no longer follow.
    given, taken
        The facts that the closure was given, and those that were taken from it.
    things
        IRIs of the things of which the chronology was reckoned again; None for all.
    renamed
        The things that may be called otherwise.
    """

    before: Snapshot = field(repr=False)
    after: Snapshot = field(repr=False)
    shift: Shift
    told: tuple[Triple, ...]
    untold: tuple[Triple, ...]
    follows: list[Triple]
    falls: list[Triple]
    given: tuple[Triple, ...]
    taken: tuple[Triple, ...]
    things: frozenset[str] | None
    renamed: frozenset[URIRef]
