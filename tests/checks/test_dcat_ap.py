"""The description of a published collection passes the shapes of DCAT-AP 3.0.1.

Shapes: ``dcat_ap/``, see its README. Validator: pyshacl.
"""

from collections import Counter
from pathlib import Path

import pyshacl
import pytest
from rdflib import Graph, Literal, Namespace, URIRef
from rdflib.namespace import DCAT, DCTERMS, RDF

import twice
from glost.answer.snapshot import Snapshot
from glost.publish.data.descriptions import void_and_dcat
from glost.publish.data.facts import PublishedFile, StatementCounts
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents

SHAPES = Path(__file__).with_name("dcat_ap")
SH = Namespace("http://www.w3.org/ns/shacl#")
FILES = ("data/dataset.nq", "data/crm.ttl", "data/shapes.ttl", "data/tables/shapes.csv",
         "data/tables/csvw-metadata.json", "data/tables/claims.trig")  # fmt: skip


@pytest.fixture(scope="module")
def described(valley_held: SiteContents) -> Graph:
    files = [PublishedFile.of(name, name.encode()) for name in FILES]
    told = void_and_dcat(valley_held, PageFrame.of(valley_held), files, StatementCounts())
    return Graph().parse(data=told, format="turtle")


def results(data: Graph, name: str) -> Counter[tuple[str, str]]:
    """Count what a file of shapes finds, by path and severity."""
    shapes = Graph().parse(SHAPES / f"{name}.ttl", format="turtle")
    assert (None, RDF.type, SH.NodeShape) in shapes
    _, report, _ = pyshacl.validate(data, shacl_graph=shapes)
    assert isinstance(report, Graph)
    return Counter(
        (str(report.value(each, SH.resultPath)), str(report.value(each, SH.resultSeverity)))
        for each in report.subjects(RDF.type, SH.ValidationResult)
    )


@pytest.mark.parametrize("name", ["shapes", "range"])
def test_nothing_mandatory_lacks_and_nothing_is_of_a_wrong_class(
    described: Graph, name: str
) -> None:
    assert results(described, name) == Counter()


def test_what_is_recommended_is_given_but_for_what_only_a_portal_knows(described: Graph) -> None:
    """A kind of publisher, a kind of licence, coordinates of a place that is invented, and for how
    long a file is meant to be available.
    """
    warning = str(SH.Warning)
    assert results(described, "shapes_recommended") == {
        (str(DCTERMS.type), warning): 2,
        (str(DCAT.bbox), warning): 1,
        (str(DCAT.centroid), warning): 1,
        ("http://data.europa.eu/r5r/availability", warning): len(FILES),
    }


@pytest.mark.parametrize(
    ("name", "property_"),
    [("shapes", DCAT.accessURL), ("shapes", DCTERMS.description), ("range", DCTERMS.license)],
)
def test_the_shapes_find_what_is_left_out(described: Graph, name: str, property_: URIRef) -> None:
    broken = Graph() + described
    broken.remove((None, property_, None))
    if name == "range":
        broken.add((URIRef("https://example.org/wend/data/catalogue"), property_, Literal("free")))
    assert any(path == str(property_) for path, _ in results(broken, name))


def test_settings_stand_in_the_description(described: Graph) -> None:
    """``collection.toml`` of the example, read by eye."""
    dataset = URIRef("https://example.org/wend/data/dataset")
    words = {str(each) for each in described.objects(dataset, DCAT.keyword)}
    assert words == {"ceramics", "dinnerware", "potteries", "backstamps", "kilns"}
    english = URIRef("http://id.loc.gov/vocabulary/iso639-1/en")
    assert described.value(dataset, DCTERMS.language) == english
    assert str(described.value(dataset, DCTERMS.issued)) == "2024-06-30"
    contact = described.value(dataset, DCAT.contactPoint)
    address = Namespace("http://www.w3.org/2006/vcard/ns#").hasEmail
    assert described.value(contact, address) == URIRef("mailto:archive@example.org")


@pytest.mark.parametrize("name", ["shapes", "range"])
def test_editions_are_versions_that_lack_nothing(tmp_path: Path, name: str) -> None:
    folder = twice.write(tmp_path / "shelf")
    with (folder / "collection.toml").open("a", encoding="utf-8") as settings:
        settings.write('publisher = "The keeper"\n')
    held = SiteContents(Snapshot(folder), ())
    told = void_and_dcat(held, PageFrame.of(held), [], StatementCounts())
    data = Graph().parse(data=told, format="turtle")
    versions = URIRef("http://www.w3.org/ns/dcat#hasVersion")
    assert len(set(data.objects(None, versions))) == 2
    assert results(data, name) == Counter()
