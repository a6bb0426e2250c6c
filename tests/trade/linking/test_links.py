"""Links as claims: what they come to, and what candidates make of them."""

from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.alike import alike_things
from glost.answer.snapshot import Snapshot
from glost.record.correcting import correct
from glost.record.errors import RecordErrors
from glost.record.record import read
from glost.trade.linking.links import LinkKind, Links, Standing, links_in
from shelf import write

BASE = "https://example.org/shelf/"
SHAPES = (
    "shape,pottery,name,begin,description,source\n"
    "alder,harrow,Alder,1908,Stepped octagonal rim,cat1908\n"
    "alder-2,harrow,Alder,1908,Octagonal stepped rim,letter\n"
    "birch,harrow,Birch,1911,,cat1911\nsorb,harrow,Sorb,1911,,letter\nyew,harrow,Yew,1911,,letter\n"
    + "".join(
        f"s{n},harrow,{chr(65 + n)}orn {n},{1880 + n},Fluted in {n}00 ways,letter\n"
        for n in range(24)
    )
)
"""Two of one name and year, among many others: that they agree says something."""
HEAD = "one,one_elsewhere,kind,other,other_elsewhere,evidence,source,recorded_on,claim\n"


def shape(name: str) -> URIRef:
    return URIRef(f"{BASE}shape/{name}")


def collection(folder: Path, *rows: str) -> Snapshot:
    links = HEAD + "".join(f"{row}\n" for row in rows)
    return Snapshot.of(read(write(folder, shapes=SHAPES, links=links)))


def links_of(folder: Path, *rows: str) -> Links:
    return links_in(collection(folder, *rows).belief)


@pytest.mark.parametrize(
    ("kinds", "standing"),
    [
        ((), Standing.OPEN),
        (("undecided",), Standing.UNDECIDED),
        (("same",), Standing.ACCEPTED),
        (("undecided", "same"), Standing.ACCEPTED),
        (("not-the-same",), Standing.REJECTED),
        (("undecided", "not-the-same"), Standing.REJECTED),
        (("part-of",), Standing.REJECTED),
        (("continues",), Standing.REJECTED),
        (("same", "not-the-same"), Standing.DISPUTED),
        (("same", "part-of"), Standing.DISPUTED),
    ],
)
def test_what_has_come_of_comparing_two(
    tmp_path: Path, kinds: tuple[str, ...], standing: Standing
) -> None:
    rows = [f"shape/alder,,{kind},shape/birch,,seen,letter,," for kind in kinds]
    links = links_of(tmp_path / "c", *rows)
    assert links.standing(shape("alder"), shape("birch")) is standing
    assert links.standing(shape("birch"), shape("alder")) is standing
    assert links.standing(shape("alder"), shape("sorb")) is Standing.OPEN


def test_the_same_by_way_of_others_with_the_fewest_links(tmp_path: Path) -> None:
    links = links_of(
        tmp_path / "c",
        "shape/birch,,same,shape/alder,,seen,letter,,one",
        "shape/birch,,same,shape/sorb,,seen,letter,,two",
        ",https://b.example/shape/x,same,shape/sorb,,seen,letter,,three",
        "shape/alder,,same,,https://b.example/shape/x,seen,letter,,four",
        "shape/yew,,not-the-same,shape/alder,,seen,letter,,five",
    )
    far = URIRef("https://b.example/shape/x")
    assert links.groups == (tuple(sorted([far, *map(shape, ("alder", "birch", "sorb"))])),)
    assert links.first[shape("sorb")] == far
    assert shape("yew") not in links.first
    path = links.path(shape("birch"), far)
    assert [claim.id for link in path for claim in link.claims] in (
        ["one", "four"],
        ["two", "three"],
    )
    assert links.path(shape("birch"), shape("yew")) == ()
    assert links.path(shape("birch"), shape("birch")) == ()
    (five,) = links.of(shape("yew"))
    assert (five.one, five.kind, five.other) == (
        shape("yew"),
        LinkKind.NOT_THE_SAME,
        shape("alder"),
    )
    assert five.across(shape("alder")) == shape("yew")


def test_a_link_that_lacks_an_end_or_names_three_is_none(tmp_path: Path) -> None:
    links = links_of(
        tmp_path / "c",
        "shape/birch,,same,,,seen,letter,,",
        "shape/birch,https://b.example/shape/x,same,shape/alder,,seen,letter,,",
    )
    assert links.every == ()


def test_a_candidate_is_proposed_until_somebody_decides(tmp_path: Path) -> None:
    row = "shape/alder,,{},shape/alder-2,,seen,letter,2024-01-02,decided"
    (open_,) = alike_things(collection(tmp_path / "open"), "shapes")
    assert open_.standing is Standing.OPEN
    (left,) = alike_things(collection(tmp_path / "left", row.format("undecided")), "shapes")
    assert left.standing is Standing.UNDECIDED
    (known,) = alike_things(collection(tmp_path / "known", row.format("same")), "shapes")
    assert known.standing is Standing.ACCEPTED
    assert alike_things(collection(tmp_path / "not", row.format("not-the-same")), "shapes") == ()


def test_a_withdrawn_rejection_lets_it_be_proposed_again(tmp_path: Path) -> None:
    row = "shape/alder,,not-the-same,shape/alder-2,,seen,letter,2024-01-02,decided"
    before = collection(tmp_path / "c", row)
    claim = before.record.claim("decided")
    assert claim is not None
    grounds = {"reason": "Another look.", "source": "cat1908", "recorded_on": "2024-02-01"}
    correct(before.record, claim, {}, grounds)
    (found,) = alike_things(Snapshot(before.path), "shapes")
    assert found.standing is Standing.OPEN


def test_what_was_accepted_goes_with_nothing_else_and_what_was_rejected_with_the_next(
    tmp_path: Path,
) -> None:
    theirs = (
        "shape,pottery,name,begin,source\n"
        "x,harrow,Alder,1908,cat1908\ny,harrow,Alder,1908,letter\nz,harrow,Yew,1911,letter\n"
        + "".join(f"t{n},harrow,{n} {chr(65 + n)}ard,{1880 + n},letter\n" for n in range(24))
    )
    other = write(tmp_path / "b", shapes=theirs)
    settings = other / "collection.toml"
    settings.write_text('title = "B"\nbase = "https://b.example/"\n', encoding="utf-8")
    for name in ("flatware", "treatments", "pieces", "assortments"):
        (other / "tables" / f"{name}.csv").unlink()

    def pairs(folder: str, *rows: str) -> dict[str, tuple[str, Standing]]:
        found = alike_things(collection(tmp_path / folder, *rows), "shapes", Snapshot(other))
        return {
            each.one.rsplit("/", 1)[-1]: (each.other.rsplit("/", 1)[-1], each.standing)
            for each in found
        }

    both = pairs("open")
    assert {both["alder"][0], both["alder-2"][0]} == {"x", "y"}
    rejected = (
        f"shape/alder,,not-the-same,,https://b.example/shape/{both['alder'][0]},seen,letter,,"
    )
    assert pairs("rejected", rejected)["alder"] == (both["alder-2"][0], Standing.OPEN)
    odd = pairs("odd", "shape/alder,,same,,https://b.example/shape/z,seen,letter,,")
    assert odd["alder"] == ("z", Standing.ACCEPTED)
    assert "yew" not in odd


def test_both_ends_in_one_is_refused_by_the_reader_where_nothing_is_named(tmp_path: Path) -> None:
    with pytest.raises(RecordErrors, match="nothing describes"):
        collection(tmp_path / "c", "shape/nowhere,,same,shape/alder,,seen,letter,,")
