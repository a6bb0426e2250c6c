"""When things ran, for pictures."""

from collections.abc import Iterable

from rdflib import Graph, URIRef

from glost.names import EDTF, GLOST
from glost.publish.pictures.model import Basis, Days, Life
from glost.record.belief import Belief
from glost.record.claims import Claim
from glost.record.dates import Margin
from glost.record.dates import read as read_date
from glost.record.wording import label


def basis(claims: Iterable[Claim], graph: Graph) -> Basis:
    """Tell what claims rest on."""
    ordered = sorted(set(claims), key=lambda c: (c.origin.file, c.origin.row, c.iri))
    passages = []
    for claim in ordered:
        place = f"{label(claim.passage.source, graph)}, {claim.passage.locator}".rstrip(", ")
        passages.append(place)
    return Basis(tuple(sorted(str(claim.iri) for claim in ordered)), tuple(dict.fromkeys(passages)))


class Lives:
    """When things ran, by what claims say of them."""

    def __init__(self, belief: Belief, graph: Graph, margin: Margin) -> None:
        self._belief, self._graph, self._margin = belief, graph, margin

    def point(self, point: URIRef) -> tuple[Days, bool]:
        dates = []
        for value in sorted(self._belief.graph.objects(point, GLOST.date), key=repr):
            if getattr(value, "datatype", None) == EDTF:
                dates.append(read_date(str(value), self._margin))
        early = [d.earliest for d in dates if d.earliest is not None]
        late = [d.latest for d in dates if d.latest is not None]
        if early and late and max(early) > min(late):
            return (min(early), max(late)), True
        return (max(early, default=None), min(late, default=None)), False

    def life(self, thing: URIRef) -> Life:
        begin, a = self.point(URIRef(f"{thing}#begin"))
        end, b = self.point(URIRef(f"{thing}#end"))
        return Life(begin, end, a or b)

    def basis(self, thing: URIRef, *points: str) -> Basis:
        claims = []
        for point in points or ("begin", "end"):
            subject = URIRef(f"{thing}#{point}")
            for value in self._belief.graph.objects(subject, GLOST.date):
                claims += self._belief.rests_on((subject, GLOST.date, value))
        return basis(claims, self._graph)
