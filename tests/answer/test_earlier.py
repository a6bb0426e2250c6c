"""A state of a collection that is checked by what changed: the same to the letter as from nothing."""

import csv
import shutil
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from glost.answer import background, cache, checked, earlier
from glost.answer.snapshot import Snapshot
from glost.record.errors import RecordErrors
from glost.record.record import read

LITTLE = Path(__file__).parent / "little"


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(cache.FOLDER, str(tmp_path / "kept"))
    return tmp_path / "kept"


@pytest.fixture
def collection(kept: Path, tmp_path: Path) -> Path:
    """A collection of which a state is kept that it no longer is in."""
    folder = tmp_path / "little"
    shutil.copytree(LITTLE, folder)
    earlier.keep(Snapshot(folder))
    retitle(folder)
    return folder


def retitle(folder: Path) -> None:
    table = folder / "tables" / "sources.csv"
    head, first, *more = rows(table)
    first[head.index("title")] += ", the second printing"
    with table.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows([head, first, *more])


def rows(table: Path) -> list[list[str]]:
    with table.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def altered(folder: Path, draw: Random) -> None:
    """Take a row away, put one twice, move one, or put a cell in another's place."""
    table = draw.choice(sorted((folder / "tables").glob("*.csv")))
    head, *body = rows(table)
    if not body:
        return
    kind, at = draw.randrange(4), draw.randrange(len(body))
    if kind == 0:
        del body[at]
    elif kind == 1:
        body.append(list(body[at]))
    elif kind == 2:
        body.insert(0, body.pop(at))
    else:
        column = draw.randrange(len(head))
        body[at][column] = draw.choice(body)[column]
    with table.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows([head, *body])


def from_nothing(folder: Path) -> dict[str, object]:
    snapshot = Snapshot.of(read(folder))
    return checked._told(snapshot, snapshot.findings())


def test_after_any_edits_all_that_is_told_is_the_same(
    collection: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(earlier, "_MOST", 10_000)
    draw, compared, seen = Random(5), 0, set[str]()
    while compared < 4:
        tried = tmp_path / "tried"
        shutil.copytree(collection / "tables", tried)
        for _ in range(draw.randrange(1, 4)):
            altered(collection, draw)
        try:
            read(collection)
        except RecordErrors:
            shutil.rmtree(collection / "tables")
            tried.rename(collection / "tables")
            continue
        shutil.rmtree(tried)
        compared += 1
        snapshot = Snapshot(collection)
        workspace = earlier.later(snapshot)
        assert workspace is not None
        told = checked._told(workspace.snapshot, workspace.findings)
        assert told == from_nothing(collection)
        assert "findings" not in vars(snapshot)
        seen.add(str(told["findings"]))
    assert len(seen) > 1, "the edits bear on what is found"


def test_a_check_looks_from_nothing_only_where_it_must(
    collection: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = from_nothing(collection)
    monkeypatch.setattr(checked, "FROM", 0)
    monkeypatch.setattr(Snapshot, "findings", lambda *_: pytest.fail("it is found anew"))
    found = checked.checked(Snapshot(collection))
    assert (found.claims, dict(found.names)) == (first["claims"], first["names"])


def other_settings(folder: Path, _: Path) -> None:
    settings = folder / "collection.toml"
    settings.write_text(settings.read_text("utf-8").replace("Tarn", "Great Tarn", 1), "utf-8")


def an_image(folder: Path, _: Path) -> None:
    (folder / "images").mkdir(exist_ok=True)
    (folder / "images" / "new.png").write_bytes(b"none")


def other_files(_: Path, kept: Path) -> None:
    (path,) = kept.glob("*/files/data")
    octets = path.read_bytes()
    path.write_bytes(octets[:-30] + bytes(30))


def other_note(_: Path, kept: Path) -> None:
    (path,) = kept.glob("last-*")
    path.write_bytes(path.read_bytes().replace(b'"state":"', b'"state":"0'))


def another_state(_: Path, kept: Path) -> None:
    (path,) = kept.glob("last-*")
    cache._write_json({**cache._read_json(path), "state": "0"}, path)


def nothing_found(_: Path, kept: Path) -> None:
    for path in kept.glob("*/found"):
        path.unlink()


@pytest.mark.parametrize(
    "spoil", [other_settings, an_image, other_files, other_note, another_state, nothing_found]
)
def test_what_does_not_fit_is_left_and_all_is_found_from_nothing(
    collection: Path, kept: Path, spoil: Callable[[Path, Path], None]
) -> None:
    assert earlier.later(Snapshot(collection)) is not None
    spoil(collection, kept)
    assert earlier.later(Snapshot(collection)) is None


def test_what_is_kept_and_was_spoilt_within_is_made_again_of_the_state_it_was_of(
    collection: Path, kept: Path
) -> None:
    for path in kept.glob("*/found"):
        path.write_bytes(path.read_bytes()[:-5])
    workspace = earlier.later(Snapshot(collection))
    assert workspace is not None
    assert checked._told(workspace.snapshot, workspace.findings) == from_nothing(collection)


def test_where_much_changed_it_is_not_taken_up(
    collection: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(earlier, "_MOST", 0)
    assert earlier.later(Snapshot(collection)) is None


def test_it_is_made_ready_beside_a_check_from_nothing(
    kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, begun = tmp_path / "little", list[list[str]]()
    shutil.copytree(LITTLE, folder)
    monkeypatch.setattr(background.subprocess, "Popen", lambda command, **_: begun.append(command))
    checked.checked(Snapshot(folder))
    assert begun == [], "it is small"
    monkeypatch.setattr(checked, "FROM", 1)
    retitle(folder)
    checked.checked(Snapshot(folder))
    ((*_, top, module, name, path, day),) = begun
    assert (module, name) == (earlier.__name__, earlier.run.__name__)
    assert Path(top).joinpath("glost", "answer", "earlier.py").exists()
    earlier.run(path, day)
    retitle(folder)
    assert earlier.later(Snapshot(folder)) is not None
