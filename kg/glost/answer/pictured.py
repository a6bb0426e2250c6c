"""Images that rows name and that cannot be shown."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote

from rdflib import Graph, URIRef
from rdflib.term import Node

from glost.findings import Finding, Severity, Side
from glost.names import GLOST
from glost.record.errors import RecordError, quoted
from glost.record.images import FOLDER, look
from glost.words.labels import Words, label
from glost.words.sentences import sides

if TYPE_CHECKING:
    from glost.record.belief import Belief
    from glost.record.collection import Collection

KIND = "image-not-shown"


@dataclass(frozen=True, slots=True)
class NamedImage:
    """An image that is said to show a thing.

    Attributes
    ----------
    thing, value
        IRI of the thing, and of the image.
    name
        What the thing is called.
    sides
        What each claim says that names the image.
    """

    thing: str
    value: str
    name: str
    sides: tuple[Side, ...]

    def as_list(self) -> list[Any]:
        """Return it as plain values, for JSON."""
        told = [{name: getattr(s, name) for name in Side.__dataclass_fields__} for s in self.sides]
        return [self.thing, self.value, self.name, told]


def images_named(belief: "Belief", graph: Graph | Words) -> Iterator[NamedImage]:
    """Yield every image that is named, sorted by the thing it shows.

    Parameters
    ----------
    belief
        What is believed.
    graph
        What is believed, with the vocabulary, for wording.
    """
    for thing in sorted(set(belief.graph.subjects(GLOST.image)), key=str):
        yield from _named(thing, belief, graph)


def _named(thing: Node, belief: "Belief", graph: Graph | Words) -> Iterator[NamedImage]:
    for value in sorted(belief.graph.objects(thing, GLOST.image), key=str):
        if isinstance(thing, URIRef):
            said = (thing, GLOST.image, value)
            told = sides(belief.rests_on(said), graph, [said])
            yield NamedImage(str(thing), str(value), label(thing, graph), told)


def image_findings(
    belief: "Belief", collection: "Collection", graph: Graph | Words
) -> Iterator[Finding]:
    """Find images that lead out of their folder, are not there, are none, or are too large.

    Parameters
    ----------
    belief
        What is believed.
    collection
        The collection's settings.
    graph
        What is believed, with the vocabulary, for wording.
    """
    for named in images_named(belief, graph):
        yield from image_finding(named, collection)


def images_of(
    thing: Node, belief: "Belief", collection: "Collection", graph: Graph | Words
) -> Iterator[Finding]:
    """Find the images of one thing that cannot be shown; see `image_findings`."""
    for named in _named(thing, belief, graph):
        yield from image_finding(named, collection)


def image_finding(named: NamedImage, collection: "Collection") -> Iterator[Finding]:
    """Tell why an image cannot be shown; nothing if it can."""
    held = collection.holding(named.value)
    file = unquote(named.value).removeprefix(held.base if held is not None else "")
    fault = (
        look(held.path, file)
        if held is not None
        else RecordError(file, f"it stands outside {FOLDER}/", f"put a copy into {FOLDER}/")
    )
    if isinstance(fault, RecordError):
        yield Finding(
            KIND,
            Severity.WARNING,
            (named.thing,),
            f"{named.name}: the image {quoted(file)} cannot be shown: {fault.message}.",
            named.sides,
            f"{fault.remedy[:1].upper()}{fault.remedy[1:]}, or correct the row.",
        )
