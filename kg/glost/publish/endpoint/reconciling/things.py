"""The things of a published dataset that go by names, and what is said of them."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import pyoxigraph as ox
from rdflib import URIRef
from rdflib.namespace import DCTERMS, RDF, RDFS, SKOS, XSD

from glost.answer.alike import KINDS
from glost.data import concepts, vocabulary
from glost.names import GLOST, PREFIXES
from glost.report.things.said import capital
from glost.trade.linking.records import COLUMNS, TOLD, Thing, things_of
from glost.words.lookup import NAMING, Names

YEARS = (str(GLOST.notBeforeYear), str(GLOST.notAfterYear))
"""The first and the last year in which a thing may have begun or been made."""

_SHOWN = ("number", "maker", "kind", "words")
_POINTS = ("", "#begin", "#made")

Value = dict[str, object]
"""A value as a data extension gives it."""


@dataclass(frozen=True, slots=True)
class Named:
    """A type or a property.

    Attributes
    ----------
    id
        Its name in the vocabulary, ``Shape``, or with the prefix of another, ``rdfs:label``.
    iri
        The IRI.
    name, description
        Its label, and its definition; may be empty.
    """

    id: str
    iri: str
    name: str
    description: str


class PublishedThings:
    """The things of a published dataset that go by names.

    Parameters
    ----------
    store
        The dataset: what is believed and what follows, in its default graph.
    base
        Base IRI of the collection; ids are what follows it.

    Attributes
    ----------
    types
        The types there are, by IRI.
    type_of
        The type of each thing, by IRI.
    records
        The things as they are compared, in the order of their IRIs.
    names
        Everything they are called.
    """

    def __init__(self, store: ox.Store, base: str) -> None:
        self._store, self.base = store, base
        self.types = {each.iri: each for each in map(_named, sorted(KINDS.values()))}
        self.type_of = {thing: iri for iri in self.types for thing in self._of_class(iri)}
        values = {str(p): self._values(p) for p in dict.fromkeys((*TOLD, *NAMING))}
        iris = sorted(self.type_of)
        self.records = things_of(map(URIRef, iris), values, self._years)
        called = {i: [n for p in NAMING for n in values[str(p)].get(i, ())] for i in iris}
        self.names = Names(called)
        next(self.names.beginning("?"), None)  # made now, and not under the first request

    def thing(self, text: str) -> str | None:
        """Return the thing with an id, ``shape/alder`` or its IRI; None if there is none."""
        iri = text if text.startswith(self.base) else self.base + text
        return iri if iri in self.type_of else None

    def id(self, iri: str) -> str:
        """Return the id of a thing."""
        return iri.removeprefix(self.base)

    def name(self, iri: str) -> str:
        """Return what a thing is called."""
        names = sorted(self._texts(iri, SKOS.prefLabel) or self._texts(iri, RDFS.label))
        return names[0] if names else self.id(iri)

    def description(self, iri: str) -> str:
        """Return what tells a thing apart: its kind, who made it, when it began or was made."""
        record = self._by_iri[iri]
        parts = [self.types[self.type_of[iri]].name]
        makers = (self._nodes(iri, each) for each in COLUMNS["maker"])
        maker = next((node.value for nodes in makers for node in nodes), None)
        parts += [self.called(maker)] if maker else []
        if record.years:
            first, last = (f"{year:g}" for year in record.years)
            parts.append(first if first == last else f"{first}–{last}")
        return ", ".join(parts)

    def beginning(self, text: str) -> Iterator[str]:
        """Yield the things that a text names, and those of which a name begins with it."""
        exact = self.names.find(text, whole=True) if text.strip() else ()
        yield from exact
        yield from (each for each in self.names.beginning(text) if each not in exact)

    def values(self, iri: str, property_: str) -> list[Value]:
        """Return the values of a thing's property, as a data extension gives them; sorted."""
        if property_ in YEARS:
            years = self._by_iri[iri].years
            return [{"int": int(years[YEARS.index(property_)])}] if years else []
        made = [self._value(node) for node in self._nodes(iri, property_)]
        return sorted(made, key=lambda value: [str(each) for each in value.values()])

    def _value(self, node: ox.NamedNode | ox.Literal) -> Value:
        if isinstance(node, ox.NamedNode):
            if node.value in self.type_of:
                return {"id": self.id(node.value), "name": self.name(node.value)}
            return {"str": self.called(node.value)}
        kind = URIRef(node.datatype.value)
        try:
            if kind in (XSD.integer, XSD.nonNegativeInteger, XSD.positiveInteger):
                return {"int": int(node.value)}
            if kind in (XSD.decimal, XSD.double):
                return {"float": float(node.value)}
        except ValueError:
            pass
        return {"str": node.value}

    def called(self, value: str) -> str:
        """Return what a value is called: a thing or a term by name, anything else as it stands."""
        if value in self.type_of:
            return self.name(value)
        return (_label(value) if value.startswith(("http://", "https://")) else "") or value

    @cached_property
    def shown(self) -> tuple[str, ...]:
        """The properties that a preview shows, if a thing has them."""
        wanted = (SKOS.altLabel, *(p for c in _SHOWN for p in COLUMNS[c]), DCTERMS.description)
        return tuple(str(each) for each in dict.fromkeys(wanted) if str(each) in self.properties)

    # -- properties --------------------------------------------------------------------------------

    @cached_property
    def properties(self) -> dict[str, Named]:
        """The properties that things have, and those by which dates are told, by IRI."""
        used = {each for found in self._used.values() for each in found}
        every = sorted({*used, *YEARS, str(GLOST.sourceDate)} - {str(RDF.type)})
        return {each: _named(each) for each in every}

    def properties_of(self, type_: str) -> list[Named]:
        """Return the properties that things of a type have, by name."""
        found = {*self._used.get(type_, ()), *YEARS} - {str(RDF.type)}
        return sorted(
            (self.properties[each] for each in found), key=lambda each: (each.name, each.id)
        )

    @cached_property
    def _used(self) -> dict[str, set[str]]:
        found: dict[str, set[str]] = defaultdict(set)
        for thing, type_ in self.type_of.items():
            for each in self._store.quads_for_pattern(
                ox.NamedNode(thing), None, None, ox.DefaultGraph()
            ):
                found[type_].add(each.predicate.value)
        return found

    # -- the store ---------------------------------------------------------------------------------

    @cached_property
    def _by_iri(self) -> dict[str, Thing]:
        return {str(each.iri): each for each in self.records}

    def _of_class(self, iri: str) -> Iterator[str]:
        kind, default = ox.NamedNode(iri), ox.DefaultGraph()
        for each in self._store.quads_for_pattern(None, ox.NamedNode(RDF.type), kind, default):
            if isinstance(each.subject, ox.NamedNode) and each.subject.value.startswith(self.base):
                yield each.subject.value

    def _values(self, property_: str) -> dict[str, list[str]]:
        found: dict[str, set[str]] = defaultdict(set)
        for each in self._store.quads_for_pattern(
            None, ox.NamedNode(property_), None, ox.DefaultGraph()
        ):
            thing, value = each.subject, each.object
            if isinstance(value, ox.Literal | ox.NamedNode) and isinstance(thing, ox.NamedNode):
                found[thing.value].add(value.value)
        return {thing: sorted(values) for thing, values in found.items()}

    def _nodes(self, iri: str, property_: str) -> list[ox.NamedNode | ox.Literal]:
        found = self._store.quads_for_pattern(
            ox.NamedNode(iri), ox.NamedNode(property_), None, ox.DefaultGraph()
        )
        made = {e.object for e in found if isinstance(e.object, ox.NamedNode | ox.Literal)}
        return sorted(made, key=str)

    def _texts(self, iri: str, property_: str) -> list[str]:
        return [node.value for node in self._nodes(iri, property_)]

    def _years(self, iri: URIRef) -> tuple[float, float] | None:
        for point in _POINTS:
            first, last = (self._texts(f"{iri}{point}", each) for each in YEARS)
            if first and last:
                return float(first[0]), float(last[0])
        return None


_SPACES = {str(space): prefix for prefix, space in PREFIXES.items()}


def _named(iri: str) -> Named:
    name = _label(iri)
    definition = min(map(str, vocabulary().objects(URIRef(iri), SKOS.definition)), default="")
    space = next((each for each in _SPACES if iri.startswith(each)), "")
    prefix = _SPACES.get(space, "")
    local = iri.removeprefix(space)
    id_ = local if prefix == "glost" else f"{prefix}:{local}" if prefix else iri
    return Named(id_, str(iri), capital(name) or local, definition)


def _label(iri: str) -> str:
    """Return what a term is called; empty if nothing is known of it."""
    for graph in (vocabulary(), concepts()):
        for each in (RDFS.label, SKOS.prefLabel):
            names = sorted(map(str, graph.objects(URIRef(iri), each)))
            if names:
                return names[0]
    return ""
