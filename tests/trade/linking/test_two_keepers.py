"""Candidates across two keepers' collections, against a table written by whoever knows both.

`thurle_truth.csv` says which things of the cabinet at Thurle are which of the Wend valley archive,
and which only seem so, as its tables and those of the archive have it.
"""

import csv
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.alike import KINDS, Meetings, lines_of
from glost.answer.review import PairAnswer, Reviewed, Sitting, entered
from glost.answer.snapshot import Snapshot
from glost.record.record import read
from glost.record.together import begin
from glost.trade.linking.links import Standing, links_in

TRUTH = Path(__file__).with_name("thurle_truth.csv")
Pair = tuple[str, str, str]


def truth(standing: str) -> set[Pair]:
    with TRUTH.open(encoding="utf-8", newline="") as file:
        return {
            (row["kind"], row["thurle"], row["wend"])
            for row in csv.DictReader(file)
            if row["standing"] == standing
        }


@pytest.fixture(scope="session")
def meetings() -> Meetings:
    return Meetings()


@pytest.fixture(scope="session")
def found(meetings: Meetings, thurle: Snapshot, valley: Snapshot) -> dict[Pair, float]:
    def pairs() -> Iterator[tuple[Pair, float]]:
        for kind in KINDS:
            for each in meetings.alike(thurle, kind, valley):
                names = (str(iri).rsplit("/", 1)[-1] for iri in (each.one, each.other))
                yield (kind, *names), each.probability  # type: ignore[misc]

    return dict(pairs())


def test_nearly_all_candidates_are_right(found: dict[Pair, float]) -> None:
    right = found.keys() & truth("same")
    assert len(right) / len(found) >= 0.98


def test_most_of_what_is_the_same_is_found(found: dict[Pair, float]) -> None:
    same = truth("same")
    assert len(same) > 100
    assert len(found.keys() & same) / len(same) >= 0.85


def test_what_only_seems_the_same_is_not_proposed(found: dict[Pair, float]) -> None:
    seeming = truth("not-the-same")
    assert sum(kind == "shapes" for kind, _, _ in seeming) == 3
    assert not found.keys() & seeming


def test_what_is_said_to_be_sure_is(found: dict[Pair, float]) -> None:
    sure = {pair for pair, probability in found.items() if probability >= 0.9}
    assert len(sure) > 50
    assert len(sure & truth("same")) / len(sure) >= 0.9


def test_a_reviewers_answers_are_counted_and_kept(
    tmp_path: Path, meetings: Meetings, thurle: Snapshot, valley: Snapshot
) -> None:
    """Somebody who knows both answers each pair of two kinds; what they say is known from then on."""
    begin(tmp_path / "both", "Both", "https://both.example/", [thurle.path, valley.path])
    same, kinds = truth("same"), ("plants", "sources")
    said: dict[str, list[Reviewed]] = {}
    for kind in kinds:
        for each in meetings.alike(thurle, kind, valley):
            names = (kind, *(str(iri).rsplit("/", 1)[-1] for iri in (each.one, each.other)))
            answer = PairAnswer.YES if names in same else PairAnswer.NO
            said.setdefault(str(answer), []).append(Reviewed(each.one, each.other, answer))
    wrong = Reviewed(
        URIRef("https://example.org/thurle/source/blueprint"),
        URIRef("https://example.org/wend/source/ot-bp-1923"),
        PairAnswer.NO,
    )
    answers = [*said.get("yes", ()), *said.get("no", ()), wrong]
    entered(read(tmp_path / "both"), answers, Sitting("E. Marsh", "2025-03-04"))
    yes, no = len(said.get("yes", ())), len(said.get("no", ()))
    assert yes / (yes + no) >= 0.98
    both, across = Snapshot(tmp_path / "both"), Meetings()
    for kind in kinds:
        known = across.alike(both, kind)
        assert {each.standing for each in known} == {Standing.ACCEPTED}
        assert len(known) == sum(name == kind for name, _, _ in same)
    links = links_in(both.belief)
    new = [each for each in links.every if each.iri.startswith("https://both.example/")]
    counts = Counter(str(each.kind) for each in new)
    assert counts == {"same": yes, "not-the-same": no + 1}
    assert not links.at_odds


def test_lines_of_one_catalogue_as_two_keepers_copied_it(
    tmp_path: Path, thurle: Snapshot, valley: Snapshot
) -> None:
    """The cabinet's eighteen lines of Vellacot bear the archive's item numbers of Vellacott."""
    begin(tmp_path / "both", "Both", "https://both.example/", [thurle.path, valley.path])
    both = Snapshot(tmp_path / "both")
    one = URIRef("https://example.org/thurle/source/cat-6")
    other = URIRef("https://example.org/wend/source/ot-cat-1906")
    found = lines_of(both, one, other)
    assert len(found) == 18
    for each in found:
        own, theirs = (str(iri).rsplit("/", 1)[-1].split(".")[1:] for iri in (each.one, each.other))
        assert (own[0], theirs[0]) == ("vellacot", "vellacott")
        assert own[1:] == theirs[1:]
