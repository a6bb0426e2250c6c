"""What a collection no longer has goes from the store, and nothing else does."""

import json
from pathlib import Path

import httpx2 as httpx
import pyoxigraph as ox
import pytest
from rdflib import URIRef

from commands import glost_ends
from glost.publish.handover.batches import Size, batches
from glost.publish.handover.noting import noted
from glost.publish.handover.plan import Plan
from glost.publish.handover.sending import Outcome, hand_over
from glost.publish.handover.store import Store
from handed import BASE, BELIEVED, GONE, LOST, NOTE, SMALL, before_and_after, handed
from shelf import TABLES, write

OTHERS = ("x:other", f"{BASE}claim/of-somebody-else", f"{BASE}notes", "https://example.org/claim/x")


@pytest.fixture(scope="module")
def plans(tmp_path_factory: pytest.TempPathFactory) -> tuple[Plan, Plan]:
    return before_and_after(tmp_path_factory.mktemp("removal"))


@pytest.fixture(params=["update", "graphs"])
def store(oxigraph: str, request: pytest.FixtureRequest) -> Store:
    if request.param == "update":
        return Store(f"{oxigraph}update", "update", f"{oxigraph}query")
    return Store(f"{oxigraph}store", "graphs", f"{oxigraph}query")


def updated(oxigraph: str, text: str) -> None:
    media = {"content-type": "application/sparql-update"}
    answer = httpx.post(
        f"{oxigraph}update", content=text, headers=media, trust_env=False, verify=False
    )
    assert answer.status_code == 204, answer.text


def held(oxigraph: str) -> dict[str, int]:
    """Count the statements of every named graph of the store."""
    answer = httpx.get(
        f"{oxigraph}store", headers={"accept": "application/n-quads"}, trust_env=False, verify=False
    )
    found: dict[str, int] = {}
    for quad in ox.parse(answer.content, format=ox.RdfFormat.N_QUADS):
        name = getattr(quad.graph_name, "value", "")
        found[name] = found.get(name, 0) + 1
    return found


def should_hold(plan: Plan) -> dict[str, int]:
    counts = {str(name): count for name, count in plan.counts.items()}
    return {**counts, str(NOTE): len(plan.counts)}


def test_a_claim_that_vanished_goes_and_what_others_put_there_stays(
    oxigraph: str, store: Store, plans: tuple[Plan, Plan], tmp_path: Path
) -> None:
    before, after = plans
    for name in OTHERS:
        updated(oxigraph, f"INSERT DATA {{ GRAPH <{name}> {{ <x:a> <x:b> <x:c> }} }}")
    foreign = dict.fromkeys(OTHERS, 1)
    assert handed(before, store, tmp_path) == Outcome(())
    assert held(oxigraph) == {**foreign, **should_hold(before)}
    assert str(GONE) in held(oxigraph)
    assert handed(after, store, tmp_path) == Outcome((), removed=(GONE,))
    assert held(oxigraph) == {**foreign, **should_hold(after)}
    assert handed(after, store, tmp_path) == Outcome(())


def test_what_stood_elsewhere_is_left_and_told(
    oxigraph: str, store: Store, plans: tuple[Plan, Plan], tmp_path: Path
) -> None:
    """A graph that was put outside the base by name, with another one named the next time."""
    elsewhere = URIRef("https://elsewhere.test/believed")
    assert handed(Plan(plans[1].contents, elsewhere), store, tmp_path) == Outcome(())
    assert handed(plans[1], store, tmp_path) == Outcome((), left=(elsewhere,))
    assert held(oxigraph)[str(elsewhere)] == plans[1].counts[BELIEVED]
    assert held(oxigraph)[str(NOTE)] == len(plans[1].counts) + 1


def test_a_graph_that_is_noted_but_not_under_the_base_is_never_removed(
    oxigraph: str, store: Store, plans: tuple[Plan, Plan], tmp_path: Path
) -> None:
    """Whatever the note says: others may write to the store, too."""
    updated(
        oxigraph,
        f"INSERT DATA {{ GRAPH <{NOTE}> {{ <{NOTE}> <http://purl.org/dc/terms/hasPart> <x:other>, "
        f"<{NOTE}>, 'text' . <x:a> <http://purl.org/dc/terms/hasPart> <{BASE}notes> }} "
        f"GRAPH <x:other> {{ <x:a> <x:b> <x:c> }} GRAPH <{BASE}notes> {{ <x:a> <x:b> <x:c> }} }}",
    )
    outcome = handed(plans[1], store, tmp_path)
    assert (outcome.removed, outcome.left) == ((), (URIRef("x:other"),))
    assert held(oxigraph)["x:other"] == held(oxigraph)[f"{BASE}notes"] == 1


@pytest.mark.parametrize("word", ["adding", "removing"])
def test_what_broke_off_anywhere_ends_well(
    oxigraph: str, store: Store, plans: tuple[Plan, Plan], tmp_path: Path, word: str
) -> None:
    before, after = plans
    handed(before, store, tmp_path)

    def broken(told: str) -> None:
        if word in told:
            raise KeyboardInterrupt

    state = tmp_path / "state.json"
    with pytest.raises(KeyboardInterrupt):
        hand_over(after, store, state, size=SMALL, progress=broken)
    assert state.exists()
    outcome = handed(after, store, tmp_path)
    assert outcome.differing == ()
    assert held(oxigraph) == should_hold(after)
    assert not state.exists()


def test_a_hand_over_given_up_leaves_nothing_behind_for_ever(
    oxigraph: str, store: Store, plans: tuple[Plan, Plan], tmp_path: Path
) -> None:
    """Half of one content is sent, its state thrown away, and other content handed over."""
    before, after = plans
    sent = 0

    def broken(told: str) -> None:
        nonlocal sent
        sent += "adding" in told
        if sent == 2 or "counting" in told:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        hand_over(before, store, tmp_path / "state.json", size=SMALL, progress=broken)
    (tmp_path / "state.json").unlink()
    assert handed(after, store, tmp_path) == Outcome((), removed=(GONE,))
    assert held(oxigraph) == should_hold(after)


def test_a_note_that_was_cut_short_is_made_whole(
    oxigraph: str, store: Store, plans: tuple[Plan, Plan], tmp_path: Path
) -> None:
    """As when writing it anew by several requests breaks off after the first."""
    after, state, tiny = plans[1], tmp_path / "state.json", Size(8, 80_000)
    handed(after, store, tmp_path)
    updated(oxigraph, f"CLEAR GRAPH <{NOTE}>")
    with pytest.raises(KeyboardInterrupt):
        hand_over(after, store, state, size=tiny, progress=stop)
    assert held(oxigraph)[str(NOTE)] == 8 < len(after.counts)
    told = json.loads(state.read_text())
    told["done"] = len(list(batches(after, store.protocol, tiny)))
    state.write_text(json.dumps(told))
    assert hand_over(after, store, state, size=tiny) == Outcome(())
    assert held(oxigraph) == should_hold(after)


def stop(told: str) -> None:
    raise KeyboardInterrupt


def test_a_long_note_is_read_part_by_part(
    oxigraph: str, plans: tuple[Plan, Plan], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("glost.publish.handover.noting._ROWS", 4)
    store = Store(f"{oxigraph}update", "update", f"{oxigraph}query")
    handed(plans[0], store, tmp_path)
    with store.open() as opened:
        assert noted(opened, NOTE) == plans[0].named
    assert len(plans[0].named) > 12


def test_a_graph_that_was_not_removed_is_found_out(
    oxigraph: str, plans: tuple[Plan, Plan], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, after = plans
    store = Store(f"{oxigraph}store", "graphs")
    handed(before, store, tmp_path)
    monkeypatch.setattr("glost.publish.handover.store.Connection.remove", lambda *_: None)
    outcome = handed(after, store, tmp_path)
    assert [(each.graph, each.sent) for each in outcome.differing] == [(GONE, 0)]
    assert outcome.differing[0].found == before.counts[GONE]


def test_the_command_says_what_was_removed(
    oxigraph: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    shelf = write(tmp_path / "shelf", treatments=TABLES["treatments"] + LOST)
    words = (f"{oxigraph}update", "--query", f"{oxigraph}query", "-c", str(shelf))
    assert glost_ends("handover", *words, "--believed", "https://elsewhere.test/believed") == 0
    assert "no longer has" not in capsys.readouterr().out
    (shelf / "tables" / "treatments.csv").write_text(TABLES["treatments"])
    assert glost_ends("handover", *words) == 0
    said = capsys.readouterr().out.splitlines()[1:]
    assert said == [
        "Removed one graph that the collection no longer has.",
        f"Left one graph that it no longer has but not under {BASE}:",
        "  https://elsewhere.test/believed",
        "Every graph holds as many statements in the store.",
    ]
