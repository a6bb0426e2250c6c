"""Collections read together: each whole, its keeper's, and made one with nothing."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rdflib import URIRef
from rdflib.namespace import DC, DCTERMS, PROV

from glost.answer.alike import alike_things
from glost.answer.review import PairAnswer, Reviewed, Sitting, entered
from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.record.correcting import correct
from glost.record.errors import RecordErrors
from glost.record.provenance import record_graph
from glost.record.record import Record, read
from glost.record.together import begin, laid
from glost.trade.linking.links import links_in
from keepers import keeper

BASE = "https://both.example/"


@pytest.fixture
def both(tmp_path: Path) -> Path:
    folders = [keeper(tmp_path, name) for name in ("ash", "elm")]
    begin(tmp_path / "both", "Both", BASE, folders)
    return tmp_path / "both"


def iri(name: str, thing: str) -> URIRef:
    return URIRef(f"https://{name}.example/{thing}")


# -- what is read together ---------------------------------------------------------------------


def test_every_claim_stays_as_its_keeper_has_it(both: Path, tmp_path: Path) -> None:
    record = read(both)
    for name in ("ash", "elm"):
        alone = read(tmp_path / name)
        for claim in alone.claims:
            there = record.claim(str(claim.iri))
            assert there is not None and there == claim
            assert there.statements == claim.statements
            assert str(there.origin) == f"{name}: {claim.origin}"
    assert len(record.claims) == sum(len(read(tmp_path / name).claims) for name in ("ash", "elm"))


def test_things_of_one_name_stay_two(both: Path) -> None:
    record = read(both)
    shapes = {str(t) for t in record.believed().graph.subjects(None, iri("ash", "pottery/harrow"))}
    assert shapes and all(shape.startswith("https://ash.example/") for shape in shapes)
    assert find_thing(record, "ash:alder") == iri("ash", "shape/alder")
    assert find_thing(record, "elm:shape/alder") == iri("elm", "shape/alder")
    assert find_thing(record, str(iri("elm", "shape/alder"))) == iri("elm", "shape/alder")
    with pytest.raises(RecordErrors, match=r"https://ash\.example/shape/alder") as told:
        find_thing(record, "alder")
    assert "https://elm.example/shape/alder" in str(told.value)


def test_each_claim_says_who_keeps_it(both: Path) -> None:
    record = read(both)
    graph = record_graph(record)
    for claim in record.claims:
        (keeper_,) = graph.objects(claim.iri, DCTERMS.isPartOf)
        assert str(claim.iri).startswith(str(keeper_))
    assert str(graph.value(URIRef("https://elm.example/"), DC.publisher)) == "elm"


def test_recorders_of_one_name_are_two_people(tmp_path: Path) -> None:
    shapes = "shape,pottery,name,source,recorded_by\nalder,harrow,Alder,cat1908,E. Marsh\n"
    folders = [keeper(tmp_path, name, shapes=shapes) for name in ("ash", "elm")]
    begin(tmp_path / "both", "Both", BASE, folders)
    graph = record_graph(read(tmp_path / "both"))
    assert set(graph.objects(None, PROV.wasAttributedTo)) == {
        iri("ash", "recorder/e-marsh"), iri("elm", "recorder/e-marsh"),
    }  # fmt: skip


def test_an_id_of_two_claims_names_neither(both: Path, tmp_path: Path) -> None:
    record = read(both)
    (name,) = {c.id for c in read(tmp_path / "ash").claims if c.origin.table == "potteries"}
    assert record.claim(name) is None
    found = record.claim(f"elm:claim/{name}")
    assert found is not None and found.iri == iri("elm", f"claim/{name}")


# -- what is recorded of all of them -----------------------------------------------------------


def test_a_link_meets_two_keepers_things_and_stands_in_neither(both: Path, tmp_path: Path) -> None:
    before = [(tmp_path / n / "tables" / "shapes.csv").read_bytes() for n in ("ash", "elm")]
    said = Reviewed(
        iri("ash", "shape/alder"), iri("elm", "shape/alder"), PairAnswer.YES, "One rim."
    )
    record = entered(read(both), [said], Sitting("E. Marsh", "2025-01-02")).record
    again = read(both)
    assert [claim.iri for claim in record.claims] == [claim.iri for claim in again.claims]
    (link,) = links_in(again.believed()).every
    assert {link.one, link.other} == {said.one, said.other}
    assert str(link.iri).startswith(BASE)
    assert before == [(tmp_path / n / "tables" / "shapes.csv").read_bytes() for n in ("ash", "elm")]


def test_a_keepers_claim_is_not_corrected_from_outside(both: Path, tmp_path: Path) -> None:
    record = read(both)
    claim = next(c for c in record.claims if str(c.iri).startswith("https://ash.example/"))
    with pytest.raises(RecordErrors, match="kept in another collection"):
        correct(record, claim, {}, {"reason": "So.", "source": "cat1908"})


def test_candidates_are_looked_for_across_keepers(tmp_path: Path) -> None:
    shapes = "shape,pottery,name,begin,source\n" + "".join(
        f"s{n},harrow,{chr(65 + n)}orn {n},{1880 + n},letter\n" for n in range(20)
    )
    folders = [keeper(tmp_path, name, shapes=shapes) for name in ("ash", "elm")]
    begin(tmp_path / "both", "Both", BASE, folders)
    found = alike_things(Snapshot(tmp_path / "both"), "shapes")
    assert {(each.one, each.other) for each in found} == {
        (iri("ash", f"shape/s{n}"), iri("elm", f"shape/s{n}")) for n in range(20)
    }


def test_a_change_by_a_keeper_is_seen(both: Path, tmp_path: Path) -> None:
    first = Snapshot(both)
    shapes = tmp_path / "elm" / "tables" / "shapes.csv"
    more = "cedar,harrow,Cedar,1915,,letter,,\n"
    count = len(first.record.claims)
    shapes.write_text(shapes.read_text(encoding="utf-8") + more, encoding="utf-8")
    assert len(Snapshot(both).record.claims) == count + 1


# -- order and number do not matter ------------------------------------------------------------


@contextmanager
def keepers(names: Sequence[str]) -> Iterator[dict[str, Record]]:
    with TemporaryDirectory() as top:
        yield {name: read(keeper(Path(top), name)) for name in sorted(set(names))}


@settings(max_examples=8)
@given(st.lists(st.sampled_from(["ash", "elm", "oak"]), min_size=1, max_size=4), st.randoms())
def test_a_with_b_is_b_with_a_and_twice_is_once(names: list[str], by: object) -> None:
    with keepers(names) as records:
        own = replace(next(iter(records.values())), claims=records[names[0]].claims[:0])
        once = laid(own, records)
        shuffled = list(names) * 2
        by.shuffle(shuffled)  # type: ignore[attr-defined]
        again = laid(own, {name: records[name] for name in shuffled})
        # The same collection under two names is still one.
        more = laid(own, {**records, "zz": records[names[0]]})
        assert len(more.members) == len(once.members) == len(set(names))
        for other in (again, more):
            assert [c.iri for c in other.claims] == [c.iri for c in once.claims]
            assert [c.statements for c in other.claims] == [c.statements for c in once.claims]
            assert [c.passage for c in other.claims] == [c.passage for c in once.claims]


# -- what cannot be read together --------------------------------------------------------------


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ('elm = "../nowhere"', "elm: collection.toml: there is none"),
        ('Elm = "../elm"', r"\[together\] does not give the folder"),
        ("elm = 3", r"\[together\] does not give the folder"),
        ('elm = "../elm"\nelm-2 = "../copy"', "elm and elm-2 have one base"),
        ('elm = "../both"', "reads collections together itself"),
        ('elm = "../own"', "has the base https://all.example/ of its own"),
    ],
)
def test_what_is_refused(both: Path, tmp_path: Path, lines: str, says: str) -> None:
    keeper(tmp_path, "copy")
    copied = tmp_path / "copy" / "collection.toml"
    copied.write_text('title = "C"\nbase = "https://elm.example/"\n', encoding="utf-8")
    keeper(tmp_path, "own")
    own = tmp_path / "own" / "collection.toml"
    own.write_text('title = "O"\nbase = "https://all.example/"\n', encoding="utf-8")
    (tmp_path / "all").mkdir()
    text = f'title = "All"\nbase = "https://all.example/"\n[together]\n{lines}\n'
    (tmp_path / "all" / "collection.toml").write_text(text, encoding="utf-8")
    with pytest.raises(RecordErrors, match=says):
        read(tmp_path / "all")


def test_one_folder_under_two_names_is_read_once(both: Path, tmp_path: Path) -> None:
    settings_ = both / "collection.toml"
    settings_.write_text(
        settings_.read_text(encoding="utf-8") + 'elm-2 = "../elm"\n', encoding="utf-8"
    )
    assert sorted(read(both).members) == ["ash", "elm"]


def test_errors_of_a_keeper_name_the_keeper(both: Path, tmp_path: Path) -> None:
    (tmp_path / "elm" / "tables" / "shapes.csv").write_text(
        "shape,pottery,name,source\nalder,nobody,Alder,cat1908\n", encoding="utf-8"
    )
    with pytest.raises(RecordErrors) as told:
        read(both)
    assert {error.file for error in told.value.errors} == {"elm: tables/shapes.csv"}


def test_nothing_is_written_over(both: Path, tmp_path: Path) -> None:
    with pytest.raises(RecordErrors, match="already has it"):
        begin(both, "Both", BASE, [tmp_path / "ash"])
    with pytest.raises(RecordErrors, match="there is none"):
        begin(tmp_path / "new", "Both", BASE, [tmp_path])
    assert not (tmp_path / "new" / "collection.toml").exists()
