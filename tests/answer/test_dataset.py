"""The dataset: what stands in which graph, in what order, and whether it is kept to the letter."""

from pathlib import Path

import pyoxigraph as ox
from rdflib import BNode, Literal, URIRef
from rdflib.namespace import PROV, RDF, RDFS, SKOS, XSD

import shelf
from glost.answer.dataset import VOCABULARY, Contents, dataset, quads
from glost.answer.snapshot import Snapshot
from glost.answer.store import from_store, store
from glost.names import GLOST
from glost.record.claims import Claim, Origin, Passage, Triple
from glost.record.terms import to_oxigraph

BASE = "https://example.org/shelf/"
PIECE = URIRef(f"{BASE}piece/p1")
WRITTEN = (
    Literal("007", datatype=XSD.integer, normalize=False),
    Literal("1.50", datatype=XSD.decimal, normalize=False),
    Literal("12", datatype=XSD.nonNegativeInteger, normalize=False),
    Literal("colour", lang="en-GB"),
    Literal("A-10?"),
)
REWRITTEN = {
    '"7"^^<http://www.w3.org/2001/XMLSchema#integer>',
    '"1.5"^^<http://www.w3.org/2001/XMLSchema#decimal>',
    '"12"^^<http://www.w3.org/2001/XMLSchema#integer>',
    '"colour"@en-gb',
    '"A-10?"',
}


def claim(name: str, *statements: Triple) -> Claim:
    passage = Passage(URIRef(f"{BASE}source/letter"))
    iri = URIRef(f"{BASE}claim/{name}")
    return Claim(iri, passage, None, "", "", "", Origin("tables/x.csv", 2), lambda: statements)


def contents(*claims: Claim, withdrawn: tuple[Claim, ...] = ()) -> Contents:
    return Contents(BASE, (*claims, *withdrawn), frozenset(each.iri for each in claims))


def test_the_store_rewrites_literals_and_exports_do_not() -> None:
    made = contents(claim("one", *((PIECE, GLOST.feature, value) for value in WRITTEN)))
    exact = {value.n3() for value in dataset(made).default_graph.objects(PIECE)}
    assert exact == {value.n3() for value in WRITTEN}
    assert {str(quad.object) for quad in store(made)} == REWRITTEN


def test_statements_come_sorted_each_once_the_default_graph_first() -> None:
    label = (PIECE, RDFS.label, Literal("A plate"))
    kind = (PIECE, RDF.type, GLOST.Piece)
    made = contents(claim("b", label, kind, label), claim("a", kind))
    found = list(quads(made))
    names = [None, None, "claim/a", "claim/b", "claim/b"]
    assert [q[3] and str(q[3]).removeprefix(BASE) for q in found] == names
    assert found[0][:3] == kind
    assert len(found) == len(set(found))


def test_literals_alike_but_for_language_come_in_order_of_it() -> None:
    tongues = ["fr", "de", "en", "it", "es", "nl", "pl", "sv"]
    said = (Literal("rose", lang=tongue) for tongue in tongues)
    one = contents(claim("a", *((PIECE, RDFS.label, each) for each in said)))
    found = [
        o.language for _, _, o, graph in quads(one) if graph is None and isinstance(o, Literal)
    ]
    assert found == sorted(tongues)


def test_withdrawn_claims_keep_their_graph_and_are_not_believed() -> None:
    old = claim("old", (PIECE, RDFS.label, Literal("A saucer")))
    new = claim("new", (PIECE, RDFS.label, Literal("A plate")))
    result = dataset(contents(new, withdrawn=(old,)))
    assert set(result.default_graph.objects(PIECE)) == {Literal("A plate")}
    assert set(result.graph(old.iri).objects(PIECE)) == {Literal("A saucer")}


def test_the_graphs_of_the_design_are_there(little: Snapshot) -> None:
    made = little.contents
    loaded = little.answers.store
    base = made.base
    names = {name.value for name in loaded.named_graphs() if isinstance(name, ox.NamedNode)}
    rest = {f"{base}record", f"{base}inferred", f"{base}reckoned", str(VOCABULARY)}
    assert names == rest | {str(each.iri) for each in made.claims}
    together = set(made.believed) | set(made.inferred) | set(made.reckoned) | set(made.vocabulary)
    default = list(loaded.quads_for_pattern(None, None, None, ox.DefaultGraph()))
    assert len(default) == len(together)
    withdrawn = URIRef(f"{base}claim/a2-book")
    assert (withdrawn, PROV.wasInvalidatedBy, None) in little.answers.dataset.graph(
        URIRef(f"{base}record")
    )


def test_both_forms_hold_the_same_statements(little: Snapshot) -> None:
    """Blank nodes have no names of their own, so loading may give them others."""
    exported = [
        ("_:" if isinstance(s, BNode) else str(s), str(p), None if g is None else str(g))
        for s, p, _, g in quads(little.contents)
    ]
    loaded = [
        (
            _text(quad.subject),
            quad.predicate.value,
            None if isinstance(quad.graph_name, ox.DefaultGraph) else quad.graph_name.value,
        )
        for quad in little.answers.store
    ]
    assert sorted(exported, key=str) == sorted(loaded, key=str)


def _text(term: object) -> str:
    assert isinstance(term, ox.NamedNode | ox.BlankNode)
    return "_:" if isinstance(term, ox.BlankNode) else term.value


def test_terms_go_over_and_back() -> None:
    """As terms, literals are kept; only a language tag loses its capitals."""
    plain = [value for value in WRITTEN if not value.language]
    terms = [*plain, PIECE, BNode("b1"), Literal("true", datatype=XSD.boolean)]
    assert [from_store(to_oxigraph(term)).n3() for term in terms] == [term.n3() for term in terms]
    assert from_store(to_oxigraph(Literal("colour", lang="en-GB"))).n3() == '"colour"@en-gb'


def test_the_input_graphs_are_left_alone(little: Snapshot) -> None:
    before = len(little.contents.believed), len(little.contents.vocabulary)
    list(quads(little.contents))
    assert (len(little.contents.believed), len(little.contents.vocabulary)) == before
    assert not any(predicate == SKOS.inScheme for _, predicate, _ in little.contents.believed)


def test_what_no_zone_of_a_kiln_accounts_for_is_in_the_dataset(tmp_path: Path) -> None:
    """Of 300 ft the one zone takes 280: 20 ft are left, at 0.3048 m to the foot."""
    bare = dict.fromkeys(shelf.TABLES, "") | {k: shelf.TABLES[k] for k in ("sources", "potteries")}
    here = shelf.write(
        tmp_path / "c",
        **bare,
        plants="plant,pottery,source\nnew,harrow,letter\n",
        kilns="kiln,plant,kind,length,source\nk,new,tunnel,300 ft,letter\n",
        kiln_zones="kiln,order,zone,length,source\nk,1,firing,280 ft,letter\n",
    )
    found = Snapshot(here).contents.reckoned
    kiln = URIRef(f"{BASE}kiln/k")
    told = {(v, str(o)) for s, v, o in found if s == kiln}
    assert {(GLOST.lengthInMetres, "91.44"), (GLOST.unexplainedLength, "6.096")} <= told
