"""A change of a folder: all of it or nothing, one at a time, and nobody's work is lost."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from glost.publish.exports import write_tables
from glost.record import transaction
from glost.record.amending import StaleRecordError, amend, differences
from glost.record.correcting import correct
from glost.record.errors import RecordErrors
from glost.record.files import digest, write_whole
from glost.record.record import read
from glost.record.transaction import WORK, Place, changing, settle
from shelf import TABLES, write

GROUNDS = {"reason": "misread", "source": "p2", "locator": "foot", "recorded_on": "2005-01-01"}


def held(folder: Path) -> dict[str, bytes]:
    """Everything a folder holds, hidden files too."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


class Cut(BaseException):
    """What ends a change in the midst of it."""


@contextmanager
def cut_at(monkeypatch: pytest.MonkeyPatch, name: str, after: int) -> Iterator[None]:
    """End the process, as it were, at a call of one of the module's own functions."""
    calls = 0
    real = getattr(transaction, name)

    def counted(*given: object) -> object:
        nonlocal calls
        calls += 1
        if calls > after:
            raise Cut
        return real(*given)

    with monkeypatch.context() as patch:
        patch.setattr(transaction, name, counted)
        with pytest.raises(Cut):
            yield


def test_all_of_a_change_or_nothing(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("old")
    (tmp_path / "gone").write_text("here")
    with (  # noqa: PT012 - what is tested is how the block ends
        pytest.raises(Cut),
        changing(Place.within(tmp_path), "try") as change,
    ):
        change.put("a", "new")
        raise Cut
    assert held(tmp_path) == {"a": b"old", "gone": b"here"}
    with changing(Place.within(tmp_path), "try") as change:
        change.put("a", "new")
        change.put("b/c", b"\x00")
        change.drop("gone")
        assert held(tmp_path)["a"] == b"old"
        change.commit()
    assert held(tmp_path) == {"a": b"new", "b/c": b"\x00"}


def test_a_folder_and_a_file_may_change_places(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "x").write_text("old")
    (tmp_path / "b").write_text("old")
    with changing(Place.within(tmp_path), "try") as change:
        change.put("a", "new")
        change.put("b/y", "new")
        change.drop("a/x")
        change.drop("b")
        change.commit()
    assert held(tmp_path) == {"a": b"new", "b/y": b"new"}


def test_a_folder_that_loses_its_last_file_may_get_another(tmp_path: Path) -> None:
    (tmp_path / "a" / "b").mkdir(parents=True)
    (tmp_path / "a" / "b" / "x").write_text("old")
    with changing(Place.within(tmp_path), "try") as change:
        change.drop("a/b/x")
        change.put("a/c/y", "new")
        change.commit()
    assert held(tmp_path) == {"a/c/y": b"new"}
    assert not (tmp_path / "a" / "b").exists()


def test_who_may_read_a_file_stays_as_it_was(tmp_path: Path) -> None:
    for name, mode in (("a", 0o600), ("b", 0o664)):
        (tmp_path / name).write_text("old")
        (tmp_path / name).chmod(mode)
    with changing(Place.within(tmp_path), "try") as change:
        change.put("a", "new")
        change.commit()
    write_whole(tmp_path / "b", "new")
    assert [(tmp_path / name).stat().st_mode & 0o777 for name in "ab"] == [0o600, 0o664]


def test_what_counts_is_finished_by_the_next(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a").write_text("old")
    with (
        cut_at(monkeypatch, "_carry_out", 0),
        changing(Place.within(tmp_path), "put a and b") as change,
    ):
        change.put("a", "new")
        change.put("b", "new")
        change.commit()
    assert (tmp_path / "a").read_text() == "old"
    told = settle(Place.within(tmp_path))
    assert "finished: put a and b (process " in told and f"process {os.getpid()} on" in told
    assert held(tmp_path) == {"a": b"new", "b": b"new"}
    assert settle(Place.within(tmp_path)) == ""


def test_what_was_half_carried_out_is_finished_by_the_next(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with (
        cut_at(monkeypatch, "_carry_out", 0),
        changing(Place.within(tmp_path), "put both") as change,
    ):
        change.put("a", "new")
        change.put("b", "new")
        change.commit()
    change.staged("a").replace(tmp_path / "a")
    with changing(Place.within(tmp_path), "put another") as change:
        assert "finished: put both" in change.settled
        assert held(tmp_path).keys() >= {"a", "b"}


def test_a_hand_that_was_quicker_than_the_next_keeps_its_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a").write_text("old")
    with cut_at(monkeypatch, "_carry_out", 0), changing(Place.within(tmp_path), "put a") as change:
        change.put("a", "new")
        change.commit()
    (tmp_path / "a").write_text("by hand")
    before = {**held(tmp_path), f"{WORK}.lock": b""}
    with pytest.raises(RecordErrors, match=r"a: it has changed since .* keep what you want"):
        settle(Place.within(tmp_path))
    assert {**held(tmp_path), f"{WORK}.lock": b""} == before
    (tmp_path / "a").write_text("old")
    assert "finished" in settle(Place.within(tmp_path))
    assert held(tmp_path) == {"a": b"new"}


@pytest.mark.parametrize("path", ["../out", "/tmp/out", "x/../../out", "link/out", ""])
def test_a_journal_from_elsewhere_reaches_nothing_outside(tmp_path: Path, path: str) -> None:
    top, out = tmp_path / "top", tmp_path / "elsewhere"
    (top / WORK / "new").mkdir(parents=True)
    out.mkdir()
    (top / "link").symlink_to(out)
    (top / WORK / "new" / "out").write_text("evil")
    journal = {"what": "x", "pid": 1, "host": "h", "since": "s"}
    journal["files"] = {path: [None, digest(top / WORK / "new" / "out")]}  # type: ignore[assignment]
    (top / WORK / "journal.json").write_text(json.dumps(journal))
    before = held(tmp_path)
    with pytest.raises(RecordErrors, match="is not in"):
        settle(Place.within(top))
    assert {n: b for n, b in held(tmp_path).items() if not n.endswith(".lock")} == before


def journalled(top: Path, name: str, content: Path) -> None:
    """Leave a journal, as somebody else may have made it, that puts a file in its place."""
    journal = {"what": "x", "pid": 1, "host": "h", "since": "s"}
    journal["files"] = {name: [None, digest(content)]}  # type: ignore[assignment]
    (top / WORK / "journal.json").write_text(json.dumps(journal))


@pytest.mark.parametrize("link", ["new", "new/a"])
def test_a_journal_from_elsewhere_takes_nothing_from_outside(tmp_path: Path, link: str) -> None:
    top, mine = tmp_path / "top", tmp_path / "mine"
    (top / WORK).mkdir(parents=True)
    (mine / "a").mkdir(parents=True)
    (mine / "a" / "precious").write_text("mine")
    place = top / WORK / link
    place.parent.mkdir(exist_ok=True)
    place.symlink_to(mine if link == "new" else mine / "a")
    journalled(top, "a/precious", mine / "a" / "precious")
    with pytest.raises(RecordErrors, match="has changed since"):
        settle(Place.within(top))
    assert held(mine) == {"a/precious": b"mine"}


def test_a_link_is_not_put_in_the_place_of_a_file(tmp_path: Path) -> None:
    (tmp_path / WORK / "new").mkdir(parents=True)
    (tmp_path / WORK / "kept").write_text("x")
    (tmp_path / WORK / "new" / "a").symlink_to(tmp_path / WORK / "kept")
    journalled(tmp_path, "a", tmp_path / WORK / "kept")
    with pytest.raises(RecordErrors, match="has changed since"):
        settle(Place.within(tmp_path))
    assert not os.path.lexists(tmp_path / "a")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes")
@pytest.mark.parametrize("pipe", [f"{WORK}.lock", f"{WORK}/journal.json", "a", f"{WORK}/new/a"])
def test_no_pipe_is_waited_for(tmp_path: Path, pipe: str) -> None:
    (tmp_path / WORK / "new").mkdir(parents=True)
    content = tmp_path / "content"
    content.write_text("x")
    journalled(tmp_path, "a", content)
    (tmp_path / pipe).unlink(missing_ok=True)
    os.mkfifo(tmp_path / pipe)
    with pytest.raises(RecordErrors, match=r"has changed since|cannot be read"):
        settle(Place.within(tmp_path))


@pytest.mark.parametrize(
    "text", ["", "[]", "[" * 100_000, '{"files": 3}', '{"what": 1, "files": {"a": [1]}}']
)
def test_a_journal_that_is_none_is_told(tmp_path: Path, text: str) -> None:
    (tmp_path / WORK).mkdir()
    (tmp_path / WORK / "journal.json").write_text(text)
    with pytest.raises(RecordErrors, match=r"journal .* cannot be read; look whether"):
        settle(Place.within(tmp_path))


def test_who_holds_it_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    code = (
        "import sys; from pathlib import Path\n"
        "from glost.record.transaction import Place, changing\n"
        "with changing(Place.within(Path(sys.argv[1])), 'count the plates') as change:\n"
        "    change.put('a', 'new')\n"
        "    print('held', flush=True); sys.stdin.read()\n"
    )
    command = [sys.executable, "-c", code, str(tmp_path)]
    environment = {**os.environ, "PYTHONPATH": str(Path(transaction.__file__).parents[2])}
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=environment
    ) as other:
        assert other.stdout is not None and other.stdout.readline() == "held\n"
        with pytest.raises(RecordErrors) as caught, changing(Place.within(tmp_path), "try", 0.1):
            pass
        assert f"count the plates (process {other.pid} on " in str(caught.value)
        assert " since 20" in str(caught.value)
        assert settle(Place.within(tmp_path)) == ""
        other.kill()
    told = settle(Place.within(tmp_path))
    assert f"undone: count the plates (process {other.pid} on " in told
    assert held(tmp_path) == {}


def test_a_collection_that_has_moved_is_not_changed(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    record = read(folder)
    path = folder / "tables" / "flatware.csv"
    path.write_text(path.read_text() + "birch,alder,letter,back\n")
    before = held(folder)
    claim = record.claim("b7-as-printed")
    assert claim is not None
    with pytest.raises(StaleRecordError, match="has changed since"):
        correct(record, claim, {"number": "B17"}, GROUNDS)
    assert held(folder) == before


FLATWARE = TABLES["flatware"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (FLATWARE + "birch,alder,letter,back\n", "a claim would come up unasked"),
        ("shape,with,source,locator\nbirch,alder,letter,x\n", "a claim would be lost"),
        (FLATWARE, "a claim would not come up"),
        (FLATWARE + "nosuch,alder,letter,x\n", 'nothing describes "nosuch"'),
    ],
)
def test_a_change_that_does_more_or_less_than_it_says_is_not_made(
    tmp_path: Path, text: str, expected: str
) -> None:
    folder = write(tmp_path / "c")
    record = read(folder)
    before = held(folder)
    added = ["0" * 16] if text == FLATWARE else []
    with pytest.raises(RecordErrors, match=expected):
        amend(record, "try", {"tables/flatware.csv": text}, added=added)
    assert held(folder) == before


@pytest.mark.parametrize(
    "text", [TABLES["treatments"].replace("Gold", "Red"), TABLES["treatments"].replace("p. 8", "")]
)
def test_a_claim_with_an_id_of_its_own_that_says_something_else_is_noticed(
    tmp_path: Path, text: str
) -> None:
    folder = write(tmp_path / "c")
    with pytest.raises(RecordErrors, match=r"claim/b7-as-printed>: a claim would be altered"):
        amend(read(folder), "try", {"tables/treatments.csv": text}, added=())


def test_a_claim_that_is_to_go_and_stays_is_noticed(tmp_path: Path) -> None:
    record = read(write(tmp_path / "c"))
    (meant,) = (c.id for c in record.claims if c.origin.table == "flatware")
    with pytest.raises(RecordErrors, match=f"claim/{meant}>: a claim would stay"):
        amend(record, "try", {"tables/flatware.csv": FLATWARE}, added=(), removed=[meant])


def test_a_new_term_that_changes_what_rows_of_other_tables_say_is_noticed(tmp_path: Path) -> None:
    """Once the collection has a term of its own, the pieces of that form are of another form."""
    folder = write(tmp_path / "c")
    before = read(folder)
    (folder / "tables" / "terms.csv").write_text(
        "scheme,term,name,source,claim\nform,saucer,saucer,cat1908,own-saucer\n"
    )
    (saucer,) = (c.iri for c in before.claims if c.origin.table == "pieces" and "p2" in str(c))
    told = differences(before, read(folder), frozenset({"own-saucer"}), frozenset(), {"terms.csv"})
    assert [error.iri for error in told] == [str(saucer)]


def test_claims_may_be_added_and_taken_out(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    record = read(folder)
    (old,) = (c.id for c in record.claims if c.origin.table == "flatware")
    whole = amend(record, "take out", {"tables/flatware.csv": None}, added=(), removed=[old])
    assert not (folder / "tables" / "flatware.csv").exists()
    assert {c.id for c in record.claims} - {c.id for c in whole.claims} == {old}
    back = amend(whole, "put back", {"tables/flatware.csv": FLATWARE}, added=[old])
    assert back.claims == record.claims
    assert (back.state, back.collection) == (record.state, record.collection)


def test_lines_within_cells_are_kept_by_a_correction(tmp_path: Path) -> None:
    rows = 'a13,harrow,A13,"Red\nLine",alder,cat1908,p. 9,\n'
    folder = write(tmp_path / "c")
    text = (TABLES["treatments"] + rows).replace("\n", "\r\n")
    (folder / "tables" / "treatments.csv").write_bytes(text.encode())
    record = read(folder)
    assert any("Red\nLine" in map(str, s) for c in record.claims for s in c.statements)
    claim = record.claim("b7-as-printed")
    assert claim is not None
    correct(record, claim, {"number": "B17"}, GROUNDS)
    now = read(folder)
    write_tables(now, tmp_path / "back")
    for again in (now, read(tmp_path / "back")):
        after = {c.id: frozenset(c.statements) for c in again.claims}
        assert len(after) == len(record.claims) + 2
        for each in record.claims:
            assert after[each.id] == frozenset(each.statements)


def test_opening_a_collection_finishes_what_was_begun_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = write(tmp_path / "c")
    record = read(folder)
    claim = record.claim("b7-as-printed")
    assert claim is not None
    with cut_at(monkeypatch, "_carry_out", 0):
        correct(record, claim, {"number": "B17"}, GROUNDS)
    after = read(folder)
    (finding,) = after.findings
    assert finding.message.startswith(f"A change of {folder} that was cut short has been finished")
    assert list(after.believed().parts) == [claim.iri]
    assert read(folder).findings == ()
    assert not list(folder.glob(".*"))


def test_files_that_change_while_they_are_read_are_read_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = write(tmp_path / "c")
    path = folder / "tables" / "flatware.csv"
    times = 0

    def busy(_: str) -> None:
        nonlocal times
        times += 1
        if times == 2:
            path.write_text(FLATWARE + "birch,alder,letter,back\n")

    assert len(read(folder, busy).claims) == len(read(folder).claims)

    def always(_: str) -> None:
        path.write_text(path.read_text() + "birch,alder,letter,back\n")

    with pytest.raises(RecordErrors, match="its files change while they are read; wait"):
        read(folder, always)


def test_a_part_that_was_left_is_used_by_the_next(tmp_path: Path) -> None:
    (tmp_path / ".a.part").write_text("left, and longer")
    write_whole(tmp_path / "a", "new")
    assert held(tmp_path) == {"a": b"new"}


def test_a_part_that_leads_elsewhere_is_not_written_through(tmp_path: Path) -> None:
    (tmp_path / "precious").write_text("mine")
    (tmp_path / ".a.part").symlink_to(tmp_path / "precious")
    with pytest.raises(OSError, match="symbolic links"):
        write_whole(tmp_path / "a", "new")
    assert (tmp_path / "precious").read_text() == "mine"
