"""What a command is asked of: a thing, or a group of shapes that stands for its members."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rdflib import URIRef

from glost.answer.groups import Membership, memberships, said_in_belief, standing_for
from glost.answer.headers import filled
from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.record.store import Recorded
from glost.report.things.said import Said
from glost.report.tree import Report, Statement, together
from glost.words.labels import label
from glost.words.lookup import names_of


@dataclass(frozen=True, slots=True)
class Meant:
    """What a name means to a command.

    Attributes
    ----------
    things
        The thing; of a group its members, sorted.
    group
        The group; None if it is a thing of another kind.
    members
        Who counts which shapes in the group.
    """

    things: tuple[URIRef, ...]
    group: URIRef | None = None
    members: tuple[Membership, ...] = ()

    def report(self, snapshot: Snapshot, said: Said, made: Sequence[Report]) -> Report:
        """Return the report of the thing; of a group who counts what in it, and all reports."""
        if self.group is None:
            return made[0]
        count = len(self.things)
        shapes = "one shape" if count == 1 else f"{count} shapes"
        name = f"{label(self.group, snapshot.labels)}, a group of {shapes}"
        return together(made, name, str(self.group), tuple(self.counted(snapshot, said)))

    def counted(self, snapshot: Snapshot, said: Said) -> Iterator[Statement]:
        """Tell of each member of the group who counts it in, or leaves it out."""
        for each in self.members:
            claims = map(snapshot.stored.claim, each.claims)
            grounds = said.passages(claim for claim in claims if claim is not None)
            yield Statement((_says(each, snapshot),), grounds)


def _says(member: Membership, snapshot: Snapshot) -> str:
    return filled(member.sentence, lambda name: label(URIRef(member.values[name]), snapshot.labels))


def meant(snapshot: Snapshot, name: str, *kinds: str, record: Recorded | None = None) -> Meant:
    """Find what a user means: a thing of some kinds, or a group where a shape may stand.

    Parameters
    ----------
    snapshot
        The collection.
    name
        What the user calls it.
    kinds
        The kinds of thing it may be; any if none is given.
    record
        Where it is looked up, if not in the record as read.

    Raises
    ------
    RecordErrors
        If nothing or several things are called that, or if the group has no members.
    """
    record = record or snapshot.record
    belief = record.believed(snapshot.as_of)
    wanted = (*kinds, "group") if "shape" in kinds and "group" in record.ids else kinds
    iri = find_thing(record, name, *wanted)
    things = standing_for(belief, iri, str(snapshot.path))
    if things == (iri,):
        return Meant(things)
    return Meant(things, iri, tuple(memberships(said_in_belief(belief, iri), str(iri))))


def group_meant(snapshot: Snapshot, name: str) -> Meant | None:
    """Return the group of shapes that a name means; None if it means nothing or something else.

    Raises
    ------
    RecordErrors
        If the group has no members.
    """
    if not name:
        return None
    names = names_of(snapshot.record)
    if not names.find(name, ("group",)) or names.find(name, ("shape",)):
        return None
    return meant(snapshot, name, "shape")
