"""GraphML read back by networkx, DOT by a small reader of its own."""

import re
from collections.abc import Callable

import networkx as nx
from rdflib import URIRef

from glost.record.belief import Belief
from glost.trade.lineage import Lineage, dot, family, graphml, lineage

STRING = r'"((?:[^"\\]|\\.)*)"'


def unquoted(text: str) -> str:
    return re.sub(r"\\(.)", r"\1", text)


def test_graphml_read_back_is_the_graph(valley: Lineage) -> None:
    read = nx.parse_graphml(graphml(valley), force_multigraph=True)
    iris = {node: data["iri"] for node, data in read.nodes(data=True)}
    assert sorted(iris.values()) == [str(thing) for thing in valley.things]
    edges = sorted(
        (iris[a], iris[b], data["relation"], data["certainty"], data["claims"], data["direction"])
        for a, b, data in read.edges(data=True)
    )
    assert edges == sorted(
        (
            str(link.earlier),
            str(link.later),
            link.relation.key,
            link.certainty,
            " ".join(str(claim.iri) for claim in link.claims),
            "mutual" if link.relation.mutual else "later",
        )
        for link in valley.links
    )
    names = {data["iri"]: data["name"] for _, data in read.nodes(data=True)}
    assert names["https://example.org/shelf/shape/birch"] == "Birch"


def test_graphml_ids_are_names_as_the_schema_has_them(valley: Lineage) -> None:
    """GraphML 1.0 types the ids of nodes and edges as xs:NMTOKEN."""
    ids = re.findall(r'<(?:node|edge)[^>]* id="([^"]*)"', graphml(valley))
    assert len(ids) == len(set(ids)) == len(valley.things) + len(valley.links)
    assert all(re.fullmatch(r"[\w.:-]+", each) for each in ids)


def test_dot_read_back_has_every_node_and_edge(valley: Lineage) -> None:
    text = dot(valley)
    edges = re.findall(rf"^  {STRING} -> {STRING} \[(.*)\];$", text, re.M)
    nodes = re.findall(rf"^    {STRING} \[label={STRING}, class=", text, re.M)
    assert [unquoted(node) for node, _ in sorted(nodes)] == [str(t) for t in valley.things]
    assert [(a, b) for a, b, _ in edges] == [(str(k.earlier), str(k.later)) for k in valley.links]
    styles = [dict(re.findall(rf"(\w+)={STRING}", given)) for _, _, given in edges]
    assert [style["style"] for style in styles] == [
        "solid" if link.sure else "dashed" for link in valley.links
    ]
    assert [style.get("dir") == "none" for style in styles] == [
        link.relation.mutual for link in valley.links
    ]
    assert text.count("{") == text.count("}")


def test_names_with_quotes_and_signs_survive_both(make: Callable[..., Belief]) -> None:
    shapes = (
        "shape,name,source,locator\n"
        'alder,"The ""Old"" \\ <Alder> & Co.",cat1908,p. 3\nbirch,Été 新,cat1908,p. 4\n'
    )
    table = "thing,copied_from,source,locator\nshape/birch,shape/alder,cat1908,p. 4\n"
    made = make(shapes=shapes, lineage=table, flatware="", roles="")
    part = family(lineage(made), URIRef("https://example.org/shelf/shape/alder"))
    name = 'The "Old" \\ <Alder> & Co.'
    read = nx.parse_graphml(graphml(part), force_multigraph=True)
    assert sorted(data["name"] for _, data in read.nodes(data=True)) == [name, "Été 新"]
    labels = re.findall(rf"^    {STRING[:1]}[^ ]+ \[label={STRING}, class=", dot(part), re.M)
    assert sorted(map(unquoted, labels)) == [name, "Été 新"]


def test_both_are_the_same_whatever_the_order_of_rows(make: Callable[..., Belief]) -> None:
    rows = [
        "shape/birch,shape/alder,cat1908,p. 4\n",
        "shape/cedar,shape/alder,letter,p. 3\n",
        "shape/cedar,shape/birch,letter,p. 2\n",
    ]
    head = "thing,copied_from,source,locator\n"
    one = lineage(make(lineage=head + "".join(rows)))
    other = lineage(make(lineage=head + "".join(reversed(rows))))
    assert graphml(one) == graphml(other)
    assert dot(one) == dot(other)
