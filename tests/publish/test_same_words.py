"""A thing is called the same wherever it is met: command line, sheet, site, endpoint and data."""

import html
import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from rdflib import Literal, URIRef
from rdflib.namespace import RDFS, SKOS

from glost.answer.snapshot import Snapshot
from glost.answer.sparql import answer
from glost.publish.endpoint.grounds import Grounds
from glost.publish.endpoint.shown import ROWS, show
from glost.publish.site.entities import Entities
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents
from glost.report.things.basis import Kept
from glost.report.things.making import report_of
from glost.report.tree import Ref, Table
from glost.words.labels import heading, label
from glost_cli.main import glost

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


@pytest.fixture(scope="module", params=["wend-valley", "one-shelf"])
def example(request: pytest.FixtureRequest, valley: Snapshot) -> Snapshot:
    return valley if request.param == "wend-valley" else Snapshot(EXAMPLES / request.param)


def described(of: Snapshot) -> list[URIRef]:
    """Return everything that claims speak of, the points of lives left out."""
    base = of.collection.base
    subjects = {s for s in of.belief.graph.subjects() if isinstance(s, URIRef)}
    return sorted(each for each in subjects if each.startswith(base) and "#" not in each)


def test_the_data_has_a_label_and_a_heading_for_each_thing(example: Snapshot) -> None:
    """A name that a claim gives by the same property is not joined by another."""
    said, made = example.belief.graph, example.contents.reckoned
    for thing in described(example):
        for verb, text in (
            (SKOS.prefLabel, label(thing, example.words)),
            (RDFS.label, heading(thing, example.words, example.chronology)),
        ):
            claimed = (thing, verb, None) in said
            assert ((thing, verb, Literal(text, lang="en")) in made) is not claimed


def test_the_endpoint_names_each_thing_as_the_rest(example: Snapshot) -> None:
    store, things = example.answers.store, described(example)
    grounds = Grounds(store, None, example.record.base)
    for at in range(0, len(things), ROWS):  # a page shows so many
        values = " ".join(f"<{thing}>" for thing in things[at : at + ROWS])
        found = answer(store, f"SELECT ?t {{ VALUES ?t {{ {values} }} }}")
        (table,) = show(found, store, grounds).section.parts
        assert isinstance(table, Table)
        assert {row.cells[0] for row in table.rows} == {
            Ref(str(thing), label(thing, example.words)) for thing in things[at : at + ROWS]
        }


def test_what_is_kept_names_each_thing_as_the_rest(
    example: Snapshot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOST_CACHE", str(tmp_path))
    kept = Snapshot(example.path)
    _ = kept.labels, kept.stored_times
    again = Snapshot(example.path)
    for thing in described(example):
        assert label(thing, again.labels) == label(thing, example.words)
        assert heading(thing, again.labels, again.stored_times) == heading(
            thing, example.words, example.chronology
        )


SAMPLE = ("piece", "kiln", "mark", "source", "assortment", "role")


@pytest.mark.usefixtures("keeping_examples")
def test_sheet_page_and_show_are_headed_alike(example: Snapshot) -> None:
    """One thing of each kind; what they are headed by is tested of all above."""
    by_kind = {thing.rsplit("/", 2)[1]: thing for thing in described(example)}
    frame = PageFrame("A shelf", "", "", "", "", "")
    site = Entities(SiteContents(example, ()), frame)
    for kind in SAMPLE:
        if kind not in by_kind:
            continue
        thing = by_kind[kind]
        name = heading(thing, example.words, example.chronology)
        assert report_of(Kept(example), thing).heading == name
        ran = CliRunner().invoke(glost, ["show", str(thing), "-c", str(example.path)])
        assert " ".join(ran.output.split()).startswith(name), ran.output
        page = b"".join(body for file, body in site.thing(str(thing)) if file.endswith(".html"))
        top = re.search(r"<h1[^>]*>(.*?)</h1>", page.decode(), re.S)
        assert top is not None
        assert html.unescape(re.sub("<[^>]+>", "", top[1])).strip() == name
