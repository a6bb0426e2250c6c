"""The command terms, and the terms in the guide of a new collection."""

import csv
import io
from pathlib import Path

import pytest
from click.testing import CliRunner
from rdflib import Graph, URIRef
from rdflib.namespace import SKOS

from glost.record.errors import RecordErrors
from glost.record.starting import guide
from glost_cli.main import glost
from printed import tables

TOP = Path(__file__).resolve().parents[2]
VALLEY = str(TOP / "examples" / "wend-valley")
SCHEMES = sorted((TOP / "ontology" / "schemes").glob("*.ttl"))

pytestmark = pytest.mark.usefixtures("keeping_examples")


def run(*words: str, collection: str = VALLEY) -> str:
    ran = CliRunner().invoke(glost, ["terms", *words, "-c", collection], catch_exceptions=False)
    assert ran.exit_code == 0
    return ran.output


def concepts(scheme: str) -> dict[str, str]:
    """Read a scheme's terms and definitions off its own file."""
    graph = Graph().parse(TOP / "ontology" / "schemes" / f"{scheme}.ttl")
    whole = URIRef(f"https://w3id.org/glost/{scheme}")
    found = {}
    for concept in graph.subjects(SKOS.inScheme, whole):
        (definition,) = graph.objects(concept, SKOS.definition)
        found[str(concept).rsplit("/", 1)[-1]] = str(definition)
    return found


def test_the_lists_there_are_and_where_they_stand() -> None:
    rows = {row["list"]: row for row in csv.DictReader(io.StringIO(run("--as", "csv")))}
    assert set(rows) == {path.stem for path in SCHEMES}
    assert rows["kiln-kind"]["stands in"] == "kilns.kind"
    assert rows["certainty"]["stands in"] == "certainty"
    assert int(rows["role"]["terms"]) == len(concepts("role")) + 1  # one of the valley's own


@pytest.mark.parametrize("path", SCHEMES, ids=lambda path: path.stem)
def test_every_term_of_a_list_with_its_definition(path: Path, tmp_path: Path) -> None:
    (found,) = tables(run(path.stem, "--as", "json", collection=str(tmp_path)))
    expected = concepts(path.stem)
    assert {term["term"] for term in found} == {*expected}
    assert all(term["meaning"].startswith(expected[term["term"]]) for term in found)
    assert not any(term["own"] for term in found)


def test_terms_of_ones_own_are_marked() -> None:
    rows = list(csv.DictReader(io.StringIO(run("forms", "--as", "csv"))))
    own = [row for row in rows if row["own"]]
    assert [row["term"] for row in own] == ["trivet-stand"]
    assert own[0]["counts as"] == "flatware" and own[0]["other names"] == "hot stand"
    assert own[0]["meaning"].startswith("A trivet stand is a thick round tile")


@pytest.mark.parametrize(
    ("text", "lists"),
    [
        ("roles", {"role"}),
        ("Kiln kinds", {"kiln-kind"}),
        ("relations of time", {"relation"}),
        ("relations of a match", {"match-relation"}),
        ("relations", {"relation"}),
        (
            "kinds",
            {"code-kind", "correction-kind", "kiln-kind", "link-kind", "source-kind", "zone-kind"},
        ),
        ("glasses", set()),
    ],
)
def test_a_list_by_any_of_its_names(text: str, lists: set[str]) -> None:
    if not lists:
        with pytest.raises(RecordErrors, match='there is no list "glasses"; there are application'):
            run(text)
        return
    rows = csv.DictReader(io.StringIO(run(text, "--as", "csv")))
    assert {row["list"] for row in rows} == lists


def test_a_table_says_what_the_list_is() -> None:
    text = run("roles")
    assert text.startswith("Roles: The scheme lists what people did in the trade.")
    assert "kiln-drawer" in text


def test_the_guide_defines_every_term() -> None:
    text = guide()
    count = 0
    for path in SCHEMES:
        for name, definition in concepts(path.stem).items():
            count += 1
            assert f"- `{name}`" in text and definition in text
    assert count > 150
