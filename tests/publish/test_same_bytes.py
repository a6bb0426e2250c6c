"""What is handed on is the same to the last byte, whichever process made it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
import rdflib
from rdflib import BNode, Graph
from rdflib.compare import isomorphic

import glost
from glost import data
from shelf import write

_CODE = """
import sys
from hashlib import sha256
from pathlib import Path
from rdflib import URIRef
from glost.answer.snapshot import Snapshot
from glost.data import concepts, vocabulary
from glost.publish.exports import FORMATS, rdf_bytes, write_tables
from glost.publish.handover.plan import Plan
snapshot = Snapshot(Path(sys.argv[1]))
for form in FORMATS:
    print(form, sha256(rdf_bytes(snapshot.contents, form)).hexdigest())
for file in write_tables(snapshot.record, Path(sys.argv[2])):
    print(file.name, sha256(file.read_bytes()).hexdigest())
print("handover", Plan(snapshot.contents, URIRef("https://example.org/b")).digest)
for graph in (vocabulary(), concepts()):
    print("words", sha256(graph.serialize(format="turtle", encoding="utf-8")).hexdigest())
"""


def test_every_process_gives_the_same_bytes(tmp_path: Path) -> None:
    collection = write(tmp_path / "shelf")
    told = set()
    for seed in ("1", "77"):
        environment = {
            **os.environ,
            "PYTHONHASHSEED": seed,
            "GLOST_CACHE": "",
            "PYTHONPATH": str(Path(glost.__file__).parents[1]),
        }
        command = [sys.executable, "-c", _CODE, str(collection), str(tmp_path / seed)]
        done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
        told.add(done.stdout)
    assert len(told) == 1
    assert len(told.pop().splitlines()) > 12


def test_the_vocabulary_is_read_as_it_is_written_and_no_two_nodes_become_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(rdflib, "NORMALIZE_LITERALS", False)
    read = Graph()
    schemes = sorted((data.folder("ontology") / "schemes").glob("*.ttl"))
    own = (data.folder("ontology") / name for name in ("glost.ttl", "tables.ttl"))
    for path in (*own, *schemes):
        read.parse(path, format="turtle")
    assert any(isinstance(node, BNode) for node in data.vocabulary().all_nodes())
    assert isomorphic(read, data.vocabulary())
