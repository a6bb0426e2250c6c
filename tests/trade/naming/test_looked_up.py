"""What is looked up once for all shapes, held against looking at each shape, piece and pair."""

from collections.abc import Iterable
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rdflib import URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

import shelf
import shelf_of_four
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Triple
from glost.record.record import read
from glost.trade.naming.known import Known
from glost.trade.naming.matching import compare, number_fits, stems, wording_fits, words
from glost.trade.naming.next_looks import _total
from glost.trade.naming.seen import Seen
from glost.trade.naming.sight import Borne, Sight, marks_read, treatments_read

TOP = Path(__file__).parents[3]
WORDS = st.sampled_from(
    ("ring", "rings", "ringed", "scallop", "scalloped", "scallops", "plain", "of", "plainly", "a b")
)


@pytest.fixture(scope="module", params=["valley", "one-shelf", "four"])
def known(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, valley: Snapshot
) -> Known:
    if request.param == "valley":
        return Known(valley.belief, valley.words)
    if request.param == "one-shelf":
        return Known(read(TOP / "examples" / "one-shelf").believed())
    tables = {**dict.fromkeys(shelf.TABLES, ""), **shelf_of_four.TABLES}
    folder = shelf.write(tmp_path_factory.mktemp("looked") / "four", **tables)
    return Known(read(folder).believed())


def pieces_of(belief: Belief, shape: URIRef) -> list[Node]:
    every = belief.graph.subjects(RDF.type, GLOST.Piece)
    return [each for each in every if (each, GLOST.ofShape, shape) in belief.graph]


def shown(belief: Belief, shape: URIRef, bears: URIRef, some: Iterable[URIRef]) -> set[Triple]:
    """Look at every piece of a shape for any of some things."""
    pieces = [
        (piece, thing)
        for piece in pieces_of(belief, shape)
        for thing in some
        if (piece, bears, thing) in belief.graph
    ]
    return {
        triple
        for piece, thing in pieces
        for triple in ((piece, bears, thing), (piece, GLOST.ofShape, shape))
    }


def test_pieces_that_bear_a_thing_are_those_found_by_going_through_all(known: Known) -> None:
    belief, draw = known.belief, Random(3)
    pieces = belief.things(GLOST.Piece)
    less = Known(belief, known.words, draw.sample(pieces, len(pieces) // 2))
    for bears, belongs, kind in (
        (GLOST.bearsMark, GLOST.namesShape, GLOST.Mark),
        (GLOST.bearsTreatment, GLOST.homeShape, GLOST.Treatment),
        (GLOST.bearsGlaze, GLOST.offeredOn, GLOST.Glaze),
    ):
        things = belief.things(kind)
        some = draw.sample(things, min(len(things), 12))
        borne, fewer = (Borne(each, bears, belongs, some) for each in (known, less))
        for shape in known.shapes:
            there = shown(belief, shape, bears, some)
            assert set(borne.borne.get(shape, ())) == there
            assert set(fewer.borne.get(shape, ())) == {t for t in there if t[0] not in less.without}
            home = {t for t in belief.graph.triples((None, belongs, shape)) if t[0] in some}
            assert set(borne.home.get(shape, ())) == home


def test_a_crossing_reaches_the_shapes_of_which_anything_explains_it(known: Known) -> None:
    homes = sorted(known.belief.graph.subject_objects(GLOST.homeShape), key=str)
    for treatment, home in Random(5).sample(homes, min(len(homes), 25)):
        ways = (str(treatment), str(home))
        reached = {
            str(shape)
            for shape in known.shapes
            if list(known.crossed.explanations(*ways, str(shape), None))
        }
        assert known.crossed.reaching(*ways) & set(map(str, known.shapes)) == reached


def test_worn_numbers_and_marks_are_those_that_fit_one_by_one(known: Known) -> None:
    numbers, wordings = known.belief.pairs(GLOST.treatmentNumber), known.belief.pairs(GLOST.wording)
    draw = Random(9)
    for _, written in draw.sample(numbers, min(len(numbers), 20)):
        for read_as in (str(written), f"?{str(written)[1:]}", f"{str(written)[:-1]}?", "-"):
            fits = sorted(
                {t for t, number in numbers if number_fits(read_as, str(number))}, key=str
            )
            assert list(treatments_read(Seen(number=read_as), known)) == fits
    for _, written in draw.sample(wordings, min(len(wordings), 10)):
        for read_as in (str(written), f"?{str(written)[1:]}", str(written)[2:5]):
            fits = sorted({m for m, text in wordings if wording_fits(read_as, str(text))}, key=str)
            assert list(marks_read(Seen(mark_read=read_as), known)) == fits


def test_what_appears_on_a_shape_is_what_sources_say(known: Known) -> None:
    said = set(known.belief.graph.triples((None, GLOST.appearsOn, None)))
    for treatment in sorted({s for s, _, _ in said}, key=str):
        sight = Sight(Seen(treatment=URIRef(str(treatment))), known)
        assert {t for some in sight.appearing.values() for t in some} == {
            t for t in said if t[0] == treatment
        }


@given(st.lists(st.lists(st.lists(WORDS, max_size=3).map(" ".join), max_size=3), max_size=7))
def test_how_many_would_be_left_is_counted_as_pair_by_pair(described: list[list[str]]) -> None:
    """Those are left that are described alike, and those that nobody describes."""
    shapes = [URIRef(f"https://example.org/s{at}") for at in range(len(described))]
    texts = dict(zip(shapes, described, strict=True))
    plain = 0
    for right in shapes:
        for other in shapes:
            alike = any(compare(a, b) != "differs" for a in texts[right] for b in texts[other])
            plain += not texts[right] or not texts[other] or alike
    signs = {s: {w for text in some for w in words(text)} for s, some in texts.items() if some}
    assert _total(shapes, signs, stems) == plain


@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("scalloped", ["scalloped", "scallope", "scallop", "scallo"]),
        ("rings", ["rings", "ring"]),
        ("rims", ["rims"]),
    ],
)
def test_an_ending_has_three_letters_at_most_and_leaves_four(word: str, found: list[str]) -> None:
    assert list(stems(word)) == found
