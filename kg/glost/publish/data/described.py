"""Each identifier of a collection as data: Turtle, JSON-LD and N-Quads beside its page."""

import json
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import chain

import pyoxigraph as ox
from rdflib import Literal, URIRef
from rdflib.namespace import RDF, RDFS, VOID
from rdflib.term import Node

from glost.names import OA, PREFIXES
from glost.publish.site.holdings import GRAPHS, SiteContents
from glost.publish.site.noted import Looks
from glost.record.claims import Triple
from glost.record.terms import named, to_oxigraph

CONTEXT = "data/context.jsonld"
"""The context of every JSON-LD file; it lies in the site and is found by a relative address."""

NAMESPACES = {**{name: str(space) for name, space in PREFIXES.items()}, "void": str(VOID)}
"""The prefixes that data is written with."""

Quad = tuple[Node, Node, Node, URIRef | None]

_DEFAULT = ox.DefaultGraph()


def context_file() -> tuple[str, bytes]:
    """Return the shipped context: the prefixes, and nothing else."""
    return CONTEXT, json_bytes({"@context": dict(sorted(NAMESPACES.items()))})


def json_bytes(value: object) -> bytes:
    """Write JSON for a file."""
    return (_indented(value, "\n") + "\n").encode()


def _indented(value: object, line: str) -> str:
    """Write JSON as `json.dumps` does with an indent of 1, in little more than half the time."""
    if isinstance(value, str):
        return _quoted(value)
    further = line + " "
    if isinstance(value, dict) and value:
        pairs = (f"{_quoted(key)}: {_indented(each, further)}" for key, each in value.items())
        return "{" + further + ("," + further).join(pairs) + line + "}"
    if isinstance(value, list | tuple) and value:
        return (
            "["
            + further
            + ("," + further).join([_indented(v, further) for v in value])
            + line
            + "]"
        )
    return json.dumps(value, ensure_ascii=False)


_quoted = json.JSONEncoder(ensure_ascii=False).encode


class Described:
    """Describes the identifiers of a collection.

    Parameters
    ----------
    holdings
        What the site is made of.
    looks
        Where it is noted at what of that is looked.
    """

    def __init__(self, holdings: SiteContents, looks: Looks) -> None:
        self._held, self._looks = holdings, looks
        self._graphs = {holdings.base + name: name for name in GRAPHS}

    def files(self, iri: str) -> Iterator[tuple[str, bytes]]:
        """Yield the data of an identifier that has a page."""
        held = self._held
        self._looks.looks |= {("claim", iri), ("about", iri)}
        if URIRef(iri) in held.statements:
            quads = self._claim(URIRef(iri), set())
        elif iri in self._graphs:
            quads = list(_graph(held, iri, self._graphs[iri]))
        elif iri in held.about:
            quads = self._thing(iri)
        else:
            quads = [(*triple, None) for triple in self._record(iri)]
        yield from _formats(self._looks.at("stem", iri), quads)

    def _record(self, iri: str) -> Sequence[Triple]:
        """Return what the record says of a claim, a passage and the like."""
        found: Sequence[Triple] = self._looks.at("recorded", iri)
        return found

    def _thing(self, iri: str) -> list[Quad]:
        held, at = self._held, self._looks.at
        said = held.snapshot.belief.index.of(iri)
        every = chain(said, at("inferred", iri), at("worked out", iri))
        quads: list[Quad] = [(*triple, None) for triple in every]
        done: set[str] = set()
        for claim in self._held.about.get(iri, ()):
            quads += self._claim(claim.iri, done)
        return quads

    def _claim(self, iri: URIRef, done: set[str]) -> list[Quad]:
        self._looks.looks.add(("claim", str(iri)))
        parts = self._held.snapshot.belief.parts.get(iri, ())
        graphs = (iri, *(part.iri for part in parts))
        quads: list[Quad] = [(*t, name) for name in graphs for t in self._held.graphs[name]]
        for triple in self._record(str(iri)):
            quads.append((*triple, None))
            about = str(triple[2])
            if about not in done and (further := self._record(about)):
                done.add(about)
                quads += [(*each, None) for each in further]
                quads += [(*of_image, None) for of_image in self._image(further)]
        return quads

    def _image(self, passage: Iterable[Triple]) -> Iterator[Triple]:
        """Yield what is said of the image that a passage is a region of."""
        for _, property_, image in passage:
            if property_ == OA.hasSource:
                yield from self._record(str(image))


def _graph(held: SiteContents, iri: str, name: str) -> Iterator[Quad]:
    yield URIRef(iri), RDF.type, VOID.Dataset, None
    yield URIRef(iri), RDFS.label, Literal(f"{held.snapshot.record.collection.title}: {name}"), None
    yield URIRef(iri), VOID.dataDump, URIRef(f"{held.base}data/dataset.nq"), None


def written(quads: Iterable[Quad]) -> dict[str, ox.Quad]:
    """Return quads as pyoxigraph's by their lines of N-Quads, sorted, each once."""
    made = {
        ox.Quad(
            to_oxigraph(s),  # type: ignore[arg-type]
            named(p),
            to_oxigraph(o),
            _DEFAULT if graph is None else named(graph),
        )
        for s, p, o, graph in quads
    }
    lines = {str(quad): quad for quad in made}
    return {line: lines[line] for line in sorted(lines)}


def _formats(stem: str, quads: list[Quad]) -> Iterator[tuple[str, bytes]]:
    made = written(quads)
    text = "".join([f"{line} .\n" for line in made])
    own = {name: space for name, space in NAMESPACES.items() if space in text}
    triples = [quad.triple for quad in made.values() if quad.graph_name == _DEFAULT]
    yield f"{stem}.ttl", ox.serialize(triples, format=ox.RdfFormat.TURTLE, prefixes=own) or b""
    yield f"{stem}.nq", text.encode()
    yield f"{stem}.jsonld", _json_ld(made.values(), "../" * stem.count("/") + CONTEXT)


def _json_ld(quads: Iterable[ox.Quad], context: str) -> bytes:
    graphs: dict[str, dict[str, dict[str, object]]] = {}
    for quad in quads:
        name = "" if isinstance(quad.graph_name, ox.DefaultGraph) else quad.graph_name.value
        nodes = graphs.setdefault(name, {})
        subject = _id(quad.subject)
        node = nodes.setdefault(subject, {"@id": subject})
        value = quad.object
        if quad.predicate.value == str(RDF.type) and not isinstance(value, ox.Literal):
            _add(node, "@type", _short(_id(value)))
        else:
            _add(node, _short(quad.predicate.value), _value(value))
    whole_graph = list(graphs.pop("", {}).values())
    named = [{"@id": name, "@graph": list(nodes.values())} for name, nodes in graphs.items()]
    return json_bytes({"@context": context, "@graph": [*whole_graph, *named]})


def _add(node: dict[str, object], key: str, value: object) -> None:
    held = node.setdefault(key, [])
    assert isinstance(held, list)
    held.append(value)


def _id(term: object) -> str:
    return f"_:{term.value}" if isinstance(term, ox.BlankNode) else str(getattr(term, "value", ""))


@lru_cache(maxsize=4096)
def _short(iri: str) -> str:
    for name, space in NAMESPACES.items():
        if iri.startswith(space) and iri.removeprefix(space).isalnum():
            return f"{name}:{iri.removeprefix(space)}"
    return iri


def _value(term: object) -> dict[str, str]:
    if not isinstance(term, ox.Literal):
        return {"@id": _id(term)}
    if term.language:
        return {"@value": term.value, "@language": term.language}
    datatype = term.datatype.value
    if datatype == "http://www.w3.org/2001/XMLSchema#string":
        return {"@value": term.value}
    return {"@value": term.value, "@type": _short(datatype)}
