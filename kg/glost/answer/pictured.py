"""Images that rows name and that cannot be shown."""

from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote

from rdflib import Graph, URIRef

from glost.findings import Finding, Severity
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.errors import RecordError, quoted
from glost.record.images import FOLDER, look
from glost.record.wording import label, sides


def image_findings(belief: Belief, top: Path, base: str, graph: Graph) -> Iterator[Finding]:
    """Find images that lead out of their folder, are not there, are none, or are too large.

    Parameters
    ----------
    belief
        What is believed.
    top
        The collection's folder.
    base
        The collection's base IRI.
    graph
        What is believed, with the vocabulary, for wording.
    """
    for thing, value in sorted(belief.graph.subject_objects(GLOST.image)):
        file = unquote(str(value)).removeprefix(base)
        fault = (
            look(top, file)
            if str(value).startswith(base)
            else RecordError(file, f"it stands outside {FOLDER}/", f"put a copy into {FOLDER}/")
        )
        if isinstance(fault, RecordError) and isinstance(thing, URIRef):
            claims = belief.rests_on((thing, GLOST.image, value))
            named = f"{label(thing, graph)}: the image {quoted(file)}"
            yield Finding(
                "image-not-shown",
                Severity.WARNING,
                (str(thing),),
                f"{named} cannot be shown: {fault.message}.",
                sides(claims, graph, [(thing, GLOST.image, value)]),
                f"{fault.remedy[:1].upper()}{fault.remedy[1:]}, or correct the row.",
            )
