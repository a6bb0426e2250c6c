"""The namespaces the program writes and reads, each under its usual prefix."""

from rdflib import Namespace, URIRef
from rdflib.graph import Graph
from rdflib.namespace import (
    DC,
    DCMITYPE,
    DCTERMS,
    FOAF,
    OWL,
    PROV,
    RDF,
    RDFS,
    SKOS,
    TIME,
    XSD,
    NamespaceManager,
)


class _Kept(Namespace):
    """A namespace that makes each of its terms once; they are asked for very often."""

    def __getattr__(self, name: str) -> URIRef:
        found = vars(self)[name] = super().__getattr__(name)
        return found


GLOST = _Kept("https://w3id.org/glost/ontology#")
"""The vocabulary's own terms."""

TABLES = _Kept("https://w3id.org/glost/tables#")
"""What the descriptions of tables say beyond CSVW."""

DATED = frozenset({GLOST.date, GLOST.sourceDate})
"""The properties by which sources date something: an instant, and a source itself."""

SCHEMES = "https://w3id.org/glost/"
"""Where the published concept schemes begin: ``https://w3id.org/glost/form/nappy``."""

OA = Namespace("http://www.w3.org/ns/oa#")
EXIF = Namespace("http://www.w3.org/2003/12/exif/ns#")
EDTF = Namespace("http://id.loc.gov/datatypes/edtf/").EDTF
"""The datatype of dates written in EDTF (ISO 8601-2), as published by the Library of Congress."""

CRM = _Kept("http://www.cidoc-crm.org/cidoc-crm/")
CRMINF = _Kept("http://www.cidoc-crm.org/extensions/crminf/")
QUDT = Namespace("http://qudt.org/schema/qudt/")
UNIT = Namespace("http://qudt.org/vocab/unit/")

PREFIXES = {
    "crm": CRM,
    "crminf": CRMINF,
    "dc": DC,
    "dcmitype": DCMITYPE,
    "dcterms": DCTERMS,
    "edtf": Namespace("http://id.loc.gov/datatypes/edtf/"),
    "exif": EXIF,
    "foaf": FOAF,
    "glost": GLOST,
    "oa": OA,
    "owl": OWL,
    "prov": PROV,
    "qudt": QUDT,
    "rdf": RDF,
    "rdfs": RDFS,
    "skos": SKOS,
    "time": TIME,
    "unit": UNIT,
    "xsd": XSD,
}


def bind(graph: Graph) -> Graph:
    """Give `graph` the usual prefixes, and no others, and return it."""
    manager = NamespaceManager(graph, bind_namespaces="none")
    for prefix, namespace in PREFIXES.items():
        manager.bind(prefix, namespace)
    graph.namespace_manager = manager
    return graph
