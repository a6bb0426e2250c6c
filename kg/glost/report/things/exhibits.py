"""What to put on the table: pieces that show a thing, and parts of pages that speak of it."""

import re
from collections import defaultdict
from collections.abc import Iterator

from rdflib import URIRef
from rdflib.namespace import DCTERMS, RDF
from rdflib.term import Node

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.report.things.basis import ThingBasis, kinds, place
from glost.report.things.said import Said
from glost.report.tree import Exhibit, Picture, Ref, Rule, Statement
from glost.words.english import count

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
    *(GLOST.ofShape, GLOST.form, GLOST.bearsTreatment, GLOST.numberRead, GLOST.bearsMark),
    *(GLOST.dateCodeRead, GLOST.feature, DCTERMS.description, GLOST.heldBy, GLOST.accession),
)
_NAMED = {GLOST.numberRead, GLOST.dateCodeRead, GLOST.heldBy, GLOST.accession}
_BOX = re.compile(r"xywh=(?:pixel:)?([\d.]+),([\d.]+),([\d.]+),([\d.]+)")
_COUNTED = Rule("Counted from the record")
_Box = tuple[float, float, float, float]


def exhibits(basis: ThingBasis, said: Said, thing: URIRef) -> tuple[Exhibit, ...]:
    """Choose pictures of a thing, parts of pages that speak of it, and pieces that show it."""
    shown = [*_own(basis, said, thing), *_pages(basis, said, thing)][:PAGES]
    return (*shown, *_pieces(basis, said, thing))


def _own(basis: ThingBasis, said: Said, thing: URIRef) -> Iterator[Exhibit]:
    for value in sorted(basis.belief.graph.objects(thing, GLOST.image), key=str):
        ref = said.ref(thing)
        statement = Statement((ref, ", as recorded."), said.resting((thing, GLOST.image, value)))
        yield Exhibit(statement, Picture(file_of(value), f"{ref.text}, as recorded."))


def _pages(basis: ThingBasis, said: Said, thing: URIRef) -> Iterator[Exhibit]:
    """Yield parts of pages on which claims about a thing rest."""
    belief = basis.belief
    places: dict[tuple[URIRef, str], list[Claim]] = defaultdict(list)
    for claim in sorted({*belief.about(thing), *belief.mentions(thing)}, key=place):
        if "xywh=" in claim.passage.region:
            image = claim.passage.region.rpartition("#")[0]
            places[claim.passage.source, image].append(claim)
    for (source, image), claims in sorted(places.items()):
        picture = picture_of(belief, source, image)
        if picture is None:
            continue
        rows = f": {count(len(claims), 'row')} recorded from the part shown."
        name = said.source(source)
        statement = Statement(("Page of ", name, rows), said.grounds(claims))
        text = f"Page of {name.text}{rows}"
        yield Exhibit(statement, Picture(file_of(picture), text, box=around(claims)))


def picture_of(belief: Belief, source: URIRef, image: str) -> Node | None:
    """Find the picture of a source that a region is of: the one named, or the only one."""
    pictures = sorted(set(belief.graph.objects(source, GLOST.image)), key=str)
    if image:
        return next((p for p in pictures if str(p).endswith(f"/{image}")), None)
    return pictures[0] if len(pictures) == 1 else None


def around(claims: list[Claim]) -> _Box | None:
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


def file_of(image: Node) -> str:
    """Return the path of an image relative to the collection's folder."""
    return f"images/{str(image).rsplit('/images/', 1)[-1]}"


def _pieces(basis: ThingBasis, said: Said, thing: URIRef) -> Iterator[Exhibit]:
    """Yield pieces that show a thing, those with most to show first, and how many more."""
    facts = basis.belief.graph
    found: dict[Node, Triple] = {
        piece: (piece, _SHOWN_BY[kind], thing)
        for kind in kinds(basis.belief, str(thing))
        if kind in _SHOWN_BY
        for piece in facts.subjects(_SHOWN_BY[kind], thing)
        if (piece, RDF.type, GLOST.Piece) in facts
    }

    def order(piece: Node) -> tuple[int, int, str]:
        features = len(set(facts.objects(piece, GLOST.feature)))
        told = sum((piece, property_, None) in facts for property_ in _TOLD)
        return -features, -told, str(piece)

    every = sorted(found, key=order)
    for piece in every[:PIECES]:
        yield _piece(basis, said, piece)
    rest = every[PIECES:]
    if rest:
        claims = [claim for piece in rest for claim in basis.belief.rests_on(found[piece])]
        grounds = (*said.grounds(claims), _COUNTED)
        yield Exhibit(Statement((f"{count(len(rest), 'more piece')} on record.",), grounds))


def _piece(basis: ThingBasis, said: Said, piece: Node) -> Exhibit:
    claims: list[Claim] = []
    parts: list[str | Ref] = []
    for property_ in _TOLD:
        for value in sorted(basis.belief.graph.objects(piece, property_), key=str):
            claims.extend(basis.belief.rests_on((piece, property_, value)))
            name = f"{said.name(property_)} " if property_ in _NAMED else ""
            told = said.value(value)
            parts += ["; " if parts else ": ", name]
            parts.append(told.rstrip(".") if isinstance(told, str) else told)
    ref = said.ref(piece)
    image = min(basis.belief.graph.objects(piece, GLOST.image), key=str, default=None)
    grounds = said.grounds(claims)
    if not grounds:
        grounds = said.grounds(basis.belief.about(str(piece)))
    picture = None if image is None else Picture(file_of(image), f"{ref.text}, a picture")
    return Exhibit(Statement((ref, *parts, "."), grounds), picture)
