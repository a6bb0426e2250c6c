"""Claims as nanopublications, as another library reads them.

*Nanopublication Guidelines* (Concept Web Alliance, 2015). Library: ``nanopub`` (PyPI), which
validates what a nanopublication must have; nothing is fetched or published.
"""

import csv
import warnings
from collections import defaultdict
from pathlib import Path

import pyoxigraph as ox
import pytest
import rdflib
from click.testing import CliRunner

from glost.answer.snapshot import Snapshot
from glost.publish.nanopublications import nanopub_bytes
from glost_cli.commands.export import export

normalizing = rdflib.NORMALIZE_LITERALS
nanopub = pytest.importorskip("nanopub")
rdflib.NORMALIZE_LITERALS = normalizing  # which that library switches off for the whole process
NP = "http://www.nanopub.org/nschema#"
RETRACTS = ox.NamedNode("http://purl.org/nanopub/x/retracts")
BASE = "https://example.org/wend/"
Graphs = dict[str, set[ox.Quad]]


@pytest.fixture(scope="module")
def graphs(valley: Snapshot) -> Graphs:
    found: Graphs = defaultdict(set)
    for quad in ox.parse(nanopub_bytes(valley), format=ox.RdfFormat.TRIG):
        found[quad.graph_name.value].add(quad)
    return found


def heads(graphs: Graphs) -> dict[str, dict[str, str]]:
    """Return of each nanopublication the graphs its head names, by property."""
    found: dict[str, dict[str, str]] = defaultdict(dict)
    for name, quads in graphs.items():
        for quad in quads:
            if quad.predicate.value.startswith(f"{NP}has"):
                key = quad.predicate.value.removeprefix(f"{NP}has")
                found[quad.subject.value][key] = quad.object.value
                found[quad.subject.value]["Head"] = name
    return found


def made(graphs: Graphs, parts: dict[str, str]) -> object:
    """Read one nanopublication by the other library."""
    text = ox.serialize(
        [q for name in parts.values() for q in graphs[name]], format=ox.RdfFormat.TRIG
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        whole = nanopub.nanopub.ConjunctiveGraph().parse(data=(text or b"").decode(), format="trig")
        return nanopub.Nanopub(rdf=whole)


def test_each_is_four_graphs_and_no_graph_is_of_none(graphs: Graphs) -> None:
    told = heads(graphs)
    assert len(told) > 1_900
    for parts in told.values():
        assert sorted(parts) == ["Assertion", "Head", "Provenance", "PublicationInfo"]
    assert sorted(name for parts in told.values() for name in parts.values()) == sorted(graphs)


def test_another_library_finds_them_valid(graphs: Graphs) -> None:
    told = heads(graphs)
    chosen = sorted(told)[::70] + [name for name in told if "#withdrawn" in name][:3]
    assert len(chosen) > 25
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for name in chosen:
            assert made(graphs, told[name]).is_valid
    parts = dict(told[chosen[0]])
    graphs = {**graphs, parts["Provenance"]: set()}
    lacking = made(graphs, parts)
    with pytest.raises(nanopub.nanopub.MalformedNanopubError):
        _ = lacking.is_valid


def test_assertions_are_the_claims_and_what_was_withdrawn_of_them(
    graphs: Graphs, valley: Snapshot
) -> None:
    assertions = {parts["Assertion"] for parts in heads(graphs).values()}
    said = dict(valley.contents.said())
    assert assertions == {str(name) for name, statements in said.items() if statements}
    for name, statements in list(said.items())[::50]:
        assert {
            (q.subject.value, q.predicate.value, q.object.value) for q in graphs[str(name)]
        } == {tuple(map(str, triple)) for triple in statements}


def test_provenance_and_publication_are_those_of_the_row(graphs: Graphs, valley: Snapshot) -> None:
    """Of one row, as it stands in the table: its source, page, region, and who recorded it."""
    path = valley.path / "tables" / "assortments.csv"
    rows = list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))
    at = next(n for n, r in enumerate(rows) if r.get("region") and r.get("recorded_by"))
    claim = next(
        str(c.iri) for c in valley.record.claims
        if c.origin.file == "tables/assortments.csv" and c.origin.row == at + 2
    )  # fmt: skip
    told = {q.predicate.value.rpartition("#")[2].rpartition("/")[2]: q.object.value
            for q in graphs[f"{claim}#provenance"]}  # fmt: skip
    assert told["hadPrimarySource"] == f"{BASE}source/{rows[at]['catalogue']}"
    assert (told["locator"], told["value"]) == (rows[at]["locator"], rows[at]["region"])
    about = {q.predicate.value.rpartition("#")[2].rpartition("/")[2]: q.object.value
             for q in graphs[f"{claim}#pubinfo"]}  # fmt: skip
    assert (about["label"], about["created"]) == (rows[at]["recorded_by"], rows[at]["recorded_on"])
    assert about["license"] == "https://creativecommons.org/licenses/by/4.0/"


def test_a_correction_retracts_what_it_withdraws(graphs: Graphs, valley: Snapshot) -> None:
    told = {
        (q.subject.value, q.object.value)
        for quads in graphs.values() for q in quads if q.predicate == RETRACTS
    }  # fmt: skip
    belief = valley.belief
    whole = {(f"{by.iri}#nanopub", f"{old}#nanopub") for old, by in belief.withdrawn.items()}
    parts = {
        (f"{part.correction.iri}#nanopub", f"{part.iri}.nanopub")
        for each in belief.parts.values() for part in each
    }  # fmt: skip
    assert len(whole) > 1 and len(parts) > 1
    assert told == whole | parts


def test_the_command_writes_it(tmp_path: Path, valley: Snapshot) -> None:
    target = tmp_path / "shelf.nanopub.trig"
    one = valley.path.parent / "one-shelf"
    done = CliRunner().invoke(export, [str(target), "-c", str(one)], standalone_mode=False)
    assert done.exception is None
    assert target.read_bytes() == nanopub_bytes(Snapshot(one))
