"""What tells things apart that are called alike is worked out once, and again when it changes."""

from dataclasses import replace
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.living.called import ToldApart
from glost.answer.snapshot import Snapshot
from glost.answer.workspace import Workspace
from glost.record.changes import between
from glost.record.claims import Claim
from glost.record.record import Record, read
from glost.record.sequence import ClaimSequence

BASE = "https://example.org/alike/"
MADE = ("ash", "beck", "croft", "dale")
"""Four potteries; each issued an A1 called Gold Line, which the letter says was on two shapes."""


def tables(lines: str = "") -> dict[str, str]:
    shapes = [f"{p}-{n},{p},{p.title()} {n},,letter" for p in MADE for n in ("one", "two")]
    twice = [f"{p}-a1,{p},A1,Gold Line,{p}-{n},letter" for p in MADE for n in ("one", "two")]
    return {
        "potteries": "pottery,name,source\n"
        + "".join(f"{p},{p.title()} Pottery,letter\n" for p in MADE),
        "sources": "source,title,kind\nletter,A letter,letter\n",
        "shapes": "shape,pottery,name,begin,source\n" + "\n".join(shapes) + "\n",
        "treatments": "treatment,pottery,number,name,shape,source\n"
        + "\n".join(twice)
        + "\n"
        + lines,
    }


def write(folder: Path, of: dict[str, str]) -> Path:
    (folder / "tables").mkdir(parents=True, exist_ok=True)
    settings = f'title = "Called alike"\nbase = "{BASE}"\n'
    (folder / "collection.toml").write_text(settings, encoding="utf-8")
    for name, text in of.items():
        (folder / "tables" / f"{name}.csv").write_text(text, encoding="utf-8")
    return folder


def labels(snapshot: Snapshot) -> dict[str, str]:
    return {p: snapshot.words.label(URIRef(f"{BASE}treatment/{p}-a1")) for p in MADE}


def from_nothing(record: Record) -> Snapshot:
    def by_iri(claim: Claim) -> str:
        return str(claim.iri)

    claims = ClaimSequence.given(sorted(record.claims, key=by_iri))
    return Snapshot.of(replace(record, claims=claims, _beliefs={}))


def test_it_is_worked_out_once_for_all_that_are_called_alike(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[tuple[str, str]] = []
    work_out = ToldApart.work_out

    def counted(self: ToldApart, kind: str, text: str, graph: object) -> None:
        made.append((kind, text))
        work_out(self, kind, text, graph)  # type: ignore[arg-type]

    monkeypatch.setattr(ToldApart, "work_out", counted)
    workspace = Workspace(Snapshot(write(tmp_path / "alike", tables())))
    told = [each.message for each in workspace.findings if "Gold Line" in each.message]
    assert len(told) >= len(MADE)
    assert labels(workspace.snapshot)["beck"] == "A1 (Gold Line), Beck Pottery"
    assert made == [("treatment", "A1 (Gold Line)")]


@pytest.mark.parametrize(
    ("more", "beck"),
    [
        ("ash-a2,beck,A1,Gold Line,,letter\n", "A1 (Gold Line), Beck Pottery"),
        ("beck-a1,beck,A1,Gold Ring,,letter\n", ""),
        ("beck-a1,ash,A1,Gold Line,,letter\n", ""),
    ],
)
def test_after_a_change_all_are_told_apart_as_from_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, more: str, beck: str
) -> None:
    """Another comes; one is called otherwise; one has another maker too: and all of it back."""
    monkeypatch.setenv("GLOST_CACHE", str(tmp_path / "cache"))
    folder = write(tmp_path / "alike", tables())
    Workspace(Snapshot(folder))  # now what is found is kept
    workspace = Workspace(Snapshot(folder))
    first, found = labels(workspace.snapshot), workspace.findings
    write(folder, tables(more))
    workspace.apply(between(workspace.record, read(folder)))
    anew = from_nothing(workspace.record)
    assert labels(workspace.snapshot) == labels(anew)
    assert workspace.findings == anew.findings() != found
    assert not beck or labels(anew)["beck"].startswith(beck)
    workspace.undo()
    assert (labels(workspace.snapshot), workspace.findings) == (first, found)
