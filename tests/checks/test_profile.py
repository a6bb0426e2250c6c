"""The profile of what every conforming dataset has: fresh, met by the examples, and not empty.

Validators: pyshacl, and for the larger example the Rust library ``shacl`` where it is installed.
"""

import re
from pathlib import Path

import pyshacl
import pytest
from rdflib import BNode, Dataset, Graph, Literal, Namespace, URIRef
from rdflib.namespace import DCTERMS, RDF

from glost.answer.dataset import quads
from glost.answer.shacl import _text
from glost.answer.snapshot import Snapshot
from glost.data import folder
from glost.names import EDTF, GLOST
from glost.publish.data.descriptions import PROF, void_and_dcat
from glost.publish.data.facts import StatementCounts
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents
from profile_maker import BASE, WRITTEN, Maker
from shelf import write

SH = Namespace("http://www.w3.org/ns/shacl#")
HERE = Path(__file__).parent
PLACE = folder("shapes_shacl") / "profile"
EX = Namespace("https://example.org/")


@pytest.fixture(scope="module")
def shapes() -> Graph:
    return Graph().parse(PLACE / "classes.ttl").parse(PLACE / "properties.ttl")


def broken(data: Graph, shapes: Graph) -> dict[str, set[str]]:
    """Return the names of the shapes that data break, each with what breaks them."""
    _, report, _ = pyshacl.validate(data, shacl_graph=shapes)
    assert isinstance(report, Graph)
    found: dict[str, set[str]] = {}
    for result in report.subjects(RDF.type, SH.ValidationResult):
        assert report.value(result, SH.resultSeverity) == SH.Violation
        shape = report.value(result, SH.sourceShape)
        while isinstance(shape, BNode):
            shape = next(shapes.subjects(None, shape))
        focus = str(report.value(result, SH.focusNode))
        found.setdefault(str(shape).removeprefix(BASE), set()).add(focus)
    return found


def test_the_profile_is_made_of_the_vocabulary_and_tables_as_they_are() -> None:
    """If this fails, run ``python tests/support/profile_maker.py``."""
    for name, text in Maker().files().items():
        assert (PLACE / name).read_text(encoding="utf-8") == text, name


def test_every_shape_has_a_target_a_severity_and_a_message(shapes: Graph) -> None:
    named = list(shapes.subjects(RDF.type, SH.NodeShape))
    assert len(named) > 200
    for shape in named:
        targets = {
            *shapes.objects(shape, SH.targetClass),
            *shapes.objects(shape, SH.targetSubjectsOf),
        }
        assert len(targets) == 1, shape
        for part in (shape, *shapes.objects(shape, SH.property)):
            assert shapes.value(part, SH.severity) == SH.Violation
            assert str(shapes.value(part, SH.message)).endswith(".")


@pytest.fixture(scope="module")
def examples() -> dict[str, Graph]:
    """What passes and what fails, each taken together; no two examples speak of one thing."""
    made = Dataset().parse(PLACE / "examples.trig")
    found = {"passes": Graph(), "fails": Graph()}
    for s, p, o, name in made.quads():
        found[str(name).rpartition("/")[2]].add((s, p, o))
    return found


def test_examples_that_pass_break_nothing(shapes: Graph, examples: dict[str, Graph]) -> None:
    assert broken(examples["passes"], shapes) == {}


def test_every_shape_is_broken_by_its_example(shapes: Graph, examples: dict[str, Graph]) -> None:
    found = broken(examples["fails"], shapes)
    for shape in shapes.subjects(RDF.type, SH.NodeShape):
        name = str(shape).removeprefix(BASE)
        focus = URIRef(f"{BASE}{name}-fails")
        if (focus, None, None) in examples["fails"]:
            assert str(focus) in found[name], name
        else:  # what fails is that it has no name
            assert any(not each.startswith("http") for each in found[name]), name


BAD = {
    "a shape that is a pottery": [
        (EX.x, RDF.type, GLOST.Shape), (EX.x, RDF.type, GLOST.Pottery),
    ],
    "a kiln as maker": [
        (EX.x, RDF.type, GLOST.Shape), (EX.x, GLOST.madeBy, EX.k), (EX.k, RDF.type, GLOST.Kiln),
    ],
    "a date in words": [(EX.x, GLOST.date, Literal("some day in spring", datatype=EDTF))],
    "a date that is no EDTF": [(EX.x, GLOST.date, Literal("1908"))],
    "a form that is in no list": [
        (EX.x, RDF.type, GLOST.Piece), (EX.x, GLOST.form, EX.teapot),
    ],
    "a claim without a source": [(EX.x, RDF.type, GLOST.Claim)],
}  # fmt: skip


@pytest.mark.parametrize("what", BAD)
def test_what_no_dataset_may_say_is_found(what: str, shapes: Graph) -> None:
    data = Graph()
    for triple in BAD[what]:
        data.add(triple)
    assert str(EX.x) in set().union(*broken(data, shapes).values())


def told(snapshot: Snapshot) -> Graph:
    """Return the default graph and what is said of claims: what a dataset says."""
    data, record = Graph(), URIRef(f"{snapshot.record.base}record")
    for s, p, o, name in quads(snapshot.contents):
        if name is None or name == record:
            data.add((s, p, o))
    return data


def test_a_small_collection_conforms(tmp_path: Path, shapes: Graph) -> None:
    assert broken(told(Snapshot(write(tmp_path / "shelf"))), shapes) == {}


def test_the_larger_example_conforms(valley: Snapshot, shapes: Graph) -> None:
    shacl = pytest.importorskip("shacl")
    data = told(valley)
    report = shacl.Shapes.from_text(_text(shapes), "nt").validate_text(_text(data), "nt")
    assert [(each.focus_node, each.root_shape, each.value) for each in report.results] == []


def test_dates_that_the_standard_gives_are_let_through() -> None:
    """The examples of the EDTF specification (Library of Congress, 2019); see ``test_edtf.py``."""
    lines = (HERE / "edtf_examples.tsv").read_text(encoding="utf-8").splitlines()
    head, *rows = [line.split("\t") for line in lines if not line.startswith("#")]
    dates = [row[head.index("edtf")] for row in rows]
    assert len(dates) >= 60
    assert [each for each in dates if not re.search(WRITTEN, each) and "T" not in each] == []
    for wrong in ("some day in spring", "spring 1908", "1908-", "about 1908", "1.5.1908"):
        assert not re.search(WRITTEN, wrong), wrong


def test_the_dataset_says_what_profile_it_conforms_to(valley_held: SiteContents) -> None:
    """The Profiles Vocabulary (W3C Working Group Note, 2019)."""
    text = void_and_dcat(valley_held, PageFrame.of(valley_held), (), StatementCounts())
    graph = Graph().parse(data=text, format="turtle")
    dataset = URIRef("https://example.org/wend/data/dataset")
    profile = graph.value(dataset, DCTERMS.conformsTo)
    assert profile == URIRef("https://w3id.org/glost/profile")
    assert (profile, RDF.type, PROF.Profile) in graph
    roles = {
        str(graph.value(each, PROF.hasRole)).rpartition("/")[2]: str(
            graph.value(each, PROF.hasArtifact)
        )
        for each in graph.objects(profile, PROF.hasResource)
    }
    assert roles == {
        "validation": "https://example.org/wend/data/profile.ttl",
        "example": "https://example.org/wend/data/profile-examples.trig",
        "vocabulary": "https://example.org/wend/data/ontology.ttl",
    }
