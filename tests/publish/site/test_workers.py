"""Jobs shared between processes."""

import os
from functools import partial
from pathlib import Path

import pytest

import shelf
from glost.answer.snapshot import Snapshot
from glost.publish.site.publish import publish
from glost.publish.site.workers import processes, share


def told(number: int) -> tuple[int, int]:
    return number, os.getpid()


def test_what_jobs_give_comes_in_their_order_whoever_did_them() -> None:
    jobs = [partial(told, number) for number in range(1, 40)]
    for many in (1, 2, 3):
        found = share(partial(told, 0), jobs, many)
        assert [number for number, _ in found] == list(range(40))
        assert found[0][1] == os.getpid()
        assert many > 1 or {process for _, process in found} == {os.getpid()}


def test_another_process_takes_jobs_while_this_one_has_its_own(tmp_path: Path) -> None:
    done = tmp_path / "done"
    os.mkfifo(done)

    def own() -> str:
        return done.read_text(encoding="utf-8")  # waits until a job writes

    def job() -> str:
        done.write_text("done", encoding="utf-8")
        return "job"

    assert share(own, [job, lambda: "more"], 2) == ["done", "job", "more"]


def test_what_a_job_raises_is_raised_and_a_process_that_ends_early_is_told() -> None:
    waiting, ready = os.pipe()

    def own() -> None:
        os.read(waiting, 1)

    def failing() -> None:
        os.write(ready, b"x")
        raise ValueError("no such page")

    def ending() -> None:
        os.write(ready, b"x")
        os._exit(3)

    with pytest.raises(ValueError, match="no such page"):
        share(own, [failing, lambda: None], 2)
    with pytest.raises(ChildProcessError, match="ended early"):
        share(own, [ending, lambda: None], 2)


def test_one_process_and_two_make_the_same_site(tmp_path: Path) -> None:
    collection = shelf.write(tmp_path / "shelf")
    done = [publish(Snapshot(collection), tmp_path / str(many), many=many) for many in (1, 2)]
    assert done[0] == done[1]
    for file in done[0].written:
        assert (tmp_path / "1" / file).read_bytes() == (tmp_path / "2" / file).read_bytes()
    assert publish(Snapshot(collection), tmp_path / "1", many=2).written == ()


def test_at_least_this_process_works() -> None:
    assert processes() >= 1
