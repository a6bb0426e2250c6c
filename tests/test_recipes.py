"""The recipes of DEVELOPERS.md, followed: in a copy of the program one of each is added.

What is added touches the one place that the recipe names, and is then used by the command line.
"""

import csv
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from shelf import write

TOP = Path(__file__).parents[1]

COMMAND = '''"""The command ``glost greet``."""

import click

from glost_cli import options
from glost_cli.group import ASK

PART = ASK


@click.command()
@options.collection
def greet(folder: options.Path) -> None:
    """Greet a collection by its title."""
    with options.snapshot(folder) as snapshot:
        click.echo(f"Good day, {snapshot.collection.title}.")
'''

QUESTION = """# question: Which pieces show their stacking?
# topic: Pieces
# why: Stacking marks tell how ware was fired.
# column: piece | the piece
# evidence: ?piece glost:feature ?feature

PREFIX glost: <https://w3id.org/glost/ontology#>
SELECT ?piece WHERE { ?piece glost:feature ?feature FILTER(CONTAINS(STR(?feature), "stacking")) }
ORDER BY ?piece
"""

PICTURE = '''"""How many pieces there are, as a row of dots."""

from rdflib.namespace import RDF

from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.picture import Drawing, PictureWords
from glost.publish.pictures.subjects import Subject


def _drawn(snapshot: Snapshot, _: str) -> Drawing:
    pieces = sorted(map(str, snapshot.belief.graph.subjects(RDF.type, GLOST.Piece)))
    rows = tuple((each, "", "") for each in pieces)

    def sheet() -> Canvas:
        return Canvas(200, 100)

    said = PictureWords(f"{len(rows)} pieces.", ("piece", "rests on", "claims"), rows)
    return Drawing("Pieces", said, (sheet,))


SUBJECT = Subject("", _drawn, lists=(("", "piece"),))
'''

RULE = """
[[rule]]
name = "sharer-ends-first"
why = "What uses the flatware of another line ends no later than that line."
where = ["one sharesFlatwareWith two"]
then = ["one.end <= two.end"]
"""

SHAPE = """
shapes:plate-without-size a sh:PropertyShape ;
    sh:targetClass glost:Piece ;
    sh:path glost:tradeSize ;
    sh:minCount 1 ;
    sh:severity sh:Warning ;
    sh:message "It is not said how large the piece is."@en ;
    rdfs:comment "Measure it."@en .
"""


CHECK = '''"""Shapes that are called like trees."""

from rdflib.namespace import RDF, RDFS

from glost.answer.checks import Check
from glost.findings import Finding, Severity
from glost.names import GLOST
from glost.words.sentences import sides


def _found(_, belief):
    for shape in sorted(belief.graph.subjects(RDF.type, GLOST.Shape)):
        for triple in sorted(belief.graph.triples((shape, RDFS.label, None))):
            if str(triple[2]) in ("Alder", "Birch"):
                told = sides(belief.rests_on(triple), belief.worded, [triple])
                yield Finding("tree", Severity.NOTE, (str(shape),), "It is a tree.", told)


CHECK = Check(_found, disputes=True)
'''


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Copy the program and add to it; a collection lies beside it."""
    top = tmp_path_factory.mktemp("recipes")
    for name in ("kg", "cli", "ontology", "shapes_shacl"):
        shutil.copytree(TOP / name, top / name)
    kg = top / "kg" / "glost"
    (top / "cli/glost_cli/commands/greet.py").write_text(COMMAND, encoding="utf-8")
    (kg / "answer/questions/stacking.rq").write_text(QUESTION, encoding="utf-8")
    (kg / "publish/pictures/kinds/dots.py").write_text(PICTURE, encoding="utf-8")
    (kg / "answer/checks/trees.py").write_text(CHECK, encoding="utf-8")
    rules = kg / "trade/times/rules.toml"
    rules.write_text(rules.read_text(encoding="utf-8") + RULE, encoding="utf-8")
    pieces = top / "shapes_shacl" / "pieces.ttl"
    pieces.write_text(pieces.read_text(encoding="utf-8") + SHAPE, encoding="utf-8")
    write(top / "shelf")
    return top


def glost(place: Path, *words: str) -> tuple[int, str]:
    """Run the copy's command on the collection."""
    ended = subprocess.run(
        [sys.executable, "-m", "glost_cli", *words],
        cwd=place / "shelf",
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": f"{place / 'kg'}:{place / 'cli'}"},
    )
    return ended.returncode, ended.stdout + ended.stderr


def test_a_command(place: Path) -> None:
    assert glost(place, "greet") == (0, "Good day, A shelf.\n")
    code, out = glost(place, "--help")
    assert code == 0
    assert "Greet a collection by its title." in out.partition("Ask, and see why:")[2]


def test_a_question(place: Path) -> None:
    code, out = glost(place, "ask", "stacking", "--as", "csv")
    assert code == 0
    (row,) = csv.DictReader(line for line in out.splitlines() if not line.startswith("# "))
    assert row["piece"] == "https://example.org/shelf/piece/p1"
    assert "Which pieces show their stacking?" in glost(place, "ask")[1]


def test_a_picture(place: Path) -> None:
    code, out = glost(place, "draw", "dots", "--words")
    assert (code, "2 pieces." in out) == (0, True)
    code, out = glost(place, "publish", str(place / "site"))
    assert code == 0, out
    assert (place / "site/pictures/dots.svg").exists()
    assert "pictures/dots.svg" in (place / "site/piece/index.html").read_text(encoding="utf-8")


def test_a_rule_of_time(place: Path) -> None:
    """Alder uses Birch's flatware, and Birch ended by 1920-12-31; nothing else ends Alder."""
    code, out = glost(place, "when", "alder")
    assert code == 0
    assert "Alder ended no later than 1920" in out
    assert "What uses the flatware of another line ends no later than that line." in out


def test_a_check(place: Path) -> None:
    code, out = glost(place, "check", "--notes")
    assert code == 1  # something was found
    assert "It is not said how large the piece is." in out
    assert out.count("It is a tree.") == 2
    code, out = glost(place, "sheet", "alder")
    assert code == 0
    assert "It is a tree." in out.partition("## Conflicts")[2]
