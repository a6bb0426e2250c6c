"""The endpoint's description of itself (SPARQL 1.1 Service Description), sent where no query is."""

from rdflib import BNode, Graph, Literal, Namespace, URIRef
from rdflib.namespace import DCTERMS, RDF, VOID

SD = Namespace("http://www.w3.org/ns/sparql-service-description#")
_FORMATS = Namespace("http://www.w3.org/ns/formats/")

RDF_FORMATS = {
    "text/turtle": "turtle",
    "application/n-triples": "nt",
    "application/ld+json": "json-ld",
    "application/rdf+xml": "xml",
}
"""Media types of the description, with rdflib's names for them."""

_RESULTS = (
    "SPARQL_Results_JSON",
    "SPARQL_Results_XML",
    "SPARQL_Results_CSV",
    "SPARQL_Results_TSV",
    "Turtle",
    "N-Triples",
    "JSON-LD",
    "RDF_XML",
)


def describe(address: str, title: str, base: str, statements: int) -> Graph:
    """Describe an endpoint.

    Parameters
    ----------
    address
        Where it is.
    title
        The collection's title.
    base
        The collection's base IRI.
    statements
        How many statements its dataset holds, every graph counted.
    """
    graph = Graph()
    graph.bind("sd", SD)
    graph.bind("void", VOID)
    graph.bind("dcterms", DCTERMS)
    service, dataset, default = URIRef(address), BNode("dataset"), BNode("default")
    graph.add((service, RDF.type, SD.Service))
    graph.add((service, DCTERMS.title, Literal(title)))
    graph.add((service, SD.endpoint, service))
    graph.add((service, SD.supportedLanguage, SD.SPARQL11Query))
    for name in _RESULTS:
        graph.add((service, SD.resultFormat, _FORMATS[name]))
    graph.add((service, SD.defaultDataset, dataset))
    graph.add((dataset, RDF.type, SD.Dataset))
    graph.add((dataset, RDF.type, VOID.Dataset))
    graph.add((dataset, VOID.uriSpace, Literal(base)))
    graph.add((dataset, VOID.triples, Literal(statements)))
    graph.add((dataset, SD.defaultGraph, default))
    graph.add((default, RDF.type, SD.Graph))
    return graph
