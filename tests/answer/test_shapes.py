"""Each constraint on the record: the file that triggers it, and the one that does not.

A bad file in which several things are at fault, or only one of several, names them in a line
``# At fault: kiln/one kiln/two``: those and no others.

The files of ``tests/shapes/{constraint}/`` are put under a base of their own each and validated
together, so that a validator starts twice and not two hundred times. Nothing in one speaks of
anything in another; their sources' titles differ, as two of one title and date are found alike.
"""

import json
import re
import sys
from collections import defaultdict
from collections.abc import Callable, Iterator
from functools import cache
from itertools import product
from pathlib import Path

import pytest
from rdflib import Graph, Literal, URIRef
from rdflib.collection import Collection
from rdflib.namespace import RDF, RDFS, SH
from rdflib.term import Node

from glost.answer.shacl import SHAPES, ValidatorError, _shapes, begin, involved, validate
from glost.data import constraints, folder, published_constraints, vocabulary
from glost.findings import Severity
from glost.names import GLOST, SCHEMES

FIXTURES = Path(__file__).parents[1] / "shapes"
BASE = "https://example.org/valley/"
NAMES = sorted(path.name for path in FIXTURES.iterdir() if path.is_dir())
SEVERITIES = {SH.Violation, SH.Warning, SH.Info}


def shapes() -> list[URIRef]:
    found = constraints()
    named = {s for kind in (SH.NodeShape, SH.PropertyShape) for s in found.subjects(RDF.type, kind)}
    return sorted(s for s in named if isinstance(s, URIRef))


def read(name: str, which: str) -> Graph:
    text = (FIXTURES / name / f"{which}.ttl").read_text(encoding="utf-8")
    assert f"@base <{BASE}>" in text
    return Graph().parse(data=text.replace(f"<{BASE}>", f"<{BASE}{name}/>"), format="turtle")


@cache
def together(which: str) -> tuple[Graph, dict[URIRef, str]]:
    """Put all files of one kind in a graph, and say which speaks of a thing."""
    whole, speaking = Graph(), {}
    for name in NAMES:
        part = read(name, which)
        whole += part
        for term in part.all_nodes():
            if isinstance(term, URIRef):
                speaking[term] = name
    return whole, speaking


@cache
def breaches(which: str, validator: str) -> dict[str, set[str]]:
    """Say which constraints are broken in each file."""
    whole, speaking = together(which)
    found: dict[str, set[str]] = defaultdict(set)
    for violation in validate(whole, validator):
        assert isinstance(violation.focus, URIRef)
        found[speaking[violation.focus]].add(violation.constraint)
    return found


def test_there_are_enough_constraints_and_each_has_its_two_files() -> None:
    assert len(shapes()) >= 45
    assert [str(s).removeprefix(SHAPES) for s in shapes()] == NAMES
    assert all(
        (FIXTURES / name / f"{which}.ttl").is_file() for name in NAMES for which in ("bad", "good")
    )


@pytest.mark.parametrize("name", NAMES)
def test_the_bad_file_breaks_this_constraint_and_no_other(name: str) -> None:
    assert breaches("bad", "pyshacl")[name] == {name}


def at_fault(name: str) -> set[str]:
    """Return the things that a bad file says are at fault, if it says so."""
    text = (FIXTURES / name / "bad.ttl").read_text(encoding="utf-8")
    return {
        thing for line in re.findall(r"^# At fault: (.+)$", text, re.M) for thing in line.split()
    }


def test_just_the_things_at_fault_are_told() -> None:
    told: dict[str, set[str]] = defaultdict(set)
    for violation in validate(together("bad")[0], "shacl"):
        base = f"{BASE}{violation.constraint}/"
        told[violation.constraint].add(str(violation.focus).removeprefix(base))
    named = {name: at_fault(name) for name in NAMES}
    expected = {name: things for name, things in named.items() if things}
    assert len(expected) > 10
    assert {name: told[name] for name in expected} == expected


def lines(graph: Graph) -> str:
    return graph.serialize(format="nt")


@pytest.mark.parametrize("which", ["bad", "good"])
def test_a_stranger_finds_the_same_things_at_fault_by_what_is_published(which: str) -> None:
    """As published, every focus node is the thing at fault, by a validator's own account."""
    shacl = pytest.importorskip("shacl")
    shapes = published_constraints()
    assert (None, SH.targetNode, None) not in shapes
    data = together(which)[0] + vocabulary()
    report = shacl.Shapes.from_text(lines(shapes), "nt").validate_text(lines(data), "nt")
    found = {
        (each.root_shape.strip("<>").removeprefix(SHAPES), URIRef(each.focus_node.strip("<>")))
        for each in report.results
    }
    assert found == {(each.constraint, each.focus) for each in validate(together(which)[0])}
    assert bool(found) == (which == "bad")


@pytest.mark.parametrize("name", NAMES)
def test_the_good_file_breaks_none(name: str) -> None:
    assert breaches("good", "pyshacl")[name] == set()


@pytest.mark.parametrize("name", NAMES)
def test_a_constraint_says_what_is_wrong_and_what_to_do(name: str) -> None:
    shape = URIRef(SHAPES + name)
    (message,) = constraints().objects(shape, SH.message)
    (remedy,) = constraints().objects(shape, RDFS.comment)
    (severity,) = constraints().objects(shape, SH.severity)
    assert severity in SEVERITIES
    for text in (message, remedy):
        assert isinstance(text, Literal)
        assert text.language == "en"
        assert re.fullmatch(r"[A-Z].{10,}[.?…]", text), text
    assert not re.search(r"glost:|sh:|rdf|node|triple|propert", f"{message} {remedy}")


def test_breaches_lead_to_the_statements_behind_them() -> None:
    whole, speaking = together("bad")
    telling = {URIRef(SHAPES + word) for word in ("evidence", "sameValues")}
    for violation in validate(whole, "shacl"):
        statements = involved(violation, whole)
        assert set(statements) <= set(whole)
        if set(constraints().predicates(URIRef(SHAPES + violation.constraint))) & telling:
            assert statements, violation
            about = {speaking[s] for s, _, _ in statements if isinstance(s, URIRef)}
            assert about == {violation.constraint}


def ways(path: Node) -> Iterator[tuple[tuple[bool, Node], ...]]:
    """Yield every plain way of a path: properties, with whether each is followed backwards."""
    found = constraints()
    if isinstance(path, URIRef):
        yield ((False, path),)
    elif (inverse := found.value(path, SH.inversePath)) is not None:
        yield ((True, inverse),)
    elif (either := found.value(path, SH.alternativePath)) is not None:
        for each in Collection(found, either):
            yield from ways(each)
    else:
        for steps in product(*(tuple(ways(each)) for each in Collection(found, path))):
            yield tuple(step for part in steps for step in part)


def test_every_way_to_evidence_leads_somewhere() -> None:
    whole, _ = together("bad")
    at_fault: dict[str, set[Node]] = defaultdict(set)
    for violation in validate(whole, "shacl"):
        at_fault[violation.constraint].add(violation.focus)
    for name, things in at_fault.items():
        for path in constraints().objects(URIRef(SHAPES + name), URIRef(SHAPES + "evidence")):
            for way in ways(path):
                at = set(things)
                for backwards, verb in way:
                    at = {t for each in at for t in (
                        whole.subjects(verb, each) if backwards else whole.objects(each, verb)
                    )}  # fmt: skip
                assert at, (name, way)


BY_THE_PROGRAM = {"Claim", "Passage", "WareForm"}
"""Classes of which statements are made by no column of a table; terms are described by a scheme."""


def test_what_the_files_say_of_a_thing_a_table_can_say() -> None:
    """A constraint on what no table can say would never be broken, or always."""
    sayable: set[tuple[str | None, str]] = set()
    for path in folder("ontology/tables").glob("*.json"):
        schema = json.loads(path.read_text(encoding="utf-8")).get("tableSchema", {"columns": []})
        classes: dict[str, set[str]] = defaultdict(set)
        said = [(c.get("aboutUrl", schema.get("aboutUrl")), c) for c in schema["columns"]]
        for about, column in said:
            if column.get("propertyUrl") == str(RDF.type):
                classes[about].add(column["valueUrl"])
        for about, column in said:
            for each in classes.get(about) or {None}:
                sayable.add((each, column.get("propertyUrl", "")))
    for which in ("bad", "good"):
        whole, _ = together(which)
        for thing, of in whole.subject_objects(RDF.type):
            if str(of).rsplit("#", 1)[-1] not in BY_THE_PROGRAM:
                for verb in set(whole.predicates(thing)) - {RDF.type}:
                    assert {(str(of), str(verb)), (None, str(verb))} & sayable, (thing, verb)


def test_things_with_the_same_values_are_all_named() -> None:
    data = read("plant-number-twice", "bad")
    (violation,) = validate(data, "shacl")
    plants = {str(s).rsplit("/", 1)[-1] for s, _, _ in involved(violation, data)}
    assert plants == {"one", "two"}


@pytest.mark.parametrize("which", ["bad", "good"])
def test_both_validators_report_the_same(which: str) -> None:
    whole, _ = together(which)
    assert validate(whole, "shacl") == validate(whole, "pyshacl")


def test_the_data_is_left_as_it_was() -> None:
    data = read("no-such-month", "bad")
    before = set(data)
    for validator in ("pyshacl", "shacl"):
        assert validate(data, validator)
        assert set(data) == before
    assert len(vocabulary()) == len(set(vocabulary()))


def test_severities_are_told_in_the_programs_own_words() -> None:
    found = {v.constraint: v for v in validate(together("bad")[0], "shacl")}
    assert found["no-such-month"].severity == Severity.CONTRADICTION
    assert found["shape-without-pottery"].severity == Severity.WARNING
    assert found["treatment-away-from-home"].severity == Severity.NOTE
    assert found["no-such-month"].remedy == "Give the month as a number from 1 to 12."


def test_constraints_speak_of_the_vocabularys_terms_only() -> None:
    known = {str(s) for s in vocabulary().subjects(RDF.type)}
    used: set[str] = set()
    files = [p for p in folder("shapes_shacl").glob("*.ttl") if p.stem not in ("skos", "terms")]
    assert len(files) > 10
    for path in files:
        text = path.read_text(encoding="utf-8")
        used |= {f"{GLOST}{name}" for name in re.findall(r"\bglost:([A-Za-z]\w*)", text)}
        used |= set(re.findall(rf"<({SCHEMES}[\w-]+(?:/[\w-]+)?)>", text))
    used -= {SHAPES.rstrip("#")}
    assert len(used) > 60
    assert used <= known


def test_an_unknown_validator_is_refused_and_a_missing_one_says_how_to_get_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with pytest.raises(ValidatorError, match="'shackle'; use pyshacl or shacl"):
        validate(Graph(), "shackle")
    monkeypatch.setitem(sys.modules, "shacl", None)
    _shapes.cache_clear()
    with pytest.raises(ValidatorError, match=r"not installed; pip install 'glost\[large\]'"):
        validate(Graph(), "shacl")


def test_what_fails_beside_other_work_is_told_when_it_is_asked_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    class Failing:
        def validate_text(self, *_: str) -> None:
            raise ValueError("no room")

    monkeypatch.setattr("glost.answer.shacl._shapes", Failing)
    breaches = begin(Graph(), "shacl")
    with pytest.raises(ValueError, match="no room"):
        breaches()


@pytest.mark.parametrize(("installed", "runs"), [(True, "_shacl"), (False, "_pyshacl")])
def test_the_faster_validator_runs_where_it_is_installed(
    monkeypatch: pytest.MonkeyPatch, *, installed: bool, runs: str
) -> None:
    ran: list[str] = []

    def shacl(data: Graph) -> Callable[[], tuple[()]]:
        ran.append("_shacl")
        return tuple

    def pyshacl(data: Graph) -> tuple[()]:
        ran.append("_pyshacl")
        return ()

    module = "glost.answer.shacl"
    monkeypatch.setattr(f"{module}.find_spec", lambda name: object() if installed else None)
    monkeypatch.setattr(f"{module}._shacl", shacl)
    monkeypatch.setattr(f"{module}._pyshacl", pyshacl)
    assert validate(Graph()) == ()
    assert ran == [runs]
