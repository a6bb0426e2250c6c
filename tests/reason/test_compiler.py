"""From a schema to rules and to SQL."""

from pathlib import Path

import pytest
from rdflib import Graph

from glost.data import vocabulary
from glost.reason.compiler import compile_rules, vocabulary_rules
from glost.reason.rules import Var, templates
from glost.reason.schema import close_schema
from glost.reason.sql import (
    Window,
    conclusions,
    equations,
    firing_windows,
    join,
    relation,
    table_names,
)

DATA = Path(__file__).with_name("data")


def schema() -> Graph:
    """Read the small schema."""
    return Graph().parse(DATA / "small_schema.ttl")


def in_sql(graph: Graph) -> str:
    """Write every rule of a schema in words and in SQL."""
    program = compile_rules(graph)
    rules = (*program.rules, *program.clashes)
    relations = {relation(a) for r in rules for a in (*r.body, *filter(None, (r.head,)))}
    names = table_names(relations, program.labels)
    lines = []
    for rule in rules:
        lines.append(f"-- {program.labels.rule(rule)}")
        if rule.equates:
            lines += equations(rule, names, hash, 0, {})
        elif rule.head is not None:
            lines.append(conclusions(rule, names, hash))
        else:
            source = join(rule, names, hash)
            lines.append(source.sql(", ".join(source.place.values())))
        lines.append("")
    return "\n".join(lines)


def test_the_sql_of_a_small_schema_is_as_written_down():
    expected = (DATA / "small_schema.sql").read_text(encoding="utf-8")
    assert in_sql(schema()) == expected


def test_compiling_is_repeatable_and_leaves_the_schema_alone():
    graph = schema()
    before = set(graph)
    first = [compile_rules(graph).labels.rule(r) for r in compile_rules(graph).rules]
    again = schema()
    second = [compile_rules(again).labels.rule(r) for r in compile_rules(again).rules]
    assert first == second
    assert set(graph) == before


def test_the_rule_file_names_each_rule_once():
    names = [t.name for t in templates()]
    assert len(names) == len(set(names)) == 44
    for template in templates():
        said = {w for p in (*template.schema, *template.body) for w in p if isinstance(w, Var)}
        concluded = {t for t in template.head or () if isinstance(t, Var)}
        assert concluded <= said


def test_links_that_follow_by_a_path_are_not_added_to_the_schema():
    graph = Graph().parse(
        data="""
        @prefix : <https://example.org/small/> .
        @prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
        :A rdfs:subClassOf :B . :B rdfs:subClassOf :C . :C rdfs:subClassOf :A .
        :p rdfs:subPropertyOf :q . :q rdfs:subPropertyOf :r .
        """,
        format="turtle",
    )
    assert set(close_schema(graph)) == set(graph)


def test_windows_see_each_new_combination_once():
    (rule,) = (r for r in compile_rules(schema()).rules if r.name == "prp-spo2")
    on_shape, shape_of = (relation(a) for a in rule.body)
    assert firing_windows(rule.body, 0, {}) == [None]
    old, new = Window(False, 4), Window(True, 4)
    newest = {on_shape: 5, shape_of: 6}
    assert firing_windows(rule.body, 4, newest) == [[new, None], [old, new]]
    assert firing_windows(rule.body, 5, newest) == [[Window(False, 5), Window(True, 5)]]
    assert firing_windows(rule.body, 6, newest) == []


@pytest.mark.parametrize(
    ("axiom", "reason"),
    [
        (":p owl:propertyChainAxiom () .", "an empty chain"),
        (":C owl:hasKey () .", "an empty key"),
        (":C rdfs:subClassOf owl:Thing .", "everything is a thing"),
        (":p rdfs:range xsd:string .", "literals are no subjects"),
        ("owl:Nothing rdfs:subClassOf :C .", "nothing is in it"),
        (":p rdfs:subPropertyOf :p .", "it says nothing"),
    ],
)
def test_axioms_that_say_nothing_about_facts_make_no_rule(axiom, reason):
    prefixes = """
        @prefix : <https://example.org/small/> .
        @prefix owl: <http://www.w3.org/2002/07/owl#> .
        @prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
        @prefix xsd: <http://www.w3.org/2001/XMLSchema#> .
        """
    assert compile_rules(Graph().parse(data=prefixes + axiom)).rules == (), reason


def test_the_rules_of_the_vocabulary_are_compiled_once() -> None:
    assert vocabulary_rules() is vocabulary_rules()
    assert vocabulary_rules().rules == compile_rules(vocabulary()).rules
