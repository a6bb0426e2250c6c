"""Records of Linked Art 1.0: valid by its own schemas, and the same statements in the CRM.

``linked_art/``: the JSON schemas of github.com/linked-art/json-validator, Apache License 2.0. The
context is Linked Art's own, which stands in ``ontology/alignments/``. Libraries: jsonschema, PyLD.
"""

import csv
import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from pyld import jsonld
from rdflib import URIRef
from referencing import Registry
from referencing.jsonschema import DRAFT202012

from glost.answer.snapshot import Snapshot
from glost.data import folder
from glost.publish.data.crm import paths
from glost.publish.data.linked_art import CONTEXT, TABLE, records
from glost.publish.site.holdings import SiteContents
from glost.record.dates import calendar_day
from glost.record.errors import RecordErrors
from glost_cli.commands.export import export

HERE = Path(__file__).parent
BASE, CRM = "https://example.org/wend/", "http://www.cidoc-crm.org/cidoc-crm/"
SCHEMAS = {"visual": "image"}
"""The schema of a folder of records, where it bears another name."""
Json = dict[str, Any]


@pytest.fixture(scope="module")
def told(valley_held: SiteContents) -> dict[str, Json]:
    return {name: json.loads(text) for name, text in records(valley_held).items()}


@pytest.fixture(scope="module")
def validators() -> dict[str, Draft202012Validator]:
    files = {
        path.name: json.loads(path.read_text("utf-8"))
        for path in (HERE / "linked_art").glob("*.json")
    }
    registry: Registry[Any] = Registry().with_resources(
        (schema["$id"], DRAFT202012.create_resource(schema)) for schema in files.values()
    )
    return {
        name[:-5]: Draft202012Validator(each, registry=registry) for name, each in files.items()
    }


def faults(name: str, record: Json, validators: dict[str, Draft202012Validator]) -> list[str]:
    kind = name.partition("/")[0]
    return [each.message for each in validators[SCHEMAS.get(kind, kind)].iter_errors(record)]


def test_every_record_is_valid_by_the_schemas_of_linked_art(
    told: dict[str, Json], validators: dict[str, Draft202012Validator]
) -> None:
    assert len(told) > 300
    assert {name.partition("/")[0] for name in told} == {
        "object", "group", "person", "concept", "visual", "text", "place",
    }  # fmt: skip
    assert {
        name: found for name, each in told.items() if (found := faults(name, each, validators))
    } == {}


@pytest.mark.parametrize(
    "change", [{"type": "Kiln"}, {"made_in": "1908"}, {"identified_by": "Alder"}]
)
def test_what_is_not_linked_art_is_found(
    told: dict[str, Json], validators: dict[str, Draft202012Validator], change: Json
) -> None:
    name = next(each for each in told if each.startswith("object/"))
    assert faults(name, {**told[name], **change}, validators)


def test_every_thing_of_a_class_with_records_has_one(
    told: dict[str, Json], valley: Snapshot
) -> None:
    """By the ids in the tables."""
    for kind, prefix in (("pieces", "object/piece."), ("potteries", "group/pottery."), ("people", "person/person."),
                         ("marks", "visual/mark."), ("shapes", "concept/shape.")):  # fmt: skip
        column = {"people": "person"}.get(
            kind, kind[:-3] + "y" if kind.endswith("ies") else kind[:-1]
        )
        with (valley.path / "tables" / f"{kind}.csv").open(encoding="utf-8", newline="") as file:
            ids = {row[column] for row in csv.DictReader(file)}
        assert {f"{prefix}{each}.json" for each in ids} == {n for n in told if n.startswith(prefix)}


def test_a_piece_says_what_its_row_says(told: dict[str, Json], valley: Snapshot) -> None:
    with (valley.path / "tables" / "pieces.csv").open(encoding="utf-8", newline="") as file:
        row = next(r for r in csv.DictReader(file) if r["accession"] and r["shape"] and r["mark"])
    record = told[f"object/piece.{row['piece']}.json"]
    assert (record["@context"], record["id"]) == (CONTEXT, f"{BASE}piece/{row['piece']}")
    kinds = {each["id"] for each in record["classified_as"]}
    assert f"{BASE}shape/{row['shape']}" in kinds
    (number,) = (each for each in record["identified_by"] if each["type"] == "Identifier")
    assert number["content"] == row["accession"]
    assert f"{BASE}mark/{row['mark']}" in {each["id"] for each in record["shows"]}
    said = {each["content"] for each in record["referred_to_by"]}
    assert {row["held_by"], row["number_read"]} - {""} <= said
    making, *_ = (
        part["timespan"] for part in record["produced_by"]["part"]
        if part["classified_as"][0]["id"].endswith("#made")
    )  # fmt: skip
    bounds = valley.chronology.bounds(URIRef(f"{BASE}piece/{row['piece']}#made"))
    first = "{:04}-{:02}-{:02}T00:00:00Z".format(*calendar_day(bounds.earliest))
    assert making["begin_of_the_begin"] == first


def test_expanded_by_another_library_a_record_is_statements_of_the_crm(
    told: dict[str, Json],
) -> None:
    """What the context makes of it: every key is a term of the CRM, RDFS or SKOS that exists."""
    path = folder("ontology") / "alignments" / "linked_art_context.jsonld"
    context = json.loads(path.read_text(encoding="utf-8"))["@context"]
    lines = (HERE / "crm_713_properties.tsv").read_text(encoding="utf-8").splitlines()
    known = {line.split("\t")[0] for line in lines if not line.startswith("#")}
    seen: set[str] = set()
    for name in sorted(told)[::25]:
        expanded = jsonld.expand({**told[name], "@context": context})
        terms = set(re.findall(r'"([^"@ ]+)": \[', json.dumps(expanded)))
        seen |= terms
        for term in terms:
            local = term.removeprefix(CRM)
            assert local in known or term in (
                "http://www.w3.org/2000/01/rdf-schema#label",
                "http://www.w3.org/2004/02/skos/core#broader",
            ), term
    wanted = {"P108i_was_produced_by", "P9_consists_of", "P82a_begin_of_the_begin", "P2_has_type"}
    assert {f"{CRM}{each}" for each in wanted} <= seen


def test_every_path_has_a_reason() -> None:
    assert len(paths(TABLE)) > 40
    for path in paths(TABLE):
        assert path.reason.endswith("."), path
        assert len(path.reason) > 15, path


def test_the_command_writes_a_folder_of_records_and_nothing_over_another(tmp_path: Path) -> None:
    one = folder("ontology").parent / "examples" / "one-shelf"
    command = [str(tmp_path / "la"), "--as", "linked-art", "-c", str(one)]
    done = CliRunner().invoke(export, command, standalone_mode=False)
    assert done.exception is None
    made = {path.relative_to(tmp_path / "la").as_posix(): path.read_text(encoding="utf-8")
            for path in (tmp_path / "la").rglob("*.json")}  # fmt: skip
    assert made == records(SiteContents(Snapshot(one), ()))
    again = CliRunner().invoke(export, command, standalone_mode=False)
    assert isinstance(again.exception, RecordErrors)
