"""The dataset in parts: all of it, each statement once, as bulk loaders take it."""

import gzip
import json
import subprocess
from collections import Counter
from pathlib import Path

import pyoxigraph as ox
import pytest

from commands import glost_ends
from glost.answer.evidence import Evidence
from glost.answer.parameters import Things
from glost.answer.questions import QuestionData, question
from glost.answer.snapshot import Snapshot
from glost.publish.exports import rdf_bytes
from glost.publish.parts import MANIFEST, write_parts
from glost.record.errors import RecordErrors
from glost.record.together import begin
from keepers import keeper
from shelf import TABLES, write


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Snapshot:
    top = tmp_path_factory.mktemp("keepers")
    more = {name: TABLES[name] for name in ("flatware", "treatments", "pieces")}
    begin(
        top / "both",
        "Both",
        "https://both.example/",
        [keeper(top, "ash", **more), keeper(top, "elm")],
    )
    return Snapshot(top / "both")


@pytest.fixture(scope="module")
def parts(both: Snapshot, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Parts so small that there are several of a kind."""
    target = tmp_path_factory.mktemp("parts") / "all"
    words = ("export", str(target), "--as", "parts", "--statements", "700", "-c", str(both.path))
    assert glost_ends(*words) == 0
    return target


def manifest(folder: Path) -> dict[str, object]:
    return json.loads((folder / MANIFEST).read_bytes())


def quads(data: bytes) -> list[ox.Quad]:
    return list(ox.parse(data, format=ox.RdfFormat.N_QUADS))


def canonical(found: list[ox.Quad]) -> set[str]:
    dataset = ox.Dataset(found)
    dataset.canonicalize(ox.CanonicalizationAlgorithm.RDFC_1_0)
    return {str(each) for each in dataset}


def test_the_union_is_the_dataset_and_each_statement_stands_once(
    both: Snapshot, parts: Path
) -> None:
    expected = quads(rdf_bytes(both.contents, "nquads"))
    found: list[ox.Quad] = []
    for part in manifest(parts)["parts"]:
        here = quads(gzip.decompress((parts / part["file"]).read_bytes()))
        assert len(here) == part["statements"]
        assert part["holds"] == "nameless" or len(here) <= 700
        found += here
    assert len(found) == manifest(parts)["statements"] == len(expected) > 5_000
    assert canonical(found) == canonical(expected)
    assert len(canonical(found)) == len(found)


def test_parts_are_of_one_kind_and_one_keeper(parts: Path) -> None:
    kinds = Counter((p["holds"], p["keeper"]) for p in manifest(parts)["parts"])
    assert kinds["believed", ""] > 1
    assert set(kinds) == {
        ("believed", ""), ("claims", "ash"), ("claims", "elm"), ("inferred", ""), ("nameless", ""),
        ("reckoned", ""), ("record", ""), ("vocabulary", ""),
    }  # fmt: skip
    for part in manifest(parts)["parts"]:
        here = quads(gzip.decompress((parts / part["file"]).read_bytes()))
        graphs = {getattr(each.graph_name, "value", "") for each in here}
        if part["holds"] == "claims":
            assert all(g.startswith(f"https://{part['keeper']}.example/claim/") for g in graphs)
        elif part["holds"] == "believed":
            assert graphs == {""}
        blank = any(
            isinstance(t, ox.BlankNode) for each in here for t in (each.subject, each.object)
        )
        assert blank == (part["holds"] == "nameless")


def test_a_bulk_load_of_all_parts_answers_alike(
    both: Snapshot, parts: Path, tmp_path: Path
) -> None:
    store = ox.Store(str(tmp_path / "store"))
    for part in manifest(parts)["parts"]:
        with gzip.open(parts / part["file"]) as file:
            store.bulk_load(input=file, format=ox.RdfFormat.N_QUADS)
    keepers = {each.name: each.collection.base for each in both.collection.members}
    evidence = Evidence(lambda: both.contents, store, both.contents.why)
    asked = QuestionData(store, Things(store, both.record.base, keepers), evidence)
    rows = 0
    for name, given in (
        ("crossings", {}), ("runs-reckoned", {}), ("shared-flatware", {}), ("in-production", {"year": "1912"}),
        ("dates-given", {"thing": "ash:shape/birch"}), ("one-witness", {}),
    ):  # fmt: skip
        there, here = question(name).ask(asked, **given), both.answers.ask(name, **given)
        assert [(r.values, r.claims) for r in there.rows] == [
            (r.values, r.claims) for r in here.rows
        ]
        rows += len(there.rows)
    assert rows > 20


def test_sums_are_those_of_the_files(parts: Path, tmp_path: Path) -> None:
    done = subprocess.run(
        ["sha256sum", "--strict", "-c", "SHA256SUMS"], cwd=parts, check=False, capture_output=True
    )
    assert done.returncode == 0, done.stderr
    named = {line.partition("  ")[2] for line in (parts / "SHA256SUMS").read_text().splitlines()}
    assert named == {p.name for p in parts.iterdir()} - {"SHA256SUMS"}


def test_writing_again_gives_the_same_octets_and_leaves_nothing_over(
    both: Snapshot, parts: Path, tmp_path: Path
) -> None:
    keepers = {each.name: each.collection.base for each in both.collection.members}
    small = write_parts(both.contents, tmp_path / "a", statements=100, keepers=keepers)
    (nameless,) = (part for part in small if part.holds == "nameless")
    assert nameless.statements > 100 == max(p.statements for p in small if p != nameless)
    assert len(list((tmp_path / "a").iterdir())) > len(list(parts.iterdir()))
    write_parts(both.contents, tmp_path / "a", statements=700, keepers=keepers)
    assert {p.name: p.read_bytes() for p in (tmp_path / "a").iterdir()} == {
        p.name: p.read_bytes() for p in parts.iterdir()
    }


def test_a_copy_is_proved(parts: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copy = tmp_path / "copy"
    copy.mkdir()
    for path in parts.iterdir():
        (copy / path.name).write_bytes(path.read_bytes())
    assert glost_ends("verify", str(copy)) == 0
    assert "copy: as written" in capsys.readouterr().out
    part = copy / "believed-0001.nq.gz"
    data = bytearray(part.read_bytes())
    data[len(data) // 2] ^= 1
    part.write_bytes(bytes(data))
    (copy / "claims-elm-0001.nq.gz").unlink()
    assert glost_ends("verify", str(copy)) == 1
    said = capsys.readouterr().err
    assert "believed-0001.nq.gz: it is not as written" in said
    assert "claims-elm-0001.nq.gz: it is not there" in said
    (copy / MANIFEST).write_text(
        (copy / MANIFEST).read_text().replace('"statements": ', '"statements": 1')
    )
    assert glost_ends("verify", str(copy)) == 1
    said = capsys.readouterr().err
    assert "do not add up" in said and "SHA256SUMS: it does not say what manifest.json says" in said
    (copy / MANIFEST).write_text("{}")
    assert glost_ends("verify", str(copy)) == 1


def test_nothing_else_is_written_over(both: Snapshot, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "notes.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(RecordErrors, match="the folder holds something else"):
        write_parts(both.contents, tmp_path / "mine")
    assert [p.name for p in (tmp_path / "mine").iterdir()] == ["notes.txt"]


def test_a_collection_alone_has_claims_of_no_keeper(tmp_path: Path) -> None:
    shelf = Snapshot(write(tmp_path / "shelf"))
    parts = write_parts(shelf.contents, tmp_path / "out")
    assert [p.file for p in parts if p.holds == "claims"] == ["claims-0001.nq.gz"]
