"""Exports read back by independent parsers give the dataset that was written.

Formats: RDF 1.1 TriG, N-Quads and Turtle (W3C Recommendations, 25 February 2014), JSON-LD 1.1 (W3C
Recommendation, 16 July 2020). Parsers: rdflib, pyoxigraph and, for JSON-LD, PyLD; only the last two
share no code with what is tested, and rdflib shares none with what writes.
"""

import json
from pathlib import Path

import pyoxigraph as ox
import pytest
import rdflib
from pyld import jsonld
from rdflib import Dataset, Graph
from rdflib.namespace import RDF, XSD
from rdflib.term import Literal, Node

from glost.answer.answers import gather
from glost.answer.dataset import Contents, quads
from glost.data import concepts, vocabulary
from glost.publish.exports import rdf_bytes, write_rdf
from glost.reason.closure import close
from glost.record.record import Record, read
from shelf import TABLES, write


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Record:
    odd = TABLES["shapes"] + 'elm,harrow,"Ełm ""quoted"" \\ 007",,,cat1908,p. 3,\n'
    articles = "shape,form,trade_size,parts,produced,source\nelm,plate,007,2,yes,letter\n"
    apart = (
        "thing,thing_point,relation,other,other_point,at_least,source\n"
        "shape/birch,begin,after,shape/alder,begin,1.50,letter\n"
    )
    text = TABLES["treatments"] + "a13,harrow,007,Line,alder,cat1908,p. 9,\n"
    folder = tmp_path_factory.mktemp("exports") / "c"
    return read(write(folder, shapes=odd, articles=articles, treatments=text, sequences=apart))


@pytest.fixture(autouse=True)
def _as_written(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let rdflib keep literals as they are written; some libraries switch that for a process."""
    monkeypatch.setattr(rdflib, "NORMALIZE_LITERALS", False)


@pytest.fixture(scope="module")
def contents(record: Record) -> Contents:
    closure = close(record.believed().graph + concepts(), vocabulary())
    return gather(record, inferred=lambda: closure.inferred)


def key(term: Node) -> tuple[str, ...]:
    if isinstance(term, Literal):
        datatype = RDF.langString if term.language else term.datatype or XSD.string
        return ("literal", str(term), str(datatype), (term.language or "").lower())
    return ("node", str(term))


def expected(contents: Contents) -> set[tuple[object, ...]]:
    return {(key(s), key(p), key(o), str(name or "")) for s, p, o, name in quads(contents)}


def rdflib_quads(data: bytes, form: str) -> set[tuple[object, ...]]:
    dataset = Dataset()
    dataset.parse(data=data, format=form)
    default = str(dataset.default_graph.identifier)
    found = set()
    for s, p, o, graph in dataset.quads():
        name = "" if graph is None or str(graph) == default else str(graph)
        found.add((key(s), key(p), key(o), name))
    return found


def oxigraph_quads(data: bytes, form: ox.RdfFormat) -> set[tuple[object, ...]]:
    def of(term: object) -> tuple[str, ...]:
        if isinstance(term, ox.Literal):
            return ("literal", term.value, term.datatype.value, term.language or "")
        return ("node", str(getattr(term, "value", term)))

    return {
        (
            of(q.subject),
            of(q.predicate),
            of(q.object),
            q.graph_name.value if isinstance(q.graph_name, ox.NamedNode) else "",
        )
        for q in ox.parse(data, format=form)
    }


def pyld_quads(data: bytes) -> set[tuple[object, ...]]:
    def of(term: dict[str, str]) -> tuple[str, ...]:
        if term["type"] == "literal":
            return ("literal", term["value"], term["datatype"], term.get("language", "").lower())
        return ("node", term["value"])

    parsed = jsonld.to_rdf(json.loads(data), {"rdfDirection": None})
    return {
        (of(t["subject"]), of(t["predicate"]), of(t["object"]), "" if name == "@default" else name)
        for name, triples in parsed.items()
        for t in triples
    }


def without_blank(found: set[tuple[object, ...]]) -> set[tuple[object, ...]]:
    """Leave out statements with blank nodes: their names differ, and only axioms have them."""
    return {
        quad
        for quad in found
        if not any(isinstance(t, tuple) and t[0] == "node" and "://" not in t[1] for t in quad[:3])
    }


@pytest.mark.parametrize(
    ("form", "name", "other"),
    [
        ("trig", "trig", ox.RdfFormat.TRIG),
        ("nquads", "nquads", ox.RdfFormat.N_QUADS),
    ],
)
def test_quads_read_back_the_same(
    contents: Contents, form: str, name: str, other: ox.RdfFormat
) -> None:
    data = rdf_bytes(contents, form)
    wanted = expected(contents)
    by_rdflib, by_oxigraph = rdflib_quads(data, name), oxigraph_quads(data, other)
    assert without_blank(by_oxigraph) == without_blank(wanted)
    assert without_blank(by_rdflib) == without_blank(wanted)
    assert len(by_oxigraph) == len(by_rdflib) == len(wanted)


def test_json_ld_reads_back_the_same(contents: Contents) -> None:
    data = rdf_bytes(contents, "jsonld")
    wanted = expected(contents)
    found = pyld_quads(data)
    assert without_blank(found) == without_blank(wanted)
    assert without_blank(rdflib_quads(data, "json-ld")) == without_blank(wanted)
    assert "@import" not in data.decode() and '"@context":"http' not in data.decode()


def test_turtle_holds_what_is_believed_and_what_follows(contents: Contents) -> None:
    graph = Graph().parse(data=rdf_bytes(contents, "turtle"), format="turtle")
    wanted = {*contents.believed, *contents.inferred, *contents.reckoned}
    assert {tuple(map(key, t)) for t in graph} == {tuple(map(key, t)) for t in wanted}


def test_literals_keep_their_written_form(contents: Contents) -> None:
    text = rdf_bytes(contents, "nquads").decode()
    assert '"007"' in text
    assert '"1.50"^^<http://www.w3.org/2001/XMLSchema#decimal>' in text


def test_an_export_as_trig_is_a_collection_again(
    record: Record, contents: Contents, tmp_path: Path
) -> None:
    settings = (record.collection.path / "collection.toml").read_text(encoding="utf-8")
    (tmp_path / "collection.toml").write_text(settings, encoding="utf-8")
    write_rdf(contents, "trig", tmp_path / "all.trig")
    again = read(tmp_path)
    assert [(c.iri, set(c.statements), c.passage) for c in again.claims] == [
        (c.iri, set(c.statements), c.passage) for c in record.claims
    ]


def test_turtle_1_2_says_of_each_claim_what_it_states(contents: Contents) -> None:
    """RDF 1.2 Concepts, section 1.5: a reifier stands for a triple term and asserts nothing."""
    reifies = ox.NamedNode(f"{RDF}reifies")
    read = {
        each.triple for each in ox.parse(rdf_bytes(contents, "rdf12"), format=ox.RdfFormat.TURTLE)
    }
    found = {
        (t.subject.value, *(key_of(part) for part in t.object))
        for t in read
        if t.predicate == reifies
    }
    said = {
        (str(c.iri), key(s), key(p), key(o)) for c in contents.claims for s, p, o in c.statements
    }
    assert found == said
    asserted = {tuple(map(key_of, t)) for t in read if t.predicate != reifies}
    own = {tuple(map(key, triple)) for triple in contents.vocabulary}
    default = {(s, p, o) for s, p, o, name in expected(contents) if not name} - own
    assert asserted == default | {tuple(map(key, triple)) for triple in contents.record}


def key_of(term: object) -> tuple[str, ...]:
    if isinstance(term, ox.Literal):
        datatype = str(RDF.langString) if term.language else term.datatype.value
        return ("literal", term.value, datatype, (term.language or "").lower())
    return ("node", getattr(term, "value", str(term)))
