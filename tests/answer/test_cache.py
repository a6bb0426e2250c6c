"""What is kept of a collection: made once, never out of date, and nothing is lost without it."""

import errno
import os
import pickle
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path
from types import SimpleNamespace

import pytest
from rdflib import URIRef

import shelf
from glost.answer import background, cache
from glost.answer.cache import Cache
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.reason import archive
from glost.reason import closure as closing
from glost.reason.closure import Closure
from glost.record.files import fingerprint
from glost.words.labels import label

TOP = Path(__file__).parents[2]
SHARES = (
    URIRef("https://example.org/shelf/shape/birch"),
    GLOST.sharesFlatwareWith,
    URIRef("https://example.org/shelf/shape/alder"),
)


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "kept"
    monkeypatch.setenv(cache.FOLDER, str(folder))
    return folder


@pytest.fixture
def collection(tmp_path: Path) -> Path:
    return shelf.write(tmp_path / "shelf")


@pytest.fixture
def closings(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Count how often anything is closed."""
    made: list[int] = []

    def counted(*given: object, **settings: object) -> Closure:
        made.append(1)
        return original(*given, **settings)  # type: ignore[arg-type]

    original = closing.close_quads
    monkeypatch.setattr(closing, "close_quads", counted)
    return made


def parts(folder: Path) -> list[str]:
    return sorted(
        f"{path.parent.name}/{path.name}"
        for path in folder.glob("*/*")
        if path.parent.name != "locks"
    )


def test_closed_once_and_reused(kept: Path, collection: Path, closings: list[int]) -> None:
    first = Snapshot(collection)
    told = first.closure.inferred.sorted()
    second = Snapshot(collection)
    assert second.closure.inferred.sorted() == told
    assert SHARES in second.closure
    assert len(closings) == 1
    assert [name.rsplit("/")[-1] for name in parts(kept)] == ["closure"]


def test_what_is_taken_out_proves_and_changes_like_what_was_put_away(
    kept: Path, collection: Path
) -> None:
    made = Snapshot(collection).closure
    proof, sets = made.why(SHARES), made.supports(SHARES)
    taken = Snapshot(collection).closure
    assert taken.why(SHARES) == proof
    assert taken.supports(SHARES) == sets
    (stated,) = proof.facts
    assert taken.falls([stated]) == made.falls([stated])
    taken.revise([], [stated])
    assert SHARES not in taken
    taken.revise([stated], [])
    assert SHARES in taken


def test_another_byte_is_another_closure(kept: Path, collection: Path) -> None:
    assert SHARES in Snapshot(collection).closure
    table = collection / "tables" / "flatware.csv"
    text = table.read_text()
    table.write_text(text.replace("alder,birch", "alder,alder"))
    assert SHARES not in Snapshot(collection).closure
    assert not Snapshot(collection).answers.sparql(
        f"ASK {{ <{SHARES[0]}> <{SHARES[1]}> <{SHARES[2]}> }}"
    )
    table.write_text(text)
    assert Snapshot(collection).answers.sparql(
        f"ASK {{ <{SHARES[0]}> <{SHARES[1]}> <{SHARES[2]}> }}"
    )


@pytest.mark.parametrize("name", ["collection.toml", "tables/letters.csv", "own.trig"])
def test_every_file_that_is_read_counts(kept: Path, collection: Path, name: str) -> None:
    before = fingerprint(collection)
    with (collection / name).open("a") as file:
        file.write("\n")
    assert fingerprint(collection) != before


def test_a_day_has_a_closure_of_its_own(kept: Path, collection: Path, closings: list[int]) -> None:
    for day in (None, date(2020, 1, 1), None, date(2020, 1, 1)):
        assert SHARES in Snapshot(collection, day).closure
    assert len(closings) == 2


def test_deleted_without_loss(kept: Path, collection: Path) -> None:
    answer = Snapshot(collection).answers.ask("crossings").csv()
    for path in kept.glob("*/closure"):
        path.unlink()
    assert Snapshot(collection).answers.ask("crossings").csv() == answer
    assert SHARES in Snapshot(collection).closure


def test_what_is_damaged_is_made_again(kept: Path, collection: Path, closings: list[int]) -> None:
    assert SHARES in Snapshot(collection).closure
    for path in kept.glob("*/closure"):
        path.write_bytes(path.read_bytes()[:100])
    assert SHARES in Snapshot(collection).closure
    assert len(closings) == 2


def test_a_collection_that_changes_while_it_is_read_is_not_kept(
    kept: Path, collection: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow = Snapshot(collection)
    _ = slow.record
    table = collection / "tables" / "flatware.csv"
    table.write_text(table.read_text().replace("alder,birch", "alder,alder"))
    assert SHARES in slow.closure
    assert SHARES not in Snapshot(collection).closure
    assert slow.answers.sparql(f"ASK {{ <{SHARES[0]}> <{SHARES[1]}> <{SHARES[2]}> }}")


def test_what_is_made_while_the_collection_changes_is_kept_for_neither_state(
    kept: Path, collection: Path
) -> None:
    """What was made may be of the rows before, of those after, or of some of both."""
    note = collection / "tables" / "firms.csv"

    def made() -> dict[str, str]:
        note.write_text("firm,name,source\nbazaar,Bazaar,letter\n", encoding="utf-8")
        return {"urn:of": "some of both"}

    before = Cache(kept, collection)
    assert before.labels(made) == {"urn:of": "some of both"}
    after = Cache(kept, collection)
    assert after.labels(lambda: {"urn:of": "those after"}) == {"urn:of": "those after"}
    note.unlink()
    again = Cache(kept, collection)
    assert again.labels(lambda: {"urn:of": "those before"}) == {"urn:of": "those before"}


@pytest.mark.parametrize(
    "file", ["code.py", "rules.toml", "ontology/terms.ttl", "shapes_shacl/kilns.ttl"]
)
def test_another_byte_of_the_program_is_another_program(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, file: str
) -> None:
    (tmp_path / "code.py").write_text("a = 1")
    (tmp_path / "rules.toml").write_text("a = 1")
    for name in ("ontology/terms.ttl", "shapes_shacl/kilns.ttl"):
        (tmp_path / name).parent.mkdir()
        (tmp_path / name).write_text("# 1")
    program = SimpleNamespace(__file__=tmp_path / "data.py", folder=lambda name: tmp_path / name)
    monkeypatch.setattr(cache, "data", program)
    reckon = cache._program.__wrapped__
    before = reckon()
    assert reckon() == before
    (tmp_path / file).write_text((tmp_path / file).read_text().replace("1", "2"))
    assert reckon() != before


def test_nothing_is_kept_where_nothing_can_be(
    collection: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("")
    for named in ("", str(tmp_path / "file" / "folder")):
        monkeypatch.setenv(cache.FOLDER, named)
        opened = Snapshot(collection)
        assert opened.cache is None
        assert SHARES in opened.closure
        assert opened.answers.folder is None
        assert opened.answers.ask("crossings").rows


def test_nothing_is_kept_in_the_collection(kept: Path, collection: Path) -> None:
    before = sorted(collection.rglob("*"))
    Snapshot(collection).answers.ask("crossings")
    assert sorted(collection.rglob("*")) == before


def test_several_commands_at_once_make_it_once(kept: Path, collection: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from glost.answer.snapshot import Snapshot\n"
        "snapshot = Snapshot(Path(sys.argv[1]))\n"
        "print(snapshot.answers.ask('crossings').csv(), len(snapshot.closure.inferred))\n"
    )
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(TOP / "kg")])}

    def run(_: int) -> str:
        command = [sys.executable, "-c", code, str(collection)]
        done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
        return done.stdout + done.stderr

    with ThreadPoolExecutor(2) as pool:
        told = set(pool.map(run, range(2)))
    assert len(told) == 1
    assert "Alder" not in told.pop().splitlines()[0]
    assert [name.rsplit("/")[-1] for name in parts(kept)] == ["closure", "store"]


def test_room_is_made_by_what_rested_longest(
    kept: Path, collection: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cache, "_MOST", 2)
    for number, age in enumerate((10_000.0, 20_000.0, 1.0)):
        place = kept / f"old{number}"
        place.mkdir(parents=True)
        then = time.time() - age
        os.utime(place, (then, then))
    assert SHARES in Snapshot(collection).closure
    assert {path.name for path in kept.glob("old*")} == {"old2"}


def test_a_large_collection_is_made_ready_in_the_background(
    kept: Path, collection: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert background.build_ahead(Snapshot(collection)) is None
    monkeypatch.setattr(background, "LARGE", 1)
    begun = background.build_ahead(Snapshot(collection))
    assert begun is not None
    assert begun.wait() == 0
    assert Cache(kept, collection).has("store")
    assert background.build_ahead(Snapshot(collection)) is None
    assert Snapshot(collection).answers.ask("crossings").rows


def test_a_query_with_a_limit_reads_what_is_kept(kept: Path, collection: Path) -> None:
    answers = Snapshot(collection).answers
    query = "SELECT (COUNT(*) AS ?n) { ?shape a glost:Shape }"
    assert answers.folder is not None
    assert answers.sparql(query, seconds=60).written == answers.sparql(query).written


@pytest.mark.parametrize("part", ["closure", "store"])
def test_what_was_tampered_with_is_made_anew(kept: Path, collection: Path, part: str) -> None:
    _ = Snapshot(collection).answers.ask("crossings")

    def files() -> list[Path]:
        (place,) = kept.glob(f"*/{part}")
        found = sorted(path for path in (place, *place.rglob("*")) if path.is_file())
        return [path for path in found if path.stat().st_size and path.name != "LOG"]

    for number in range(0, len(files()), 3):
        path = files()[number]
        data = path.read_bytes()
        path.write_bytes(data[:-1] + bytes([data[-1] ^ 1]))
        bad = path.read_bytes()
        opened = Snapshot(collection)
        assert SHARES in opened.closure
        assert opened.answers.ask("crossings").rows
        assert not path.exists() or path.read_bytes() != bad


def test_labels_are_kept_and_those_tampered_with_are_made_anew(
    kept: Path, collection: Path
) -> None:
    alder = URIRef("https://example.org/shelf/shape/alder")
    first = Snapshot(collection)
    assert first.labels.label(alder) == "Alder"
    things = {term for triple in first.graph for term in triple}
    told = {term: label(term, first.graph) for term in things}
    second = Snapshot(collection)
    assert {term: second.labels.label(term) for term in things} == told
    assert "record" not in vars(second)
    (path,) = kept.glob("*/labels")
    path.write_bytes(path.read_bytes().replace(b'"Alder"', b'"Elder"'))
    assert Snapshot(collection).labels.label(alder) == "Alder"
    assert b'"Elder"' not in path.read_bytes()


def test_what_no_kept_label_names_is_named_by_the_record(kept: Path, collection: Path) -> None:
    _ = Snapshot(collection).labels
    claim = next(iter(Snapshot(collection).record.claims)).iri
    opened = Snapshot(collection)
    assert opened.labels.label(claim) == opened.words.label(claim)


def test_a_question_put_to_what_is_kept_reads_no_table(kept: Path, collection: Path) -> None:
    given = {"year": 1912}
    first = Snapshot(collection).answers.ask("in-production", **given)
    second = Snapshot(collection)
    again = second.answers.ask("in-production", **given)
    assert again.rows and [row.values for row in again.rows] == [row.values for row in first.rows]
    assert "record" not in vars(second)
    assert [row.claims for row in again.rows] == [row.claims for row in first.rows]
    assert "record" in vars(second)


def test_nothing_kept_is_run(kept: Path, collection: Path) -> None:
    """What pickle would run is no more than octets that are not what was put there."""
    _ = Snapshot(collection).closure
    ran = kept / "ran"
    (path,) = kept.glob("*/closure")

    class Evil:
        def __reduce__(self) -> tuple[object, tuple[str]]:
            return os.mkdir, (str(ran),)

    path.write_bytes(pickle.dumps(Evil()))
    assert SHARES in Snapshot(collection).closure
    assert not ran.exists()


def test_no_room_to_keep_anything_is_no_error(
    kept: Path, collection: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(archive, "save", full)
    monkeypatch.setattr(cache, "_sums", full)
    opened = Snapshot(collection)
    assert SHARES in opened.closure
    assert opened.answers.ask("crossings").rows
    assert opened.answers.folder is None
    assert parts(kept) == []
    assert not list(kept.glob("aside-*")) and not list(kept.glob("locks/aside-*"))


def test_what_ended_processes_left_is_swept_away(kept: Path, collection: Path) -> None:
    code = (
        "import os, sys; from pathlib import Path; from glost.answer import cache\n"
        "with cache._aside(Path(sys.argv[1])) as place:\n"
        "    (place / 'half').write_text('made'); print(place.name, flush=True); sys.stdin.read()\n"
    )
    _ = Snapshot(collection).cache
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(TOP / "kg")])}
    command = [sys.executable, "-c", code, str(kept)]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=environment
    ) as other:
        assert other.stdout is not None
        name = other.stdout.readline().strip()
        _ = Snapshot(collection).cache
        assert (kept / name / "half").exists()
        other.kill()
    _ = Snapshot(collection).cache
    assert not (kept / name).exists() and not (kept / "locks" / name).exists()
