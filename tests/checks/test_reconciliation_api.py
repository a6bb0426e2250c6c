"""What the reconciliation service says of the example, against the JSON schemas of the API 0.2.

Reconciliation Service API v0.2, W3C Entity Reconciliation Community Group,
https://reconciliation-api.github.io/specs/0.2/; its schemas stand in ``reconciliation``. Expected
candidates are taken from the tables by hand.
"""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pyoxigraph as ox
import pytest
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT7

from glost.answer.snapshot import Snapshot
from glost.publish.endpoint.problems import Problem
from glost.publish.endpoint.reconciling import answers
from glost.publish.endpoint.reconciling.candidates import Candidates
from glost.publish.endpoint.reconciling.reading import batch, extension
from glost.publish.endpoint.reconciling.things import PublishedThings
from glost.publish.exports import rdf_bytes

HERE = Path(__file__).parent / "reconciliation"
SCHEMAS = {path.stem: json.loads(path.read_text("utf-8")) for path in sorted(HERE.glob("*.json"))}
REGISTRY: Registry[Any] = Registry().with_resources(
    (schema["$id"], Resource(schema, DRAFT7)) for schema in SCHEMAS.values()
)
ADDRESS = "https://example.org/wend/reconcile"

Json = dict[str, Any]


def faults(name: str, told: object) -> list[str]:
    validator = jsonschema.Draft7Validator(SCHEMAS[name], registry=REGISTRY)
    return [error.message for error in validator.iter_errors(told)]


@pytest.fixture(scope="module")
def things(valley: Snapshot) -> PublishedThings:
    store = ox.Store()
    written = rdf_bytes(valley.contents, "nquads")
    store.bulk_load(written, format=ox.RdfFormat.N_QUADS, lenient=True)
    return PublishedThings(store, valley.record.base)


@pytest.fixture(scope="module")
def reconcile(things: PublishedThings) -> Callable[[Json], Json]:
    candidates = Candidates(things)

    def asked(queries: Json) -> Json:
        assert faults("reconciliation-query-batch", queries) == []
        read = batch(json.dumps(queries), things)
        found = candidates.of([each.wanted for each in read.values()])
        cut = {key: own[: read[key].limit] for key, own in zip(read, found, strict=True)}
        told = answers.results(things, cut)
        assert faults("reconciliation-result-batch", told) == []
        return told

    return asked


def test_the_manifest_keeps_to_its_schema(things: PublishedThings) -> None:
    told = answers.manifest(things, "The Wend Valley potteries", ADDRESS)
    assert faults("manifest", told) == []
    assert told["versions"] == ["0.2"] and told["batchSize"] == 50
    assert faults("manifest", {**told, "preview": {"url": f"{ADDRESS}/preview"}})


@pytest.mark.parametrize(
    ("query", "best", "certain"),
    [
        ({"query": "Alder"}, "shape/alder", True),
        ({"query": "ALDER", "type": "Shape"}, "shape/alder", True),
        ({"query": "Halwein", "type": ["Shape", "Decal"]}, "shape/halewin", True),
        ({"query": "shape/halewin"}, "shape/halewin", True),
        ({"query": "https://example.org/wend/firm/kessel"}, "firm/kessel", True),
        ({"query": "A-112"}, "treatment/a-112", True),
        ({"query": "a112"}, "treatment/a-112", True),
        ({"query": "Evald Strandt"}, "person/strand", True),
        ({"query": "Orrin and Tasker"}, "pottery/orrin", True),
        (
            {
                "query": "Ferry Rose",
                "type": "Decal",
                "properties": [{"pid": "printedBy", "v": {"id": "firm/vauclin", "name": "V."}}],
            },
            "decal/ferry-rose-vauclin",
            True,
        ),
        (
            {
                "query": "Ferry Rose",
                "type": "Decal",
                "properties": [{"pid": "printedBy", "v": "Kessel & Rudd"}],
            },
            "decal/ferry-rose",
            True,
        ),
        (
            {"type": "Source", "properties": [{"pid": "sourceKind", "v": "postcard"}]},
            "source/postcard-1908",
            False,
        ),
    ],
)
def test_what_a_query_means(
    reconcile: Callable[[Json], Json], query: Json, best: str, certain: bool
) -> None:
    found = reconcile({"q": query})["q"]["result"]
    assert found[0]["id"] == best
    assert found[0]["match"] is certain
    assert [each["match"] for each in found[1:]] == [False] * (len(found) - 1)
    scores = [each["score"] for each in found]
    assert scores == sorted(scores, reverse=True) and len(found) <= 10
    types = query.get("type")
    if types:
        assert {each["type"][0]["id"] for each in found} <= {
            *([types] if isinstance(types, str) else types)
        }


def test_a_name_that_several_have_is_certain_of_none(reconcile: Callable[[Json], Json]) -> None:
    """Two decals, and treatments with them, are called Ferry Rose."""
    found = reconcile({"q": {"query": "Ferry Rose"}})["q"]["result"]
    assert {"decal/ferry-rose", "decal/ferry-rose-vauclin"} <= {each["id"] for each in found}
    assert not any(each["match"] for each in found)
    assert sum(each["score"] for each in found) <= 100


def test_a_query_is_weighed_by_itself_and_takes_no_more_than_its_limit(
    reconcile: Callable[[Json], Json],
) -> None:
    queries = {f"q{at}": {"query": text} for at, text in enumerate(("Alder", "Tern", "Rose"))}
    together = reconcile(queries)
    for key, query in queries.items():
        assert reconcile({key: query})[key] == together[key]
    assert len(reconcile({"q": {"query": "Rose", "limit": 1}})["q"]["result"]) == 1
    assert reconcile({"q": {"query": "Zzyzx"}})["q"]["result"] == []
    assert reconcile({"q": {"query": "Alder", "type": "Boat"}})["q"]["result"] == []


def test_suggestions_keep_to_their_schemas_and_find_by_beginning_and_by_id(
    things: PublishedThings,
) -> None:
    entities: Any = answers.entities(things, "hale", 0)
    assert faults("suggest-entities-response", entities) == []
    assert "shape/halewin" in [each["id"] for each in entities["result"]]
    assert answers.entities(things, "shape/halewin", 0)["result"][0]["id"] == "shape/halewin"  # type: ignore[index]
    first: Any = answers.entities(things, "", 0)
    second: Any = answers.entities(things, "", 10)
    assert len(first["result"]) == len(second["result"]) == 10
    assert not {e["id"] for e in first["result"]} & {e["id"] for e in second["result"]}
    types: Any = answers.terms(things.types.values(), "sha", 0)
    assert faults("suggest-types-response", types) == []
    assert [each["id"] for each in types["result"]] == ["Shape"]
    properties: Any = answers.terms(things.properties.values(), "made", 0)
    assert faults("suggest-properties-response", properties) == []
    assert "madeBy" in [each["id"] for each in properties["result"]]


def test_properties_are_proposed_and_their_values_told(things: PublishedThings) -> None:
    proposed: Any = answers.proposals(things, "Shape", None)
    assert faults("data-extension-property-proposal", proposed) == []
    assert "madeBy" in [each["id"] for each in proposed["properties"]]
    assert len(answers.proposals(things, "Shape", 2)["properties"]) == 2  # type: ignore[arg-type]
    query = {
        "ids": ["shape/halewin", "shape/nowhere"],
        "properties": [{"id": "madeBy"}, {"id": "rdfs:label"}, {"id": "notBeforeYear"},
                       {"id": "colour"}],
    }  # fmt: skip
    assert faults("data-extension-query", query) == []
    told: Any = answers.extended(things, extension(json.dumps(query), things))
    assert faults("data-extension-response", told) == []
    row = told["rows"]["shape/halewin"]
    assert row["madeBy"] == [{"id": "pottery/orrin", "name": "Orrin & Tasker Pottery Company"}]
    assert row["rdfs:label"] == [{"str": "Halewin"}] and row["colour"] == []
    assert row["notBeforeYear"] == [{"int": 1912}]
    assert set(told["rows"]["shape/nowhere"]) == {"madeBy", "rdfs:label", "notBeforeYear", "colour"}
    assert not any(told["rows"]["shape/nowhere"].values())


@pytest.mark.parametrize(
    "broken",
    [
        '{"q": {}}',
        '{"q": {"query": ""}}',
        '{"q": {"query": 7}}',
        '{"q": {"query": "Alder", "colour": "red"}}',
        '{"q": {"query": "Alder", "properties": [{"v": "x"}]}}',
        '{"q": {"query": "Alder", "properties": [{"pid": "madeBy"}]}}',
        '{"q": {"query": "Alder", "properties": {}}}',
        '{"q": {"query": "Alder", "properties": [{"pid": "madeBy", "v": {"name": "no id"}}]}}',
        '{"q": {"properties": []}}',
        '{"q": "Alder"}',
    ],
)
def test_what_the_schema_refuses_is_refused(things: PublishedThings, broken: str) -> None:
    """The schema lets an empty query pass; the text of the API (section 4.1) does not."""
    if '"query": ""' not in broken:
        assert faults("reconciliation-query-batch", json.loads(broken))
    with pytest.raises(Problem, match="write it as the API has it"):
        batch(broken, things)
