"""What passages are cut from: images with their sizes, or the sources themselves."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from PIL import Image
from rdflib import Literal, URIRef
from rdflib.namespace import DCMITYPE, DCTERMS, RDF

from glost.answer.cache import Cache
from glost.answer.snapshot import Snapshot
from glost.answer.workspace import Workspace
from glost.names import EXIF, OA
from glost.record.changes import between
from glost.record.provenance import record_graph
from glost.record.record import Record, read
from shelf import write

BASE = "https://example.org/shelf/"
CAT, ONE, TWO = (
    URIRef(BASE + name) for name in ("source/cat", "images/p%201.png", "images/p2.png")
)
SOURCES = (
    "source,title,kind,date,image,claim,recorded_on\ncat,List,catalogue,1908,{},one,2020-01-01\n"
)
SHAPES = "shape,pottery,name,source,locator,region\n" + "".join(
    f"{name},harrow,{name.title()},cat,p. 3,{region}\n"
    for name, region in (
        ("alder", '"xywh=1,2,10,10"'),
        ("birch", '"p2.png#xywh=percent:1,2,10,10"'),
        ("cedar", '"t=3,5"'),
        ("dune", ""),
        ("elder", '"lost.png#xywh=1,2,3,4"'),
    )
)
FEW = dict.fromkeys(("flatware", "treatments", "pieces", "assortments"), "")
POTTERIES = "pottery,name,source,locator\nharrow,Harrow Pottery,cat,p. 1\n"

Shelf = Callable[[str], Path]


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    def made(images: str) -> Path:
        tables = {"sources": SOURCES.format(images), "shapes": SHAPES, "potteries": POTTERIES}
        folder = write(tmp_path / "shelf", **tables, **FEW)
        (folder / "images").mkdir()
        Image.new("RGB", (30, 20)).save(folder / "images" / "p 1.png")
        Image.new("RGB", (50, 40)).save(folder / "images" / "p2.png")
        return folder

    return made


def targets(record: Record, as_of: date | None = None) -> list[str]:
    """Return what the passage of each shape is cut from, in the order of the shapes."""
    graph = record_graph(record, as_of)
    found = []
    for claim in sorted(record.claims, key=lambda each: each.origin.row):
        if claim.origin.table == "shapes":
            (passage,) = graph.objects(claim.iri, URIRef("https://w3id.org/glost/ontology#restsOn"))
            assert list(graph.objects(passage, DCTERMS.isPartOf)) == [CAT]
            (target,) = graph.objects(passage, OA.hasSource)
            found.append(str(target).removeprefix(BASE))
    return found


def test_a_box_is_cut_from_the_only_image_or_the_one_named(shelf: Shelf) -> None:
    record = read(shelf("p 1.png"))
    assert targets(record) == [
        "images/p%201.png", "images/p2.png", "source/cat", "source/cat", "images/lost.png",
    ]  # fmt: skip
    graph = record_graph(record)
    for image, size in ((ONE, (30, 20)), (TWO, (50, 40))):
        assert set(graph.predicate_objects(image)) == {
            (RDF.type, DCMITYPE.StillImage), (EXIF.width, Literal(size[0])),
            (EXIF.height, Literal(size[1])),
        }  # fmt: skip
    assert (URIRef(f"{BASE}images/lost.png"), None, None) not in graph


@pytest.mark.parametrize("images", ["", "p 1.png|p2.png"])
def test_a_box_of_none_or_several_is_of_the_source(shelf: Shelf, images: str) -> None:
    assert targets(read(shelf(images)))[0] == "source/cat"


def test_an_image_that_nobody_believes_in_yet_is_none(shelf: Shelf) -> None:
    record = read(shelf("p2.png"))
    assert targets(record)[0] == "images/p2.png"
    assert targets(record, date(2019, 1, 1))[0] == "source/cat"


def test_an_open_workspace_tells_what_a_fresh_record_tells(shelf: Shelf) -> None:
    """One image, two, none, and another; with them, at once, the row of a passage that is there."""
    folder = shelf("p 1.png")
    workspace = Workspace(Snapshot(folder))
    more = SHAPES + 'fir,harrow,Fir,cat,p. 3,"xywh=1,2,10,10"\n'
    for images, shapes in (
        ("p 1.png|p2.png", SHAPES), ("", more), ("p2.png", SHAPES), ("p 1.png", more),
    ):  # fmt: skip
        (folder / "tables" / "sources.csv").write_text(SOURCES.format(images), encoding="utf-8")
        (folder / "tables" / "shapes.csv").write_text(shapes, encoding="utf-8")
        workspace.apply(between(workspace.record, read(folder)))
        assert set(workspace._about.graph) == set(record_graph(read(folder)))


def test_what_is_kept_is_of_the_images_as_they_are(shelf: Shelf, tmp_path: Path) -> None:
    folder = shelf("p 1.png")
    kept = Cache(tmp_path / "kept", folder)
    assert Cache(tmp_path / "kept", folder)._place == kept._place
    Image.new("RGB", (300, 200)).save(folder / "images" / "p 1.png")
    assert Cache(tmp_path / "kept", folder)._place != kept._place
