"""The npm package fetch-sparql-endpoint against the endpoint."""

import json
import shutil
import subprocess
from pathlib import Path

BASE = "https://example.org/shelf/"
PREFIX = (
    "PREFIX glost: <https://w3id.org/glost/ontology#> "
    "PREFIX rdfs: <http://www.w3.org/2000/01/rdf-schema#> "
)
QUERIES = (
    PREFIX + "SELECT ?name WHERE { ?shape a glost:Shape ; rdfs:label ?name } ORDER BY ?name",
    PREFIX + "ASK { ?shape a glost:Shape }",
    PREFIX + "CONSTRUCT { ?s a glost:Shape } WHERE { ?s a glost:Shape }",
    "SELECT * WHERE { ?a ?b ?c . ?d ?e ?f }",
)


def test_a_client_in_javascript_reads_the_endpoint(address: str, tmp_path: Path) -> None:
    (tmp_path / "package.json").write_text('{"private": true, "type": "module"}')
    install = ["npm", "install", "--no-audit", "--no-fund", "--silent", "fetch-sparql-endpoint@7"]
    subprocess.run(install, cwd=tmp_path, check=True, timeout=300)
    shutil.copy(Path(__file__).with_name("ask.mjs"), tmp_path)
    done = subprocess.run(
        ["node", "ask.mjs", f"{address}sparql", *QUERIES],
        cwd=tmp_path,
        check=True,
        capture_output=True,
        text=True,
        timeout=60,
    )
    told = json.loads(done.stdout)
    assert told["rows"] == ["Alder", "Birch"]
    assert told["yes"] is True
    assert sorted(told["subjects"]) == [f"{BASE}shape/alder", f"{BASE}shape/birch"]
    assert "500" in told["refused"]
