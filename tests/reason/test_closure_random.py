"""Random schemas and facts: against owlrl, against brute force, and against themselves."""

from itertools import combinations

import pytest
from rdflib.namespace import OWL, RDF

from glost.reason.closure import close
from glost.reason.compiler import compile_rules
from glost.reason.executor import DuckDB, SQLite

SEEDS = range(16)
SMALL = range(6)


@pytest.fixture(autouse=True)
def by_either(seed, monkeypatch):
    """Close the one half of the cases by DuckDB, the other by SQLite."""
    monkeypatch.setattr("glost.reason.closure.chosen", lambda _: (DuckDB, SQLite)[seed % 2]())


def whole(closure, facts):
    """Return facts and what follows from them."""
    return set(facts) | set(closure.inferred)


@pytest.mark.parametrize("seed", SEEDS)
def test_infers_what_owlrl_infers(random_cases, seed):
    """The reference: owlrl, an implementation of the W3C rules by one of their authors.

    The one difference: where a thing belongs to ``owl:Nothing``, owlrl puts it into every class
    (scm-cls, cax-sco); here that is a clash and no more.
    """
    drawn = random_cases.case(seed)
    expected, contradiction = random_cases.by_owlrl(drawn)
    closure = close(drawn.facts, drawn.schema)
    found = random_cases.comparable(whole(closure, drawn.facts), drawn)
    assert bool(closure.clashes) == contradiction
    if any(t[1] == RDF.type and t[2] == OWL.Nothing for t in expected):
        assert found <= expected
        assert contradiction
    else:
        assert found == expected


@pytest.mark.parametrize("seed", SEEDS)
def test_every_inferred_fact_has_a_valid_proof(random_cases, naive, seed):
    drawn = random_cases.case(seed)
    closure = close(drawn.facts, drawn.schema)
    program = closure.engine.program
    facts = set(drawn.facts)
    for triple in closure.inferred:
        proof = closure.why(triple)
        assert proof.conclusion == triple
        assert naive.faults(proof, program, facts) == []
        assert set(proof.facts) <= facts


@pytest.mark.parametrize("seed", SMALL)
def test_supports_are_those_found_by_trying_every_subset(random_cases, naive, seed):
    drawn = random_cases.case(seed, most=8, classes=4, properties=3)
    program = compile_rules(drawn.schema)
    closure = close(drawn.facts, drawn.schema)
    facts = sorted(drawn.facts)
    expected: dict[tuple, list[frozenset]] = {}
    for size in range(len(facts) + 1):
        for subset in combinations(facts, size):
            for triple in naive.close(program, subset):
                sets = expected.setdefault(triple, [])
                if not any(known <= set(subset) for known in sets):
                    sets.append(frozenset(subset))
    for triple in whole(closure, facts):
        if triple[0] == triple[2] and triple[1] == OWL.sameAs:
            continue
        found = closure.supports(triple)
        assert set(found.sets) == set(expected[triple])
        assert not found.cut


@pytest.mark.parametrize("seed", SMALL)
def test_proofs_are_no_larger_than_needed(random_cases, seed):
    """A proof never uses more given facts than are in some minimal support it contains."""
    drawn = random_cases.case(seed)
    closure = close(drawn.facts, drawn.schema)
    for triple in closure.inferred:
        used = set(closure.why(triple).facts)
        assert any(support <= used for support in closure.supports(triple).sets)


@pytest.mark.parametrize("seed", SMALL)
def test_closing_twice_adds_nothing(random_cases, seed):
    drawn = random_cases.case(seed)
    once = whole(close(drawn.facts, drawn.schema), drawn.facts)
    assert set(close(once, drawn.schema).inferred) == set()


@pytest.mark.parametrize("seed", SMALL)
def test_more_facts_never_take_anything_away(random_cases, seed):
    drawn = random_cases.case(seed)
    facts = sorted(drawn.facts)
    fewer = whole(close(facts[::2], drawn.schema), facts[::2])
    assert fewer <= whole(close(facts, drawn.schema), facts)


@pytest.mark.parametrize("seed", SEEDS)
def test_changes_end_where_closing_anew_ends(random_cases, seed):
    drawn = random_cases.case(seed)
    facts = sorted(drawn.facts)
    moving = facts[::3]
    closure = close(facts, drawn.schema)
    rest = [t for t in facts if t not in moving]
    expected = close(rest, drawn.schema)
    falling = closure.falls(moving)
    assert set(falling) == whole(close(facts, drawn.schema), facts) - whole(expected, rest)
    closure.revise([], moving)
    assert closure.inferred.sorted() == expected.inferred.sorted()
    assert closure.clashes == expected.clashes
    for triple in moving:
        closure.revise([triple], [])
    again = close(facts, drawn.schema)
    assert closure.inferred.sorted() == again.inferred.sorted()
    assert closure.clashes == again.clashes


@pytest.mark.parametrize("seed", SMALL)
def test_proofs_stay_valid_after_changes(random_cases, naive, seed):
    drawn = random_cases.case(seed)
    facts = sorted(drawn.facts)
    closure = close(facts[1:], drawn.schema)
    closure.revise(facts[:1], [])
    closure.revise([], facts[2:4])
    left = {t for t in facts if t not in facts[2:4]}
    for triple in closure.inferred:
        assert naive.faults(closure.why(triple), closure.engine.program, left) == []
