"""What can be drawn of a collection, by name."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from rdflib import URIRef

from glost.answer.desk import Desk
from glost.answer.groups import standing_for
from glost.answer.showing import find_thing
from glost.publish.pictures.crossings import crossing_picture
from glost.publish.pictures.family import family_tree
from glost.publish.pictures.firing import firing_history
from glost.publish.pictures.kiln import kiln_plan
from glost.publish.pictures.matrix import assortment_matrix
from glost.publish.pictures.of_assortments import assortment
from glost.publish.pictures.of_crossings import crossings
from glost.publish.pictures.of_family import family
from glost.publish.pictures.of_making import firing, plan
from glost.publish.pictures.of_production import production
from glost.publish.pictures.of_runs import KINDS, runs
from glost.publish.pictures.picture import Picture
from glost.publish.pictures.production import production_chart
from glost.publish.pictures.runs import run_chart
from glost.record.errors import RecordError, RecordErrors, suggestion


@dataclass(frozen=True, slots=True)
class Subject:
    """Something that can be drawn.

    Attributes
    ----------
    what
        What the picture shows.
    of
        What it may, or must, be asked of; empty if nothing.
    needed
        Whether it must be asked of something.
    draw
        Draws it, given the collection and what is asked (empty if nothing).
    """

    what: str
    of: str
    needed: bool
    draw: Callable[[Desk, str], Picture]


def _of(desk: Desk, of: str, *kinds: str) -> URIRef | None:
    """Find what a picture is asked of; None if it is asked of nothing."""
    return find_thing(desk.record, of, *kinds) if of else None


def _shapes(desk: Desk, of: str, *kinds: str) -> tuple[URIRef, ...]:
    """Find what a picture is asked of; of a group of shapes its members, of nothing nothing."""
    group = ("group",) if "group" in desk.record.ids else ()
    found = _of(desk, of, *kinds, *group)
    return () if found is None else standing_for(desk.belief, found, str(desk.path))


def _runs(desk: Desk, of: str) -> Picture:
    kind = of or "shapes"
    if kind not in KINDS and desk.record.names.find(of, ("group",)):
        return run_chart(runs(desk, "shapes", _of(desk, of, "group")))
    if kind not in KINDS:
        listed = ", ".join(KINDS)
        raise RecordErrors(
            [
                RecordError(
                    str(desk.record.collection.path),
                    f'there are no runs of "{of}"',
                    suggestion(of, KINDS, f"there are those of {listed}"),
                )
            ]
        )
    return run_chart(runs(desk, kind))


def _family(desk: Desk, of: str) -> Picture:
    return family_tree(family(desk, *_shapes(desk, of, "shape", "decal", "treatment")))


def _assortment(desk: Desk, of: str) -> Picture:
    return assortment_matrix(assortment(desk, *_shapes(desk, of, "shape", "pottery")))


def _crossings(desk: Desk, of: str) -> Picture:
    return crossing_picture(crossings(desk, _of(desk, of, "pottery")))


def _production(desk: Desk, of: str) -> Picture:
    return production_chart(production(desk, _of(desk, of, "pottery")))


def _plant(desk: Desk, of: str) -> Picture:
    return firing_history(firing(desk, find_thing(desk.record, of, "plant")))


def _kiln(desk: Desk, of: str) -> Picture:
    return kiln_plan(plan(desk, find_thing(desk.record, of, "kiln")))


def subjects() -> Mapping[str, Subject]:
    """Return what can be drawn, by name."""
    kinds = ", ".join(KINDS)
    found = {
        "runs": Subject("runs along a time axis", f"one of {kinds}", False, _runs),
        "family": Subject(
            "a family on a time axis", "any member; without one, every family", False, _family
        ),
        "assortment": Subject(
            "articles by lists or by shapes", "a shape, or a pottery", False, _assortment
        ),
        "crossings": Subject("treatments seen on other shapes", "a pottery", False, _crossings),
        "production": Subject("production through time", "a pottery", False, _production),
        "plant": Subject("kilns and capacity through time", "a plant", True, _plant),
        "kiln": Subject("zones to scale", "a kiln", True, _kiln),
    }
    return MappingProxyType(found)


def draw(desk: Desk, what: str, of: str = "") -> Picture:
    """Draw something of a collection.

    Parameters
    ----------
    desk
        The collection.
    what
        A key of `subjects`.
    of
        What it is asked of: a kind of things, or a thing by id, kind/id or name.

    Raises
    ------
    KeyError
        If there is no such subject.
    RecordErrors
        If it is asked of something that is not there, or of nothing where it must be.
    """
    subject = subjects()[what]
    if subject.needed and not of:
        where = str(desk.record.collection.path)
        raise RecordErrors([RecordError(where, f"{what} is drawn of {subject.of}", "name it")])
    return subject.draw(desk, of)
