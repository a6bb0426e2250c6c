"""The collection in the terms of CIDOC CRM 7.1.3."""

from pathlib import Path

import pyoxigraph as ox
from rdflib import Graph, URIRef
from rdflib.namespace import RDF, RDFS, SKOS

from glost.data import folder
from glost.names import CRM
from glost.publish.site.holdings import SiteContents
from glost.record.terms import named, to_oxigraph

_PREFIXES = {"crm": str(CRM), "rdfs": str(RDFS), "skos": str(SKOS)}


def crm_turtle(holdings: SiteContents) -> bytes:
    """Write what is believed and what follows in CIDOC CRM's classes and properties, as Turtle.

    Each class and property that the alignment places under one of CIDOC CRM's is rewritten into
    it; dates, numbers and claims become time-spans, identifiers and attribute assignments by the
    ``CONSTRUCT`` query beside this module. What CIDOC CRM has no place for is left out.
    """
    alignment = Graph().parse(folder("ontology") / "alignments" / "crm.ttl", format="turtle")
    kinds = _under(alignment, RDFS.subClassOf)
    properties = _under(alignment, RDFS.subPropertyOf)
    found: set[ox.Triple] = set()
    snapshot = holdings.snapshot
    for source in (snapshot.belief.statements(), snapshot.contents.inferred):
        for subject, predicate, value in source:
            if not isinstance(subject, URIRef):
                continue
            if predicate == RDF.type:
                for kind in kinds.get(str(value), ()):
                    found.add(ox.Triple(named(subject), named(RDF.type), named(kind)))
            for crm in properties.get(str(predicate), ()):
                found.add(ox.Triple(named(subject), named(crm), to_oxigraph(value)))
            if predicate in (RDFS.label, SKOS.prefLabel):
                found.add(ox.Triple(named(subject), named(RDFS.label), to_oxigraph(value)))
    query = Path(__file__).with_name("crm.rq").read_text(encoding="utf-8")
    made = holdings.answers.store.query(query)
    assert isinstance(made, ox.QueryTriples)
    found.update(made)
    ordered = sorted(found, key=str)
    return ox.serialize(ordered, format=ox.RdfFormat.TURTLE, prefixes=_PREFIXES) or b""


def _under(alignment: Graph, relation: URIRef) -> dict[str, list[URIRef]]:
    found: dict[str, list[URIRef]] = {}
    for narrow, wide in sorted(alignment.subject_objects(relation)):
        if isinstance(wide, URIRef) and str(wide).startswith(CRM):
            found.setdefault(str(narrow), []).append(wide)
    return found
