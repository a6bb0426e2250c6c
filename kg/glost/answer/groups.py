"""Groups of shapes where a question takes a shape: their members, and who counts them in."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pyoxigraph as ox
from rdflib import URIRef
from rdflib.namespace import PROV, RDF

from glost.answer.headers import Parameter, Pattern
from glost.answer.store import Queried
from glost.names import GLOST
from glost.record.errors import RecordError, RecordErrors

if TYPE_CHECKING:  # a process that answers queries has no use for all that comes with it
    from glost.record.belief import Belief

_MEMBER = ox.NamedNode(str(GLOST.hasMember))
_LEFT_OUT = ox.NamedNode(str(GLOST.leavesOut))
_SOURCE = ox.NamedNode(str(PROV.hadPrimarySource))

Making = Callable[[ox.Triple], set[str]]
"""Gives the IRIs of the claims, of those believed, that make a statement."""


@dataclass(frozen=True, slots=True)
class Membership:
    """What sources say on whether a shape belongs to a group.

    Attributes
    ----------
    sentence
        The words for it, with ``{name}`` for each of the values.
    values
        IRIs of group, shape and sources, by name.
    claims
        IRIs of the claims that count the shape in or leave it out, sorted.
    """

    sentence: str
    values: Mapping[str, str]
    claims: tuple[str, ...]


def takes_group(parameter: Parameter) -> bool:
    """Say whether a group may stand for its members: wherever a shape is taken."""
    return "group" not in parameter.kinds and bool({"shape", "thing"} & set(parameter.kinds))


def members(store: Queried, group: str) -> tuple[str, ...]:
    """Return the IRIs of the shapes that some source counts in a group, sorted."""
    return tuple(sorted(_objects(store, group, _MEMBER)))


def evidence(groups: Mapping[str, str]) -> tuple[tuple[Pattern, ...], ...]:
    """Return patterns that find, for a row, the claims by which its shape is of the group.

    Parameters
    ----------
    groups
        IRIs of groups by the names of the parameters they were given for. Where the row does not
        say which of the members it is about, the claims of all of them are found.
    """
    return tuple(
        ((ox.NamedNode(group), _MEMBER, ox.Variable(name)),) for name, group in groups.items()
    )


def standing_for(belief: "Belief", thing: URIRef, where: str) -> tuple[URIRef, ...]:
    """Return the members of a group of shapes, sorted; of any other thing that itself.

    Parameters
    ----------
    belief
        What is believed.
    thing
        The thing.
    where
        What an error is about: the collection's path.

    Raises
    ------
    RecordErrors
        If the group has no members.
    """
    if (thing, RDF.type, GLOST.Group) not in belief.graph:
        return (thing,)
    shapes = {s for s in belief.graph.objects(thing, GLOST.hasMember) if isinstance(s, URIRef)}
    if not shapes:
        message = f"the group {str(thing).rsplit('/', 1)[-1]} has no members"
        remedy = "name the shapes a source counts in it, in groups.csv, column shape"
        raise RecordErrors([RecordError(where, message, remedy)])
    return tuple(sorted(shapes))


Said = Mapping[str, Mapping[str, Mapping[str, str]]]
"""For ``hasMember`` and ``leavesOut``: of each shape the claims that say so, with their sources."""


def said_in_store(store: Queried, making: Making, group: str) -> Said:
    """Return what a dataset's claims say of a group; `making` finds those of a statement."""
    return {
        verb.value: {
            shape: _sources(
                store, making(ox.Triple(ox.NamedNode(group), verb, ox.NamedNode(shape)))
            )
            for shape in _objects(store, group, verb)
        }
        for verb in (_MEMBER, _LEFT_OUT)
    }


def said_in_belief(belief: "Belief", group: URIRef) -> Said:
    """Return what the claims that are believed say of a group."""
    return {
        str(verb): {
            str(shape): {
                str(claim.iri): str(claim.passage.source)
                for claim in belief.rests_on((group, verb, shape))
            }
            for shape in belief.graph.objects(group, verb)
        }
        for verb in (GLOST.hasMember, GLOST.leavesOut)
    }


def memberships(said: Said, group: str) -> Iterator[Membership]:
    """Yield what sources say of each shape that any of them counts in a group or leaves out."""
    counted, left_out = said[_MEMBER.value], said[_LEFT_OUT.value]
    naming = {source for claims in counted.values() for source in claims.values()}
    for shape in sorted({*counted, *left_out}):
        by, against = set(counted.get(shape, {}).values()), set(left_out.get(shape, {}).values())
        claims = {*counted.get(shape, ()), *left_out.get(shape, ())}
        yield _membership(group, shape, (by, against, naming - by - against), claims)


def _membership(
    group: str, shape: str, sources: tuple[set[str], ...], claims: set[str]
) -> Membership:
    values = {"group": group, "shape": shape}
    listed = []
    for side, some in zip(("by", "against", "without"), sources, strict=True):
        names = [f"{side}{number}" for number in range(len(some))]
        values |= dict(zip(names, sorted(some), strict=True))
        listed.append(" and ".join(f"{{{name}}}" for name in names))
    counted, left_out, without = listed
    parts = [f"counted in {{group}} by {counted}"] * bool(counted)
    parts += [f"expressly left out of {{group}} by {left_out}"] * bool(left_out)
    parts += [f"not named among its members by {without}"] * bool(without)
    return Membership(f"{{shape}}: {'; '.join(parts)}.", values, tuple(sorted(claims)))


def _objects(store: Queried, group: str, verb: ox.NamedNode) -> set[str]:
    quads = store.quads_for_pattern(ox.NamedNode(group), verb, None, ox.DefaultGraph())
    return {quad.object.value for quad in quads if isinstance(quad.object, ox.NamedNode)}


def _sources(store: Queried, claims: set[str]) -> dict[str, str]:
    found = ((c, store.quads_for_pattern(ox.NamedNode(c), _SOURCE, None)) for c in sorted(claims))
    return {claim: str(getattr(q.object, "value", "")) for claim, quads in found for q in quads}
