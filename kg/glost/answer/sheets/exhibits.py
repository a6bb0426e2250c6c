"""What to put on the table: pieces that show a thing, and pages that speak of it."""

import re
from collections import defaultdict
from collections.abc import Iterator

from rdflib import Graph, URIRef
from rdflib.namespace import DCTERMS, RDF
from rdflib.term import Node

from glost.answer.sheets.model import Crop, Exhibit, Note, Statement
from glost.answer.sheets.notes import notes_of, source_name
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.words.labels import called, label

PIECES = 12
"""So many pieces are shown at most."""
PAGES = 6
"""So many pages are shown at most."""

_SHOWN_BY = {
    "Shape": GLOST.ofShape,
    "Treatment": GLOST.bearsTreatment,
    "Decal": GLOST.bearsDecal,
    "Mark": GLOST.bearsMark,
    "Glaze": GLOST.bearsGlaze,
    "Pottery": GLOST.madeBy,
}
_TOLD = (
    GLOST.ofShape,
    GLOST.form,
    GLOST.bearsTreatment,
    GLOST.numberRead,
    GLOST.bearsMark,
    GLOST.dateCodeRead,
    GLOST.feature,
    DCTERMS.description,
    GLOST.heldBy,
    GLOST.accession,
)
_BOX = re.compile(r"xywh=(?:pixel:)?([\d.]+),([\d.]+),([\d.]+),([\d.]+)")


def pages(belief: Belief, graph: Graph, thing: URIRef) -> Iterator[Exhibit]:
    """Yield the pictures of a thing itself, then parts of pages on which claims about it rest."""
    for value in belief.values(thing, GLOST.image):
        claims = belief.rests_on((thing, GLOST.image, value))
        text = f"{label(thing, graph)}, as recorded."
        yield Exhibit(Statement(text, notes_of(claims, graph)), _crop(value, None, text))
    places: dict[tuple[URIRef, str], list[Claim]] = defaultdict(list)
    for claim in sorted({*belief.about(thing), *belief.mentions(thing)}, key=_place):
        if "xywh=" in claim.passage.region:
            image = claim.passage.region.rpartition("#")[0]
            places[claim.passage.source, image].append(claim)
    for (source, image), claims_there in sorted(places.items()):
        picture = _picture(belief, source, image)
        if picture is not None:
            box = _around(claims_there)
            count = f"{len(claims_there)} row{'' if len(claims_there) == 1 else 's'} recorded"
            text = f"Page of “{source_name(source, graph)}”: {count} from the part shown."
            statement = Statement(text, notes_of(claims_there, graph))
            yield Exhibit(statement, _crop(picture, box, text))


def _place(claim: Claim) -> tuple[str, int, str]:
    return claim.origin.file, claim.origin.row, str(claim.iri)


def _picture(belief: Belief, source: URIRef, image: str) -> Node | None:
    """Find the picture of a source that a region is of: the one named, or the only one."""
    pictures = belief.values(source, GLOST.image)
    if image:
        return next((p for p in pictures if str(p).endswith(f"/{image}")), None)
    return pictures[0] if len(pictures) == 1 else None


def _around(claims: list[Claim]) -> tuple[float, float, float, float] | None:
    """Return the box around all regions; None if any is not given in pixels."""
    boxes = []
    for claim in claims:
        found = _BOX.search(claim.passage.region)
        if found is None:
            return None
        boxes.append(tuple(float(part) for part in found.groups()))
    left, top = min(b[0] for b in boxes), min(b[1] for b in boxes)
    right, foot = max(b[0] + b[2] for b in boxes), max(b[1] + b[3] for b in boxes)
    return left, top, right - left, foot - top


def _crop(picture: Node, box: tuple[float, float, float, float] | None, text: str) -> Crop:
    return Crop(f"images/{str(picture).rsplit('/images/', 1)[-1]}", box, text)


def pieces(
    belief: Belief, graph: Graph, thing: URIRef, kinds: tuple[str, ...]
) -> tuple[list[Exhibit], Statement | None]:
    """Choose pieces that show a thing: those with most to show first.

    Returns
    -------
    tuple
        The exhibits, and how many pieces on record are not among them; None if there are none.
    """
    facts = belief.graph
    found = {
        piece: (piece, _SHOWN_BY[kind], thing)
        for kind in kinds
        if kind in _SHOWN_BY
        for piece in facts.subjects(_SHOWN_BY[kind], thing)
        if (piece, RDF.type, GLOST.Piece) in facts
    }

    def order(piece: Node) -> tuple[int, int, str]:
        features = len(set(facts.objects(piece, GLOST.feature)))
        told = sum((piece, property_, None) in facts for property_ in _TOLD)
        return -features, -told, str(piece)

    every = sorted(found, key=order)
    chosen, rest = every[:PIECES], every[PIECES:]
    more = None
    if rest:
        claims = [claim for piece in rest for claim in belief.rests_on(found[piece])]
        note = Note("Counted from the record", "reckoned", tuple(claims))
        count = f"{len(rest)} more piece{'' if len(rest) == 1 else 's'} on record."
        more = Statement(count, [note])
    return [_piece(belief, graph, piece) for piece in chosen], more


def _piece(belief: Belief, graph: Graph, piece: Node) -> Exhibit:
    claims: list[Claim] = []
    said = []
    for property_ in _TOLD:
        for value in belief.values(piece, property_):
            triple: Triple = (piece, property_, value)
            claims.extend(belief.rests_on(triple))
            said.append(_worded(property_, value, graph))
    text = f"{label(piece, graph)}: {'; '.join(said)}".rstrip(".") + "."
    image = min(belief.graph.objects(piece, GLOST.image), key=str, default=None)
    crop = None if image is None else _crop(image, None, f"{label(piece, graph)}, a picture")
    return Exhibit(Statement(text, notes_of(claims, graph)), crop)


def _worded(property_: URIRef, value: Node, graph: Graph) -> str:
    text = called(value, graph)
    if property_ in (GLOST.numberRead, GLOST.dateCodeRead, GLOST.heldBy, GLOST.accession):
        return f"{label(property_, graph)} {text}"
    return text.rstrip(".")
