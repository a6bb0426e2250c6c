"""The claims under rows that come from the endpoint, against those that the library finds."""

from pathlib import Path

import httpx2 as httpx
import pyoxigraph as ox
import pytest
from rdflib import Literal, URIRef

from glost.answer.questions import Value, catalogue, question
from glost.answer.snapshot import Snapshot
from glost.answer.sparql import answer
from glost.names import EDTF, GLOST
from glost.publish.data.grounds import GROUNDS, grounds_file
from glost.publish.endpoint.grounds import Grounds
from glost.publish.endpoint.shown import ROWS, ShownResult, show
from glost.publish.endpoint.static import Published
from glost.publish.site.holdings import SiteContents
from glost.record.dates import describe, read
from glost.report.tree import Cell, CitedClaim, CitedPassage, Ref, Row, Table

TRUE = ox.Literal(True)
FREE = [
    name
    for name, asked in catalogue().items()
    if all(each.optional or each.default for each in asked.parameters)
]
FOLLOWING = {"crossings", "shared-flatware", "periodic-to-tunnel", "runs-reckoned",
             "pieces-made-between", "in-production", "outside-the-run", "marks-naming-shapes", "decal-numbers",
             "people-and-works", "kilns"}  # fmt: skip
"""Questions with rows that rest on statements which no claim makes itself."""


@pytest.fixture(scope="module")
def following(valley: Snapshot) -> ox.Store:
    held = SiteContents(valley, ())
    name, content = grounds_file(held, held.snapshot.contents.why)
    assert name == GROUNDS
    store = ox.Store()
    store.load(content, format=ox.RdfFormat.N_QUADS)
    return store


def shown(valley: Snapshot, name: str, following: ox.Store | None) -> ShownResult:
    store = valley.answers.store
    header = question(name).header
    grounds = Grounds(store, following, valley.record.base)
    return show(answer(store, header.query), store, grounds, header)


def rows_of(found: ShownResult) -> tuple[Row, ...]:
    (table,) = found.section.parts
    assert isinstance(table, Table)
    return table.rows


def cited(row: Row) -> list[tuple[str, CitedClaim]]:
    """Return the claims under a row, each with its source."""
    passages = [note for note in row.notes if isinstance(note, CitedPassage)]
    return [(each.source.iri, claim) for each in passages for claim in each.claims]


def under(found: ShownResult) -> list[tuple[str, ...]]:
    return [tuple(sorted(claim.iri for _, claim in cited(row))) for row in rows_of(found)]


def expected_of(value: Value) -> str | None:
    """Return a value as it is written, dates in words."""
    if isinstance(value, Literal) and value.datatype == EDTF:
        return describe(read(str(value)))
    return None if value is None else str(value)


def written(cell: Cell) -> str | None:
    if isinstance(cell, Ref):
        return cell.iri or cell.text
    return None if cell is None else str(cell)


@pytest.mark.parametrize("name", FREE)
def test_the_same_rows_with_the_same_claims(
    valley: Snapshot, following: ox.Store, name: str
) -> None:
    found = shown(valley, name, following)
    expected = valley.answers.ask(name)
    (table,) = found.section.parts
    assert isinstance(table, Table)
    assert tuple(column.name for column in table.columns) == expected.columns
    assert found.total == len(expected.rows)
    cells = [tuple(map(written, row.cells)) for row in table.rows]
    rows = expected.rows[:ROWS]
    assert cells == [tuple(map(expected_of, row.values)) for row in rows]
    assert under(found) == [row.claims for row in rows]


def test_what_follows_is_known_from_its_file_alone(valley: Snapshot) -> None:
    for name in FOLLOWING & set(FREE):
        found = shown(valley, name, None)
        rows = valley.answers.ask(name).rows[:ROWS]
        assert under(found) != [row.claims for row in rows]
    assert FOLLOWING & set(FREE)


def test_a_claim_is_told_with_its_source_place_and_standing(
    valley: Snapshot, following: ox.Store
) -> None:
    found = {
        claim.iri: (source, claim)
        for row in rows_of(shown(valley, "corrections", following))
        for source, claim in cited(row)
    }
    claims = {str(claim.iri): claim for claim in valley.contents.claims}
    assert found
    for iri, (source, each) in found.items():
        claim = claims[iri]
        assert (source, each.place) == (str(claim.passage.source), claim.passage.locator)
        assert bool(each.withdrawn) == (claim.iri not in valley.contents.current)
        assert each.certainty == str(claim.certainty or "").rpartition("/")[2]
    assert {bool(each.withdrawn) for _, each in found.values()} == {True, False}


def test_a_site_without_the_file_is_served_all_the_same(site: Path, tmp_path: Path) -> None:
    Published(site).load(tmp_path / "store")
    assert not (site / GROUNDS).exists()
    assert [each.name for each in tmp_path.iterdir()] == ["store"]


def test_the_page_shows_them_and_needs_no_script(client: httpx.Client) -> None:
    page = client.get(
        "sparql", params={"question": "shared-flatware"}, headers={"accept": "text/html"}
    )
    assert page.status_code == 200
    assert "<details><summary>1 claim</summary>" in page.text
    assert (
        '<a href="./claim/' in page.text
        and ", second page</a>" in page.text
        and ">letter, " not in page.text
    )
    assert "script-src 'self'" in page.headers["content-security-policy"]
    free = client.get(
        "sparql", params={"query": "SELECT * { ?s a glost:Shape }"}, headers={"accept": "text/html"}
    )
    assert "Rests on" not in free.text
    assert "<summary>1 claim" not in free.text


def test_what_rests_on_many_claims_names_them_once(valley: Snapshot, following: ox.Store) -> None:
    """A dispute rests on all claims of its contradictions; points that share them share a graph."""
    contents = valley.contents
    disputed = [t for t in contents.reckoned if t[1] == GLOST.inDispute]
    making = {s: name for name, said in contents.said() if name in contents.current for s in said}
    wanted = {t[0]: {making[leaf] for leaf in contents.why(t) if leaf in making} for t in disputed}
    grounds = Grounds(valley.answers.store, following, valley.record.base)
    names = set()
    for point, claims in wanted.items():
        triple = ox.Triple(ox.NamedNode(point), ox.NamedNode(str(GLOST.inDispute)), TRUE)
        assert claims <= {URIRef(each) for each in grounds._under(triple)}
        names |= {quad.graph_name for quad in following.quads_for_pattern(*triple)}
    assert len(names) < len(disputed), "many points in dispute hang on the same"
