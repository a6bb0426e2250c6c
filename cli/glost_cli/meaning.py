"""What a command is asked of: a thing, or a group of shapes that stands for its members."""

from dataclasses import dataclass
from typing import Any

import click
from rdflib import URIRef

from glost.answer.groups import Membership, memberships, said_in_belief, standing_for
from glost.answer.headers import filled
from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.record.store import Recorded
from glost.words.labels import label
from glost.words.lookup import names_of
from glost_cli import printing


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

    def print_heading(self, snapshot: Snapshot) -> None:
        """Print the group with its members, and who says so; of a thing nothing."""
        if self.group is not None:
            count = len(self.things)
            shapes = "one shape" if count == 1 else f"{count} shapes"
            click.echo(f"{label(self.group, snapshot.labels)}, a group of {shapes}")
            for each in self.members:
                click.echo(f"    {_says(each, snapshot)}")
            click.echo()

    def print_json(self, snapshot: Snapshot, answers: list[Any]) -> None:
        """Print the answer for the thing; of a group who counts what in it, and each answer."""
        if self.group is None:
            printing.as_json(answers[0])
            return
        members = [
            {"shape": m.values["shape"], "says": _says(m, snapshot), "claims": list(m.claims)}
            for m in self.members
        ]
        printing.as_json({"group": str(self.group), "members": members, "of_each": answers})


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
