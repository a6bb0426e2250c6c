"""N-Quads text to codes."""

import pytest
from rdflib import Graph, Literal, URIRef

from glost.reason.closure import close, close_quads
from glost.reason.compiler import compile_rules
from nquads import TextTerms, read_quads

N = "https://example.org/bulk/"
TYPE = "<http://www.w3.org/1999/02/22-rdf-syntax-ns#type>"
SCHEMA = f"""
@prefix : <{N}> . @prefix owl: <http://www.w3.org/2002/07/owl#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
:onShape rdfs:domain :Piece . :year a owl:FunctionalProperty .
"""
LINES = f"""\
<{N}piece> <{N}onShape> <{N}shape> <{N}claim1> .
<{N}piece> <{N}onShape> <{N}shape> <{N}claim2> .
<{N}piece> <{N}wording> "a \\"bell\\" and <{N}x> _:b ." <{N}claim1> .
<{N}piece> <{N}wording> "two\\nlines"@en-GB .
<{N}piece> <{N}year> "1911"^^<http://www.w3.org/2001/XMLSchema#gYear> _:claim3 .
_:b1 <{N}onShape> _:b2 .
_:b1 {TYPE} <{N}Plate> <{N}claim2> .
"""


@pytest.fixture
def quads(tmp_path):
    path = tmp_path / "facts.nq"
    path.write_text(LINES, encoding="utf-8")
    return read_quads([path])


def test_every_term_comes_back(quads):
    term = quads.terms.term
    rows = {
        tuple(term(int(x)).n3() for x in row) for row in zip(quads.s, quads.p, quads.o, strict=True)
    }
    expected = Graph()
    for line in LINES.splitlines():
        parts = line.removesuffix(" .")
        for graph in ("claim1", "claim2"):
            parts = parts.removesuffix(f" <{N}{graph}>")
        expected.parse(data=parts.removesuffix(" _:claim3") + " .", format="nt", bnode_context={})
    known = {t for t in rows if not any(x.startswith("_:") for x in t)}
    assert known == {
        tuple(x.n3() for x in t) for t in expected if "_:" not in t[0].n3() + t[2].n3()[:2]
    }
    assert sum(t[0] == "_:b1" for t in rows) == 2


def test_literals_have_codes_below_zero(quads):
    term = quads.terms.term
    assert all(isinstance(term(int(o)), Literal) == (o < 0) for o in quads.o)
    assert quads.terms.code(Literal("two\nlines", lang="en-GB")) in quads.o.tolist()
    assert quads.terms.code(URIRef(N + "shape")) in quads.o.tolist()


def test_a_fact_of_several_graphs_is_there_once(quads):
    code = quads.terms.code
    s, p, o = (code(URIRef(N + x)) for x in ("piece", "onShape", "shape"))
    assert ((quads.s == s) & (quads.p == p) & (quads.o == o)).sum() == 1


def test_closing_text_is_closing_its_triples(quads):
    schema = Graph().parse(data=SCHEMA)
    facts = {
        tuple(quads.terms.term(int(x)) for x in row)
        for row in zip(quads.s, quads.p, quads.o, strict=True)
    }
    closure = close_quads(quads, compile_rules(schema))
    assert closure.inferred.sorted() == close(facts, schema).inferred.sorted()
    assert len(closure.inferred) == 2
    for triple in closure.inferred:
        assert set(closure.why(triple).facts) <= facts


def test_several_files_share_one_dictionary(tmp_path):
    more = f"<{N}piece> <{N}onShape> <{N}bell> .\n"
    for name, text in (("a.nq", LINES), ("b.nq", LINES + more), ("empty.nq", "")):
        (tmp_path / name).write_text(text, encoding="utf-8")
    quads = read_quads(tmp_path.glob("*.nq"))
    assert len(quads.s) == len(read_quads([tmp_path / "a.nq"]).s) + 1


def test_nothing_at_all(tmp_path):
    (tmp_path / "empty.nq").write_text("", encoding="utf-8")
    assert len(read_quads([tmp_path / "empty.nq"]).s) == 0
    assert len(close_quads(read_quads([]), compile_rules(Graph())).inferred) == 0


@pytest.mark.parametrize(
    "line",
    [
        "not a statement",
        f"<{N}a> <{N}b> <{N}c>",
        f"<{N}a>  <{N}b> <{N}c> .",
        f"<{N}a> <{N}b> 'c' .",
        f'"a" <{N}b> <{N}c> .',
        "# a comment .",
        "@prefix : <x> .",
    ],
)
def test_what_cannot_be_read_is_named(tmp_path, line):
    path = tmp_path / "wrong.nq"
    path.write_text(LINES + line + "\n" + LINES + line + "\n", encoding="utf-8")
    with pytest.raises(ValueError, match=r"wrong\.nq, line 8: not a statement") as raised:
        read_quads([path])
    assert "line 16" in str(raised.value)
    assert len(str(raised.value).splitlines()) == 2


def test_a_dictionary_can_be_gone_on_with(tmp_path):
    terms = TextTerms()
    code = terms.code(URIRef(N + "shape"))
    (tmp_path / "a.nq").write_text(LINES, encoding="utf-8")
    assert code in read_quads([tmp_path / "a.nq"], terms).o.tolist()
