"""Groups of shapes where a question takes a shape: their members, and who counts them in."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import pyoxigraph as ox
from rdflib.namespace import PROV

from glost.answer.headers import Parameter, Pattern
from glost.names import GLOST

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


def members(store: ox.Store, group: str) -> tuple[str, ...]:
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


def memberships(store: ox.Store, making: Making, group: str) -> Iterator[Membership]:
    """Yield what sources say of each shape that any of them counts in a group or leaves out.

    Parameters
    ----------
    store
        The dataset.
    making
        Finds the claims that make a statement.
    group
        IRI of the group.
    """
    said = {
        verb: {
            shape: making(ox.Triple(ox.NamedNode(group), verb, ox.NamedNode(shape)))
            for shape in _objects(store, group, verb)
        }
        for verb in (_MEMBER, _LEFT_OUT)
    }
    naming = {source for by in said[_MEMBER].values() for source in _sources(store, by)}
    for shape in sorted({*said[_MEMBER], *said[_LEFT_OUT]}):
        counted, left_out = (said[verb].get(shape, set()) for verb in (_MEMBER, _LEFT_OUT))
        by, against = _sources(store, counted), _sources(store, left_out)
        yield _membership(group, shape, (by, against, naming - by - against), counted | left_out)


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


def _objects(store: ox.Store, group: str, verb: ox.NamedNode) -> set[str]:
    quads = store.quads_for_pattern(ox.NamedNode(group), verb, None, ox.DefaultGraph())
    return {quad.object.value for quad in quads if isinstance(quad.object, ox.NamedNode)}


def _sources(store: ox.Store, claims: set[str]) -> set[str]:
    found = (store.quads_for_pattern(ox.NamedNode(claim), _SOURCE, None) for claim in claims)
    return {str(getattr(quad.object, "value", "")) for quads in found for quad in quads}
