"""roqet, the query tool of the Rasqal library (Debian ``rasqal-utils``), against the endpoint.

rasqal 0.9.33 reads tables alone from an endpoint, neither ASK nor CONSTRUCT.
"""

import subprocess

import pytest
from rdflib.namespace import RDF

from glost.answer.snapshot import Snapshot
from glost.names import GLOST

BASE = "https://example.org/shelf/"
PREFIX = "PREFIX glost: <https://w3id.org/glost/ontology#> "
NAMES = (
    PREFIX + "PREFIX rdfs: <http://www.w3.org/2000/01/rdf-schema#> "
    "SELECT ?shape ?name WHERE { ?shape a glost:Shape ; rdfs:label ?name } ORDER BY ?name"
)


def roqet(address: str, query: str, *words: str) -> str:
    command = ["roqet", "-q", "-p", f"{address}sparql", "-e", query, *words]
    return subprocess.run(command, check=True, capture_output=True, text=True, timeout=60).stdout


@pytest.mark.parametrize("form", ["csv", "tsv", "xml"])
def test_a_table(address: str, form: str) -> None:
    told = roqet(address, NAMES, "-r", form)
    assert f"{BASE}shape/alder" in told
    assert told.index("Alder") < told.index("Birch")


def test_claims_by_their_graphs(address: str, snapshot: Snapshot) -> None:
    query = (
        PREFIX + "SELECT DISTINCT ?claim WHERE { GRAPH ?claim { ?s a glost:Shape } "
        f'FILTER(STRSTARTS(STR(?claim), "{BASE}claim/")) }}'
    )
    found = roqet(address, query, "-r", "csv").split()[1:]
    of_shapes = [
        str(claim.iri)
        for claim in snapshot.contents.claims
        if any(predicate == RDF.type and o == GLOST.Shape for _, predicate, o in claim.statements)
    ]
    assert sorted(found) == sorted(of_shapes)
    assert found


def test_it_hears_of_a_query_that_is_refused(address: str) -> None:
    with pytest.raises(subprocess.CalledProcessError) as caught:
        roqet(address, "SELECT * WHERE { SERVICE <http://127.0.0.1/x> { ?s ?p ?o } }")
    assert "403" in caught.value.stderr
