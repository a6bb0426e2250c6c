"""Things as records of Linked Art 1.0 (linked.art), a JSON document each.

What is told, and how, stands in ``ontology/alignments/linked_art_paths.csv``, in the notation of
the paths into the CRM; classes and properties have the names that Linked Art's own context gives
them (``linked_art_context.jsonld``). What a record holds only for itself, a name or a time-span,
stands in it; all else is referred to by identifier.
"""

import json
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import pyoxigraph as ox
from rdflib import URIRef
from rdflib.namespace import RDF, RDFS

from glost.data import folder
from glost.names import CRM, SCHEMES
from glost.publish.data.crm import mapped
from glost.publish.data.described import json_bytes
from glost.publish.site.holdings import SiteContents

TABLE = "linked_art_paths"
"""The table of paths, in ``ontology/alignments/``."""

CONTEXT = "https://linked.art/ns/v1/linked-art.json"
"""What each record names as its context; nothing here fetches it."""

FOLDERS = {
    "HumanMadeObject": "object", "Group": "group", "Person": "person", "Type": "concept",
    "Material": "concept", "VisualItem": "visual", "LinguisticObject": "text", "Place": "place",
}  # fmt: skip
"""The folder of records of each class, as Linked Art names its endpoints."""

_OWN = {"Name", "Identifier", "Production", "TimeSpan", "Creation", "Formation", "Dissolution"}
"""Classes of what stands within a record; so do statements, which have content."""

_CONTENT = ox.NamedNode(str(CRM.P190_has_symbolic_content))
_TYPE, _LABEL = str(RDF.type), str(RDFS.label)
Json = dict[str, object]


@dataclass(frozen=True, slots=True)
class _Term:
    """What the context says of a key.

    Attributes
    ----------
    key
        The key.
    many
        Whether its values are a list even if there is one.
    """

    key: str
    many: bool


@cache
def _context() -> tuple[dict[str, str], dict[str, dict[str, _Term]]]:
    """Return the keys of classes by IRI, and those of properties by IRI for each such key.

    The properties of any class stand under the empty key; a class may give some other names.
    """
    path = folder("ontology") / "alignments" / "linked_art_context.jsonld"
    told = json.loads(path.read_text(encoding="utf-8"))["@context"]
    classes: dict[str, str] = {}
    for key, value in told.items():
        if isinstance(value, dict) and key[:1].isupper():
            classes.setdefault(_whole(value["@id"], told), key)
    scopes = {"": told} | {key: told[key].get("@context", {}) for key in classes.values()}
    return classes, {name: _terms(scope, told) for name, scope in scopes.items()}


def _terms(scope: Mapping[str, object], told: Mapping[str, object]) -> dict[str, _Term]:
    return {
        _whole(value["@id"], told): _Term(key, value.get("@container") == "@set")
        for key, value in sorted(scope.items())
        if isinstance(value, dict) and "@id" in value and not key[:1].isupper()
    }


def _whole(name: str, told: Mapping[str, object]) -> str:
    prefix, colon, rest = name.partition(":")
    space = told.get(prefix)
    return f"{space}{rest}" if colon and isinstance(space, str) else name


class _Records:
    def __init__(self, holdings: SiteContents) -> None:
        self._holdings = holdings
        self.base = holdings.base
        self._told: dict[str, list[tuple[str, ox.NamedNode | ox.Literal]]] = defaultdict(list)
        self.kinds: dict[str, str] = {}
        classes, self._keys = _context()
        for each in sorted(mapped(holdings, TABLE), key=str):
            subject, value = each.subject, each.object
            assert isinstance(subject, ox.NamedNode)
            assert isinstance(value, ox.NamedNode | ox.Literal)
            if each.predicate.value == _TYPE:
                self.kinds[subject.value] = classes[value.value]
            else:
                self._told[subject.value].append((each.predicate.value, value))

    def of(self, iri: str) -> Json:
        """Return the record of a thing."""
        record: Json = {"@context": CONTEXT, **self._named(iri)}
        return record | self._properties(iri, iri)

    def _named(self, iri: str) -> Json:
        labels = [str(v.value) for p, v in self._told.get(iri, ()) if p == _LABEL]
        if not labels and iri.startswith((self.base, SCHEMES)):
            labels = [self._holdings.words.label(URIRef(iri))]
        named: Json = {"id": iri, "type": self.kinds[iri]}
        if labels:
            named["_label"] = labels[0]
        return named

    def _properties(self, iri: str, whole: str) -> Json:
        found: Json = {}
        kind = self.kinds[iri]
        for property_, value in self._told.get(iri, ()):
            term = self._keys[""].get(property_) or self._keys[kind].get(property_)
            if term is None:
                raise KeyError(f"Linked Art's context has no key for {property_} of {kind}")
            if term.key == "_label":
                continue
            said = self._value(value, whole)
            if said is None:
                continue
            if term.many:
                held = found.setdefault(term.key, [])
                assert isinstance(held, list)
                held.append(said)
            else:
                found.setdefault(term.key, said)
        return dict(sorted(found.items()))

    def _value(self, value: ox.NamedNode | ox.Literal, whole: str) -> object:
        if isinstance(value, ox.Literal):
            return value.value
        iri = value.value
        if iri not in self.kinds:
            return None  # nothing that Linked Art could refer to
        if iri.startswith(f"{whole}#") and self._stands_within(iri):
            return {"type": self.kinds[iri], **self._properties(iri, whole)}
        return self._named(iri)

    def _stands_within(self, iri: str) -> bool:
        content = any(property_ == _CONTENT.value for property_, _ in self._told.get(iri, ()))
        return content or self.kinds[iri] in _OWN


def records(holdings: SiteContents) -> dict[str, str]:
    """Return a record of each thing that Linked Art has records for, by its file.

    Parameters
    ----------
    holdings
        The collection, ready to be published.

    Returns
    -------
    dict
        JSON-LD by ``object/wv-056.json`` and the like, sorted. Sources that are pieces are told as
        pieces alone.
    """
    made = _Records(holdings)
    found = {}
    for iri, kind in sorted(made.kinds.items()):
        local = iri.removeprefix(made.base)
        if local != iri and "#" not in local and local.count("/") == 1 and kind in FOLDERS:
            found[f"{FOLDERS[kind]}/{local.replace('/', '.')}.json"] = json_bytes(
                made.of(iri)
            ).decode()
    return found
