"""What a row of a named question rests on, from the dataset and what a site says follows."""

from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from urllib.parse import unquote

import pyoxigraph as ox
from rdflib.namespace import PROV, RDF

from glost.answer.evidence import MEMBER, Finder
from glost.answer.headers import Header
from glost.names import GLOST
from glost.record.terms import Term
from glost.report.tree import CitedClaim, Ref

_TYPE, _CLAIM = ox.NamedNode(str(RDF.type)), ox.NamedNode(str(GLOST.Claim))
_WITHDRAWN = ox.NamedNode(str(GLOST.withdrawnByClaim))
_SOURCE = ox.NamedNode(str(PROV.hadPrimarySource))
_PASSAGE = ox.NamedNode(str(GLOST.restsOn))
_LOCATOR = ox.NamedNode(str(GLOST.locator))
_CERTAINTY = ox.NamedNode(str(GLOST.certainty))
_KEPT = 1 << 14
_LABELS = (
    "http://www.w3.org/2004/02/skos/core#prefLabel",
    "http://www.w3.org/2000/01/rdf-schema#label",
    "http://purl.org/dc/terms/title",
)


def following(folder: Path) -> Path:
    """Return where the store of statements that follow lies, beside that of the dataset."""
    return folder.with_name(f"{folder.name}-grounds")


def name_of(iri: str, store: ox.Store) -> str:
    """Return the first name of a thing in the order of `_LABELS`, then of the alphabet."""
    if not iri:
        return ""
    thing = ox.NamedNode(iri)
    for label in _LABELS:
        quads = store.quads_for_pattern(thing, ox.NamedNode(label), None, ox.DefaultGraph())
        names = sorted(quad.object.value for quad in quads if isinstance(quad.object, ox.Literal))
        if names:
            return names[0]
    return ""


class Grounds:
    """Finds the claims under rows.

    Parameters
    ----------
    store
        The dataset.
    following
        Statements that follow, as `glost.publish.data.grounds` writes them; None if unknown.
    base
        Base IRI of the collection.
    """

    def __init__(self, store: ox.Store, following: ox.Store | None, base: str) -> None:
        self._store = store
        self._following = following
        self.base = base
        self._record = ox.NamedNode(f"{base}record")
        self._finder = Finder(store, self._known, self._holds, self._under)
        self.cited = lru_cache(maxsize=_KEPT)(self._cited)

    def under(self, header: Header, row: dict[str, Term | None]) -> set[str]:
        """Return the IRIs of the claims under a row of a question."""
        return self._finder.claims(header.evidence, header.claims, row)

    def making(self, triple: ox.Triple) -> set[str]:
        """Return the IRIs of the claims, of those believed, that make a statement themselves."""
        return self._finder.making(triple)

    def _cited(self, iri: str) -> tuple[Ref, CitedClaim]:
        """Return the source that a claim rests on, and the claim with its place in it."""
        source = self._value(iri, _SOURCE)
        passage = self._value(iri, _PASSAGE)
        certainty = self._value(iri, _CERTAINTY)
        name = name_of(source, self._store) or unquote(source.rpartition("/")[2])
        return Ref(source, name or "the claim"), CitedClaim(
            iri,
            "",
            self._value(passage, _LOCATOR) if passage else "",
            certainty.replace("#", "/").rpartition("/")[2],
            withdrawn="" if self._holds(iri) else "withdrawn",
        )

    def _known(self, iri: str) -> bool:
        return ox.Quad(ox.NamedNode(iri), _TYPE, _CLAIM, self._record) in self._store

    def _holds(self, iri: str) -> bool:
        return self._known(iri) and not self._value(iri, _WITHDRAWN)

    def _under(self, triple: ox.Triple) -> Iterator[str]:
        if self._following is None or isinstance(triple.subject, ox.Triple):
            return
        quads = self._following.quads_for_pattern(triple.subject, triple.predicate, triple.object)
        for name in (quad.graph_name for quad in quads):
            if isinstance(name, ox.NamedNode):
                gathered = self._following.quads_for_pattern(name, MEMBER, None)
                yield from [getattr(q.object, "value", "") for q in gathered] or [name.value]

    def _value(self, subject: str, predicate: ox.NamedNode) -> str:
        """Return a value that the record's graph gives, the first by the alphabet; or nothing."""
        quads = self._store.quads_for_pattern(ox.NamedNode(subject), predicate, None, self._record)
        return min((str(getattr(quad.object, "value", "")) for quad in quads), default="")
