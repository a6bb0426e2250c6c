"""Parts of images and stretches of recordings, as Media Fragments URI 1.0 writes them.

The examples of time are those of W3C, *Media Fragments URI 1.0 (basic)*, 2012, section 4.2.1.1.
"""

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rdflib import Literal, URIRef
from rdflib.namespace import DCTERMS, RDF

from glost.names import GLOST, OA
from glost.record.errors import RecordErrors
from glost.record.fragments import FragmentError, clock, read_fragment
from glost.record.provenance import MEDIA_FRAGMENTS, record_graph
from glost.record.record import read
from shelf import write


@pytest.mark.parametrize(
    ("text", "begin", "end"),
    [
        ("t=10,20", 10, 20),
        ("t=,20", None, 20),
        ("t=10", 10, None),
        ("t=npt:10,20", 10, 20),
        ("t=npt:,121.5", None, Fraction(243, 2)),
        ("t=0:02:00,121.5", 120, Fraction(243, 2)),
        ("t=npt:120,0:02:01.5", 120, Fraction(243, 2)),
        ("t=01:30", 90, None),
        ("t=403,425", 403, 425),
        ("t=1:00:00,1:00:01", 3600, 3601),
    ],
)
def test_times(text: str, begin: int | None, end: int | None) -> None:
    found = read_fragment(text)
    assert (found.begin, found.end, found.box, found.timed) == (begin, end, "", True)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("t=425,403", "ends before it begins; write first when it begins"),
        ("t=10,10", "ends before it begins"),
        ("t=,0", "ends before it begins"),
        ("t=", "names no time"),
        ("t=10,", "names no time"),
        ("t=1:75", "is no time from the start"),
        ("t=6:43", "is no time from the start"),
        ("t=smpte:0:02:00", "is no time from the start"),
        ("t=10,20&t=30,40", "no part of an image or recording"),
        ("xywh=1,2,3", "write a part of an image as xywh=left,top,width,height and a stretch"),
        ("minute 6", "t=403,425 (seconds) or t=0:06:43,0:07:05"),
    ],
)
def test_what_is_none_says_how_to_write_it(text: str, message: str) -> None:
    with pytest.raises(FragmentError) as bad:
        read_fragment(text)
    assert message in str(bad.value)


def test_a_box_a_file_and_both_at_once() -> None:
    assert read_fragment("p7.png#xywh=percent:1,2,3.5,4").box == "percent:1,2,3.5,4"
    both = read_fragment("reel.webm#t=3,5&xywh=1,2,3,4")
    assert (both.file, both.box, both.begin, both.end) == ("reel.webm", "1,2,3,4", 3, 5)
    assert both.words == "0:03 to 0:05, xywh=1,2,3,4"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("t=403,425", "6:43 to 7:05"),
        ("t=59.5,3661", "0:59.5 to 1:01:01"),
        ("t=,20", "0:00 to 0:20"),
        ("t=10", "from 0:10"),
        ("xywh=1,2,3,4", "xywh=1,2,3,4"),
    ],
)
def test_words(text: str, words: str) -> None:
    assert read_fragment(text).words == words


@given(st.integers(0, 400_000), st.integers(1, 10_000))
def test_seconds_and_the_clock_say_the_same(begin: int, length: int) -> None:
    def written(seconds: int) -> str:
        return f"{seconds // 3600}:{seconds // 60 % 60:02}:{seconds % 60:02}"

    plain = read_fragment(f"t={begin},{begin + length}")
    clocked = read_fragment(f"t={written(begin)},{written(begin + length)}")
    assert (plain.begin, plain.end) == (clocked.begin, clocked.end) == (begin, begin + length)
    assert clock(Fraction(begin)).lstrip("0:") == written(begin).lstrip("0:")


SHAPES = "shape,pottery,name,source,region\nalder,harrow,Alder,tape,{}\n"
SOURCES = (
    "source,title,kind,date,complete\ntape,[Tape],recording,1962,\ncat1908,C,catalogue,1908,\n"
)
BARE = {"flatware": "", "treatments": "", "pieces": "", "assortments": ""}


def test_a_region_of_a_recording_stands_in_the_record_graph(tmp_path: Path) -> None:
    shapes = SHAPES.format('"t=403,425"')
    record = read(write(tmp_path / "shelf", shapes=shapes, sources=SOURCES, **BARE))
    graph = record_graph(record)
    (selector,) = graph.subjects(RDF.value, Literal("t=403,425"))
    assert (selector, DCTERMS.conformsTo, MEDIA_FRAGMENTS) in graph
    assert (selector, RDF.type, OA.FragmentSelector) in graph
    (passage,) = graph.subjects(OA.hasSelector, selector)
    assert (passage, OA.hasSource, URIRef(f"{record.base}source/tape")) in graph
    claim = next(c for c in record.claims if c.passage.region)
    assert claim.passage.place == "6:43 to 7:05"
    assert (claim.iri, GLOST.restsOn, passage) in graph


@pytest.mark.parametrize(
    ("cell", "message"),
    [
        (
            '"t=425,403"',
            'row 2, column region: "t=425,403" ends before it begins; write first when',
        ),
        ("6:43", 'row 2, column region: "6:43" is no part of an image or recording; write a part'),
    ],
)
def test_a_cell_that_is_no_region_says_file_row_column_and_remedy(
    cell: str, message: str, tmp_path: Path
) -> None:
    folder = write(tmp_path / "shelf", shapes=SHAPES.format(cell), sources=SOURCES, **BARE)
    with pytest.raises(RecordErrors) as bad:
        read(folder)
    assert f"tables/shapes.csv, {message}" in str(bad.value)
