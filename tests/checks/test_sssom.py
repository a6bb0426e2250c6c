"""The example's matches against SSSOM 1.0 and against its own tables, both read without Glost.

The file is read as https://mapping-commons.github.io/sssom/spec-formats-tsv/ says: metadata as YAML
behind ``#``, then tab-separated values; multi-valued slots are parted by ``|``. The JSON schema in
``sssom`` is that of version 1.0.0. ``tests/clients/test_sssom.py`` reads it with the package sssom.
"""

import csv
import io
import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from rdflib import Graph, URIRef
from rdflib.namespace import SKOS

from glost.answer.snapshot import Snapshot
from glost.publish.data.mappings import skos_bytes, sssom_bytes

HERE = Path(__file__).parent
EXAMPLE = HERE.parents[1] / "examples" / "wend-valley"
SCHEMA = json.loads((HERE / "sssom" / "sssom_schema.json").read_text(encoding="utf-8"))
MANY = ("author_label", "see_also")


def read(text: str) -> dict[str, Any]:
    """Read a file of mappings: its metadata, flat but for the prefixes, and its rows."""
    lines = text.splitlines()
    head = [line.removeprefix("#").strip() for line in lines if line.startswith("#")]
    found: dict[str, Any] = {"curie_map": {}}
    for line in head[1:]:
        key, value = line.split(": ", 1)
        (found if "_" in key or key == "license" else found["curie_map"])[key] = json.loads(value)
    assert head[0] == "curie_map:"
    rows = csv.DictReader(io.StringIO("\n".join(lines[len(head) :])), delimiter="\t")
    found["mappings"] = [
        {k: v.split("|") if k in MANY else v for k, v in row.items() if v} for row in rows
    ]
    return found


@pytest.fixture(scope="module")
def written(valley: Snapshot) -> dict[str, Any]:
    return read(sssom_bytes(valley).decode())


def table(name: str) -> list[dict[str, str]]:
    with (EXAMPLE / "tables" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_it_keeps_to_the_schema_and_the_schema_finds_what_is_wrong(written: dict[str, Any]) -> None:
    validator = jsonschema.Draft201909Validator({**SCHEMA["$defs"]["MappingSet"], **{
        "$defs": SCHEMA["$defs"]}})  # fmt: skip
    told = dict(written)
    names = told.pop("curie_map")
    assert list(validator.iter_errors(told)) == []
    for broken in (
        {**told, "license": 7},
        {**told, "colour": "red"},
        {**told, "mappings": [{**told["mappings"][0], "predicate_modifier": "Maybe"}]},
        {k: v for k, v in told.items() if k != "mapping_set_id"},
    ):
        assert list(validator.iter_errors(broken))
    assert names["skos"] == str(SKOS)


def test_every_identifier_has_a_prefix_that_is_declared(written: dict[str, Any]) -> None:
    for row in written["mappings"]:
        for slot in ("subject_id", "predicate_id", "object_id", "mapping_justification"):
            prefix, _, rest = row[slot].partition(":")
            assert prefix in written["curie_map"] and rest and not rest.startswith("//"), row


def test_rows_are_those_of_the_table(written: dict[str, Any]) -> None:
    names = written["curie_map"]

    def whole(curie: str) -> str:
        prefix, _, rest = curie.partition(":")
        return str(names[prefix]) + rest

    own = [row for row in written["mappings"] if "author_label" in row]
    base = re.search(r'base = "(.*)"', (EXAMPLE / "collection.toml").read_text("utf-8"))
    assert base
    relations = {"no-match": "exact"}
    expected = {
        (
            base[1] + row["thing"], f"skos:{relations.get(row['relation'], row['relation'])}Match",
            "Not" if row["relation"] == "no-match" else "", row["match"], row["name_there"],
            row["recorded_by"], row["recorded_on"], row["evidence"],
            f"certainty: {row['certainty']}" if row["certainty"] else "",
        )
        for row in table("matches")
    }  # fmt: skip
    assert len(own) == len(expected) == 8
    assert {
        (
            whole(row["subject_id"]), row["predicate_id"], row.get("predicate_modifier", ""),
            whole(row["object_id"]), row["object_label"], *row["author_label"],
            row["mapping_date"], row["comment"], row.get("other", ""),
        )
        for row in own
    } == expected  # fmt: skip
    assert all(row["mapping_justification"] == "semapv:ManualMappingCuration" for row in own)
    claims = [address for row in own for address in row["see_also"]]
    assert len(set(claims)) == 8 and all(c.startswith(f"{base[1]}claim/") for c in claims)


def test_close_matches_of_the_published_schemes_go_along_as_not_yet_looked_at(
    written: dict[str, Any],
) -> None:
    text = "".join(
        path.read_text(encoding="utf-8")
        for path in sorted((HERE.parents[1] / "ontology" / "schemes").glob("*.ttl"))
    )
    known = re.findall(r"<http://vocab.getty.edu/aat/([0-9]+)>", text)
    rows = [row for row in written["mappings"] if "author_label" not in row]
    assert sorted(row["object_id"] for row in rows) == sorted(f"aat:{number}" for number in known)
    assert {row["mapping_justification"] for row in rows} == {"semapv:UnspecifiedMatching"}


def test_skos_has_what_is_held_and_not_what_is_denied(valley: Snapshot) -> None:
    graph = Graph().parse(data=skos_bytes(valley), format="turtle")
    base = valley.record.base
    for row in table("matches"):
        thing, listed = URIRef(base + row["thing"]), URIRef(row["match"])
        held = set(graph.predicates(thing, listed))
        assert held == (
            set() if row["relation"] == "no-match" else {SKOS[f"{row['relation']}Match"]}
        )
    # SKOS Reference, S46: no two are in an exact match and in a broad or related one as well.
    exact = set(graph.subject_objects(SKOS.exactMatch))
    assert not exact & set(graph.subject_objects(SKOS.broadMatch))
    assert not exact & set(graph.subject_objects(SKOS.relatedMatch))
