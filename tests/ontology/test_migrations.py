"""Data written under an older version of the vocabulary read as today's once it is migrated.

``older/edition-0.1.0.nq`` was written by the program of version 0.1.0 from the tables beside it and
is never written again: the claims, what is withdrawn of them, and the record's own graph.
"""

import re
from pathlib import Path

import pyoxigraph as ox
import pytest
from rdflib import Graph
from rdflib.namespace import DC, DCTERMS, OWL, RDF, SKOS

from glost.answer.dataset import quads
from glost.answer.snapshot import Snapshot
from glost.data import folder
from glost.names import GLOST
from glost.record.terms import quad

OLDER = Path(__file__).parent / "older"
MIGRATIONS = sorted((folder("ontology") / "migrations").glob("*.ru"))
_WORKED_OUT = ("inferred", "reckoned")


def migrated(lines: bytes) -> ox.Store:
    """Load an older dataset and bring it to today's vocabulary, version by version."""
    store = ox.Store()
    store.load(lines, format=ox.RdfFormat.N_QUADS)
    for path in MIGRATIONS:
        store.update(path.read_text(encoding="utf-8"))
    return store


@pytest.fixture(scope="module")
def older() -> bytes:
    return (OLDER / "edition-0.1.0.nq").read_bytes()


def test_an_older_edition_is_todays_once_migrated(older: bytes) -> None:
    """Each graph of it against what the program makes of the same tables now."""
    contents = Snapshot(OLDER).contents
    today = ox.Store()
    for subject, predicate, value, name in quads(contents):
        held = name is not None and name.startswith(contents.base)
        if held and not str(name).endswith(_WORKED_OUT):
            today.add(quad((subject, predicate, value), name))
    before = ox.Store()
    before.load(older, format=ox.RdfFormat.N_QUADS)
    assert len(today) > 100
    assert {*before} != {*today}
    assert {*migrated(older)} == {*today}


def test_a_migration_run_again_changes_nothing(older: bytes) -> None:
    store = migrated(older)
    once = {*store}
    for path in MIGRATIONS:
        store.update(path.read_text(encoding="utf-8"))
    assert {*store} == once


def test_every_name_that_data_had_is_written_anew_in_each_graph() -> None:
    """A statement by each former name, in the default graph and in one with a name."""
    words = Graph().parse(folder("ontology") / "glost.ttl")
    renamed = {
        str(old): str(new)
        for old, new in words.subject_objects(DCTERMS.isReplacedBy)
        if (old, OWL.deprecated, None) in words and str(new).startswith(GLOST) and old != GLOST.fuel
    }
    assert len(renamed) >= 3
    lines = "".join(
        f"<https://example.org/s> <{old}> <https://example.org/o> {graph}.\n"
        for old in renamed
        for graph in ("", "<https://example.org/g> ")
    )
    found = sorted(
        (each.predicate.value, isinstance(each.graph_name, ox.DefaultGraph))
        for each in migrated(lines.encode())
    )
    assert found == sorted((new, default) for new in renamed.values() for default in (True, False))


def test_a_fuel_in_words_becomes_a_concept_and_one_that_is_none_stays() -> None:
    lines = "".join(
        f'<https://example.org/{at}> <{GLOST}fuel> "{text}" {graph}.\n'
        for at, text in enumerate(("coal", "Natural gas", "slack and slurry"))
        for graph in ("", "<https://example.org/g> ")
    )
    found = {
        (each.subject.value[-1], each.predicate.value.rpartition("#")[2], each.object.value)
        for each in migrated(lines.encode())
    }
    assert found == {
        ("0", "firedWith", "https://w3id.org/glost/fuel/coal"),
        ("1", "firedWith", "https://w3id.org/glost/fuel/natural-gas"),
        ("2", "fuel", "slack and slurry"),
    }
    assert len(migrated(lines.encode())) == 6


def test_a_date_of_a_source_has_a_property_of_its_own_and_that_of_an_instant_stays() -> None:
    lines = "".join(
        f'<https://example.org/source/a{point}> <{GLOST}date> "1908" {graph}.\n'
        for point in ("", "#begin")
        for graph in ("", "<https://example.org/g> ")
    )
    found = sorted(
        (each.subject.value.rpartition("/")[2], each.predicate.value.rpartition("#")[2])
        for each in migrated(lines.encode())
    )
    assert found == [("a", "sourceDate")] * 2 + [("a#begin", "date")] * 2


PASSAGES = f"""
@prefix dcterms: <{DCTERMS}> . @prefix glost: <{GLOST}> . @prefix oa: <http://www.w3.org/ns/oa#> .
@prefix rdf: <{RDF}> . @base <https://example.org/> .
<claim/i> {{ <source/one> glost:image <images/a.png> }}
<claim/j> {{ <source/two> glost:image <images/b.png> , <images/c.png> . <source/one> glost:image <images/z.png> }}
<record> {{
    <claim/j> glost:withdrawnByClaim <claim/k> .
    <passage/box> a glost:Passage ; oa:hasSource <source/one> ; oa:hasSelector <passage/box#region> .
    <passage/box#region> rdf:value "xywh=1,2,3,4" .
    <passage/named> a glost:Passage ; oa:hasSource <source/two> ; oa:hasSelector <passage/named#region> .
    <passage/named#region> rdf:value "xywh=1,2,3,4" ; glost:onImage "deep/c 1.png" .
    <passage/several> a glost:Passage ; oa:hasSource <source/two> ; oa:hasSelector <passage/s#region> .
    <passage/s#region> rdf:value "xywh=1,2,3,4" .
    <passage/tape> a glost:Passage ; oa:hasSource <source/one> ; oa:hasSelector <passage/tape#region> .
    <passage/tape#region> rdf:value "t=1,2" .
    <passage/page> a glost:Passage ; oa:hasSource <source/one> ; glost:locator "p. 7" .
}}
"""


def test_a_box_is_of_an_image_and_every_passage_part_of_its_source() -> None:
    quads = ox.serialize(ox.parse(PASSAGES, format=ox.RdfFormat.TRIG), format=ox.RdfFormat.N_QUADS)
    found = {
        (
            each.subject.value.rpartition("/")[2],
            each.object.value.removeprefix("https://example.org/"),
        )
        for each in migrated(quads or b"")
        if each.predicate.value in ("http://www.w3.org/ns/oa#hasSource", str(DCTERMS.isPartOf))
    }
    assert found == {
        ("box", "source/one"), ("box", "images/a.png"), ("named", "source/two"),
        ("named", "images/deep/c%201.png"), ("several", "source/two"), ("tape", "source/one"),
        ("page", "source/one"),
    }  # fmt: skip


def test_names_of_authors_are_no_agents_and_agents_stay() -> None:
    lines = "".join(
        f"<https://example.org/s> <{DCTERMS}{name}> {value} {graph}.\n"
        for name in ("creator", "publisher")
        for value in ('"Ada"', "<https://example.org/ada>")
        for graph in ("", "<https://example.org/g> ")
    )
    found = sorted((each.predicate.value, each.object.value) for each in migrated(lines.encode()))
    assert found == sorted(
        (str(space[name]), value)
        for name in ("creator", "publisher")
        for space, value in ((DC, "Ada"), (DCTERMS, "https://example.org/ada"))
        for _ in range(2)
    )


def test_every_fuel_of_the_list_is_migrated() -> None:
    words = Graph().parse(folder("ontology") / "schemes" / "fuel.ttl")
    text = "".join(path.read_text(encoding="utf-8") for path in MIGRATIONS)
    for fuel, name in words.subject_objects(SKOS.prefLabel):
        told = f'( "{name}" <{fuel}> )'
        assert text.count(told) == (0 if (fuel, RDF.type, SKOS.ConceptScheme) in words else 2)


def test_a_migration_names_what_it_renames() -> None:
    assert MIGRATIONS
    told = "".join(path.read_text(encoding="utf-8") for path in MIGRATIONS)
    heads = set(re.findall(r"(\w+) -> (\w+)", told))
    words = Graph().parse(folder("ontology") / "glost.ttl")
    assert heads >= {
        (str(old).rpartition("#")[2], str(new).rpartition("#")[2])
        for old, new in words.subject_objects(DCTERMS.isReplacedBy)
        if str(new).startswith(GLOST)
    }
