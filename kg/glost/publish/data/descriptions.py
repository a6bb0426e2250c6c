"""What describes a published collection to machines: VoID, with DCAT beside it."""

from collections import Counter
from collections.abc import Iterable
from urllib.parse import quote

from rdflib import Graph, Literal, Namespace, URIRef
from rdflib.namespace import DCTERMS, OWL, RDF, VOID

from glost.answer.dataset import VOCABULARY
from glost.names import GLOST, PREFIXES, SCHEMES
from glost.publish.data.catalogue import add_catalogue
from glost.publish.data.facts import PublishedFile, StatementCounts
from glost.publish.data.quality import add_quality
from glost.publish.data.versions import add_editions
from glost.publish.editions.edition import editions
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import GRAPHS, SiteContents

PROF = Namespace("http://www.w3.org/ns/dx/prof/")
_PROFILE = URIRef(f"{SCHEMES}profile")
"""What every conforming dataset has, by the shapes in ``shapes_shacl/profile``."""
_ROLES = {
    "validation": "profile.ttl",
    "example": "profile-examples.trig",
    "vocabulary": "ontology.ttl",
}
"""What each file is to the profile, as PROF names it."""
SD = Namespace("http://www.w3.org/ns/sparql-service-description#")


def void_and_dcat(
    holdings: SiteContents,
    frame: PageFrame,
    files: Iterable[PublishedFile],
    counts: StatementCounts,
) -> bytes:
    """Describe the dataset and each file of it, as Turtle.

    Parameters
    ----------
    holdings
        What the site is made of.
    frame
        The collection's title, publisher and licence.
    files
        Every whole-collection file.
    counts
        How many statements the dataset holds.
    """
    graph = Graph()
    graph.bind("void", VOID)
    graph.bind("sd", SD)
    dataset = add_catalogue(graph, holdings, frame, files)
    collection = holdings.snapshot.record.collection.path
    add_editions(graph, dataset, editions(collection), collection, frame)
    _void(graph, dataset, holdings, counts)
    _graphs(graph, dataset, holdings, counts)
    _profile(graph, dataset, holdings.base)
    _former(graph, holdings)
    add_quality(graph, dataset, holdings)
    return graph.serialize(format="turtle", encoding="utf-8")


def _void(graph: Graph, dataset: URIRef, holdings: SiteContents, counts: StatementCounts) -> None:
    base = holdings.base
    graph.add((dataset, RDF.type, VOID.Dataset))
    graph.add((dataset, VOID.uriSpace, Literal(base)))
    graph.add((dataset, VOID.triples, Literal(counts.all)))
    for name in ("glost", "prov", "skos", "time", "dcterms"):
        graph.add((dataset, VOID.vocabulary, URIRef(str(PREFIXES[name]))))
    graph.add((dataset, VOID.dataDump, URIRef(f"{base}data/dataset.nq")))
    graph.add((dataset, VOID.dataDump, URIRef(f"{base}data/dataset.trig")))
    graph.add((dataset, VOID.entities, Literal(len(holdings.things))))
    kinds = Counter(kind for found in holdings.kinds.values() for kind in found)
    graph.add((dataset, VOID.classes, Literal(len(kinds))))
    graph.add((dataset, VOID.properties, Literal(len(counts.properties))))
    for kind, count in sorted(kinds.items()):
        part = _part(graph, dataset, VOID.classPartition, "class", kind)
        graph.add((part, VOID.entities, Literal(count)))
    for property_, count in sorted(counts.properties.items()):
        part = _part(graph, dataset, VOID.propertyPartition, "property", property_)
        graph.add((part, VOID.triples, Literal(count)))
    for iri in holdings.things[:1]:
        graph.add((dataset, VOID.exampleResource, URIRef(iri)))


def _part(graph: Graph, dataset: URIRef, relation: URIRef, way: str, of: URIRef) -> URIRef:
    """Add a part of the dataset, named after the whole IRI of what all in it have in common."""
    part = URIRef(f"{dataset}#{way}={quote(_short(of), safe=':')}")
    graph.add((dataset, relation, part))
    graph.add((part, RDF.type, VOID.Dataset))
    graph.add((part, VOID[way], of))
    return part


def _short(iri: URIRef) -> str:
    for prefix, space in PREFIXES.items():
        if iri.startswith(str(space)):
            return f"{prefix}:{iri.removeprefix(str(space))}"
    return str(iri)


def _graphs(graph: Graph, dataset: URIRef, holdings: SiteContents, counts: StatementCounts) -> None:
    """Describe the default graph and each named graph, those of the claims as one part."""
    default = URIRef(f"{dataset}#default-graph")
    graph.add((dataset, RDF.type, SD.Dataset))
    graph.add((dataset, SD.defaultGraph, default))
    graph.add((default, RDF.type, SD.Graph))
    graph.add((default, VOID.triples, Literal(counts.graphs[None])))
    others = {URIRef(holdings.base + name): name for name in GRAPHS}
    others[VOCABULARY] = "vocabulary"
    for name, words in sorted(others.items()):
        named, held = URIRef(f"{dataset}#named={words}"), URIRef(f"{dataset}#graph={words}")
        graph.add((dataset, SD.namedGraph, named))
        graph.add((named, RDF.type, SD.NamedGraph))
        graph.add((named, SD.name, name))
        graph.add((named, SD.graph, held))
        graph.add((held, RDF.type, SD.Graph))
        graph.add((held, VOID.triples, Literal(counts.graphs[name])))
    claims = URIRef(f"{dataset}#claims")
    told = sum(n for name, n in counts.graphs.items() if name is not None and name not in others)
    graph.add((dataset, VOID.subset, claims))
    graph.add((claims, RDF.type, VOID.Dataset))
    graph.add((claims, DCTERMS.title, Literal("The claims, each in a graph of its own", lang="en")))
    graph.add((claims, VOID.entities, Literal(len(holdings.claims))))
    graph.add((claims, VOID.triples, Literal(told)))
    graph.add((claims, VOID["class"], GLOST.Claim))


def _former(graph: Graph, holdings: SiteContents) -> None:
    """Say of identifiers that were what is in their place."""
    settings = holdings.snapshot.record.collection
    for old, new in sorted({**settings.renamed, **settings.withdrawn}.items()):
        was = URIRef(holdings.base + old)
        graph.add((was, OWL.deprecated, Literal(True)))
        if new:
            graph.add((was, DCTERMS.isReplacedBy, URIRef(holdings.base + new)))


def _profile(graph: Graph, dataset: URIRef, base: str) -> None:
    """Say which profile the dataset conforms to, and what there is to read of it."""
    graph.bind("prof", PROF)
    graph.add((dataset, DCTERMS.conformsTo, _PROFILE))
    for kind in (PROF.Profile, DCTERMS.Standard):
        graph.add((_PROFILE, RDF.type, kind))
    graph.add((_PROFILE, DCTERMS.title, Literal("What every conforming dataset has", lang="en")))
    graph.add((_PROFILE, PROF.hasToken, Literal("glost")))
    graph.add((_PROFILE, PROF.isProfileOf, URIRef(str(GLOST).rstrip("#"))))
    for role, file in _ROLES.items():
        resource = URIRef(f"{base}data/{file}#resource")
        graph.add((_PROFILE, PROF.hasResource, resource))
        graph.add((resource, RDF.type, PROF.ResourceDescriptor))
        graph.add((resource, PROF.hasRole, URIRef(f"{PROF}role/{role}")))
        graph.add((resource, PROF.hasArtifact, URIRef(f"{base}data/{file}")))
