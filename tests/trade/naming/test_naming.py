"""Naming pieces against a little collection in which every verdict can be found by hand."""

from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rdflib import Graph, URIRef

import shelf
import shelf_of_four
from glost.data import vocabulary
from glost.record.record import Record, read
from glost.trade.crossings import STRENGTHS
from glost.trade.naming import Bearing, Naming, NamingPoint, name_piece, seen_on, weights
from glost.trade.naming.matching import number_fits
from glost.trade.naming.points import point
from glost.trade.naming.ranking import RankedShape, in_play
from glost.trade.naming.reading import Reader

BASE = "https://example.org/shelf/"


def written(folder: Path, **tables: str) -> Record:
    empty = dict.fromkeys(shelf.TABLES, "")
    return read(shelf.write(folder, **{**empty, **shelf_of_four.TABLES, **tables}))


@pytest.fixture(scope="module")
def four(tmp_path_factory: pytest.TempPathFactory) -> Record:
    return written(tmp_path_factory.mktemp("four") / "shelf")


@cache
def words(graph: Graph) -> Graph:
    """What is believed with the vocabulary, put together once."""
    return graph + vocabulary()


def name(record: Record, **given: str) -> Naming:
    seen, errors = Reader(record).read(given, "here")
    assert errors == []
    return name_piece(record.believed(), seen, words(record.believed().graph))


def points(naming: Naming, shape: str, observation: str) -> list[NamingPoint]:
    every = {str(c.shape): c for c in (*naming.candidates, *naming.ruled_out)}
    return [p for p in every[f"{BASE}shape/{shape}"].points if p.weight.observation == observation]


def outcome(naming: Naming, shape: str, observation: str) -> str:
    (point,) = points(naming, shape, observation)
    return point.weight.outcome


def shapes(candidates: object) -> list[str]:
    return [str(c.shape).rsplit("/", 1)[-1] for c in candidates]  # type: ignore[attr-defined]


def test_absence_rules_out_only_where_every_list_is_stated_complete(four: Record) -> None:
    naming = name(four, form="teapot")
    assert outcome(naming, "ash", "form") == "made"
    assert outcome(naming, "beech", "form") == "in-no-complete-list"
    assert outcome(naming, "dock", "form") == "in-no-complete-list"
    assert outcome(naming, "cane", "form") == "not-seen"  # it is in no list
    assert shapes(naming.ruled_out) == ["beech", "dock"]
    naming = name(four, form="egg cup")
    assert outcome(naming, "ash", "form") == "not-listed"  # the price card leaves room


def test_what_rules_out_cites_the_claims_of_completeness(four: Record) -> None:
    (point,) = points(name(four, form="teapot"), "beech", "form")
    assert point.verdict == Bearing.RULES_OUT
    assert [claim.origin.file for claim in point.claims] == ["tables/sources.csv"]
    assert "“Loam ware”" in point.says


def test_a_disputed_or_doubtful_completeness_rules_out_nothing(tmp_path: Path) -> None:
    table = shelf_of_four.TABLES["sources"].replace("complete,repeats", "complete,certainty")
    second = written(tmp_path / "two", sources=table.replace("yes,\n", "yes,certain\n")
                     + "cat2,Silt ware,catalogue,1907,no,\n")  # fmt: skip
    assert outcome(name(second, form="teapot"), "dock", "form") == "not-seen"
    assert outcome(name(second, form="teapot"), "beech", "form") == "in-no-complete-list"
    unsure = written(tmp_path / "one", sources=table.replace("yes,\n", "yes,doubtful\n"))
    assert name(unsure, form="teapot").ruled_out == ()


def test_a_piece_or_an_article_outweighs_a_list_that_lacks_it(four: Record) -> None:
    assert outcome(name(four, form="sugar"), "beech", "form") == "made"
    beech = URIRef(f"{BASE}piece/p1")
    alone = name_piece(four.believed(), seen_on(four.believed(), beech), without=[beech])
    assert outcome(alone, "beech", "form") == "in-no-complete-list"


def test_an_article_modelled_and_never_produced_speaks_against(four: Record) -> None:
    assert outcome(name(four, form="vase"), "beech", "form") == "never-produced"


def test_shared_flatware_lends_flat_forms_and_numbers_to_hollow_ware_only_weakly(
    four: Record,
) -> None:
    naming = name(four, form="plate", number="A-12")
    assert outcome(naming, "cane", "form") == "shared"
    assert outcome(naming, "cane", "number") == "crossing-strong"
    naming = name(four, form="teapot", number="A-12")
    assert outcome(naming, "cane", "form") == "not-seen"
    assert outcome(naming, "cane", "number") == "crossing-weak"
    assert outcome(name(four, number="A-12"), "cane", "number") == "crossing-fair"


def test_what_names_a_piece_follows_the_scale_of_crossings() -> None:
    """A stronger explanation never counts for less, and a crossing never as much as a home."""
    weighed = [weights()["number", f"crossing-{rank}"].weight for rank in STRENGTHS[1:]]
    assert weighed == sorted(weighed)
    assert weighed[-1] < weights()["number", "home"].weight
    assert weighed[0] > weights()["number", "another-home"].weight


def test_worn_numbers_are_every_number_they_can_be(four: Record) -> None:
    naming = name(four, number="A-1?")
    assert outcome(naming, "ash", "number") == "home"
    assert outcome(naming, "dock", "number") == "home"
    assert outcome(naming, "beech", "number") == "another-home"
    naming = name(four, pottery="loam", number="a 1?")
    assert outcome(naming, "dock", "number") == "another-home"
    assert outcome(name(four, number="Z-9"), "ash", "number") == "unread"
    # Not recorded, but of the pottery's scheme.
    assert outcome(name(four, number="A-77"), "ash", "number") == "scheme-tells"
    assert outcome(name(four, number="A-77"), "beech", "number") == "scheme-tells-another"
    assert outcome(name(four, number="?-77"), "beech", "number") == "scheme-tells"
    assert outcome(name(four, pottery="silt", number="A-77"), "ash", "number") == "unread"
    assert outcome(name(four, number="?-11"), "beech", "number") == "home"


def test_marks_name_shapes_and_those_set_in_making_rule_other_potteries_out(four: Record) -> None:
    naming = name(four, mark="m-ash")
    assert outcome(naming, "ash", "mark") == "names-it"
    assert outcome(naming, "beech", "mark") == "seen-on-it"  # on p2, although it names Ash
    assert outcome(naming, "cane", "mark") == "names-another"
    assert outcome(naming, "dock", "mark") == "of-another-pottery"
    # A mark over the glaze may be an outside decorator's.
    assert outcome(name(four, mark="m-dock"), "ash", "mark") == "names-another"
    naming = name(four, mark="m-loam")
    assert outcome(naming, "beech", "mark") == "seen-on-it"
    assert outcome(naming, "ash", "mark") == "general"


def test_successors_may_use_up_what_was_left(tmp_path: Path) -> None:
    potteries = "pottery,name,succeeds,source\nloam,Loam,,cat\nsilt,Silt,loam,cat2\n"
    record = written(tmp_path / "one", potteries=potteries)
    assert outcome(name(record, mark="m-silt"), "ash", "mark") == "general"


def test_worn_marks_are_every_mark_they_can_be(four: Record) -> None:
    assert outcome(name(four, mark="L?AM / A..."), "ash", "mark") == "names-it"
    assert outcome(name(four, mark="LOA..."), "ash", "mark") == "names-it"  # either Loam mark
    assert outcome(name(four, mark="LO"), "ash", "mark") == "unread"  # two letters tell nothing


def test_descriptions_are_compared_by_their_words(four: Record) -> None:
    naming = name(four, rim="Fluted shell rim")
    assert outcome(naming, "beech", "rim") == "agrees"
    assert outcome(naming, "ash", "rim") == "partly"
    assert outcome(naming, "dock", "rim") == "differs"
    assert outcome(name(four, rim="a fluted rim"), "ash", "rim") == "agrees"
    assert outcome(name(four, handle="twigs"), "ash", "handle") == "agrees"
    assert outcome(name(four, handle="twigs"), "cane", "handle") == "undescribed"


def test_glazes_sizes_and_features(four: Record) -> None:
    naming = name(four, glaze="Moss", form="plate", size='8"', features="stilt mark")
    assert outcome(naming, "beech", "glaze") == "offered"
    assert outcome(naming, "ash", "glaze") == "offered-on-others"
    assert outcome(name(four, glaze="fog"), "beech", "glaze") == "seen-on-it"
    assert outcome(name(four, glaze="fog"), "ash", "glaze") == "unsaid"
    assert outcome(naming, "ash", "size") == "offered"
    assert outcome(naming, "dock", "size") == "other-sizes"
    assert outcome(naming, "cane", "size") == "no-size"
    assert outcome(naming, "beech", "feature") == "agrees"


def test_the_score_is_the_sum_of_the_table_and_orders_the_candidates(four: Record) -> None:
    naming = name(four, rim="fluted", form="plate", handle="twig")
    by_hand = {"ash": 2 + 4 + 3, "beech": 2 + 4 - 2, "cane": 1 - 3, "dock": 2 - 3 - 2}
    assert {str(c.shape).rsplit("/", 1)[-1]: c.score for c in naming.candidates} == by_hand
    assert shapes(naming.candidates) == ["ash", "beech", "cane", "dock"]


def test_equal_candidates_are_said_to_be_equal_and_what_parts_them_comes_next(four: Record) -> None:
    naming = name(four, rim="fluted")
    assert shapes(naming.equal) == ["ash", "beech"]
    looks = {look.observation: look for look in naming.next_looks}
    assert looks["handle"].left == 1.0 and looks["finial"].left == 1.0
    assert "foot" not in looks  # only Ash's is described, which parts nothing
    assert naming.next_looks[0].left == min(look.left for look in naming.next_looks)
    assert dict(looks["handle"].values)[URIRef(f"{BASE}shape/beech")] == "“loop”"
    assert all(look.claims for look in naming.next_looks)


def test_flatware_is_not_searched_for_handles(four: Record) -> None:
    looks = {look.observation for look in name(four, form="plate", rim="fluted").next_looks}
    assert looks and not looks & {"handle", "finial", "lid_fit"}


def test_a_rare_mark_promises_less_than_one_on_every_piece(four: Record) -> None:
    """Of the two recorded pieces of Ash and Beech, one bears a mark that names a shape."""
    (mark,) = [k for k in name(four, rim="fluted").next_looks if k.observation == "number"]
    assert mark.chance == 0.5 and mark.left == 0.5 * 1 + 0.5 * 2


def test_where_nothing_speaks_for_any_shape_none_is_put_first(four: Record) -> None:
    naming = name(four, mark="zzz zzz")
    assert naming.equal == ()
    assert {c.score for c in naming.candidates} == {0}


def test_every_verdict_but_unknown_cites_claims(four: Record) -> None:
    naming = name(four, pottery="loam", form="plate", size="8", rim="fluted", foot="round",
                  handle="twig", mark="m-ash", number="A-11", glaze="moss", features="stilt marks")  # fmt: skip
    every = [p for c in (*naming.candidates, *naming.ruled_out) for p in c.points]
    assert len(every) == 40
    assert all(p.claims for p in every if p.verdict != Bearing.UNKNOWN)


def test_every_row_of_the_scoring_table_says_why_in_one_sentence() -> None:
    assert len(weights()) > 30
    for weight in weights().values():
        assert weight.why.endswith(".") and weight.why[0].isupper()
        if weight.verdict in (Bearing.UNKNOWN, Bearing.RULES_OUT):
            assert weight.weight == 0 or weight.observation == "leaders"
        else:
            assert (weight.weight > 0) == (weight.verdict == Bearing.AGREES)


def test_what_cannot_be_read_is_told_all_at_once(four: Record) -> None:
    given = {"pottery": "Lome", "form": "plat", "glaze": "mosss", "mark": "m-ash|what"}
    _, errors = Reader(four).read(given, "table.csv", 7)
    told = [str(error) for error in errors]
    assert [(e.row, e.column) for e in errors] == [
        (7, "pottery"), (7, "glaze"), (7, "form"), (7, "mark"),
    ]  # fmt: skip
    assert "nearest: Moss (glaze/moss)" in told[1] and told[0].startswith("table.csv, row 7")


@given(st.text("ABC-123 ", min_size=1), st.data())
def test_a_number_with_signs_worn_away_still_fits_itself(number: str, data: st.DataObject) -> None:
    worn = data.draw(st.sets(st.integers(0, len(number) - 1)))
    read = "".join("?" if i in worn and s.isalnum() else s for i, s in enumerate(number))
    assert number_fits(read, number) == any(sign.isalnum() for sign in number)


PLACES = {name: shelf.TABLES[name] for name in ("sources", "potteries")}
LIKE = (
    "thing,like,hardly_told_from,source,claim\n"
    "shape/birch,,shape/alder,letter,hardly\nshape/birch,shape/cedar,,letter,like\n"
)
THREE = (
    "shape,pottery,name,rim,finial,source\nalder,harrow,Alder,plain,acorn,letter\n"
    "birch,harrow,Birch,plain,ring,letter\ncedar,harrow,Cedar,plain,ring,letter\n"
    "dune,harrow,Dune,fluted,ring,letter\n"
)


def test_a_candidate_that_is_hardly_told_from_another_says_so_and_what_parts_them(
    tmp_path: Path,
) -> None:
    """Alder and Birch differ by their finials; nothing on record parts Birch and Cedar."""
    bare = {**dict.fromkeys(shelf.TABLES, ""), **PLACES, "shapes": THREE}
    alike = read(shelf.write(tmp_path / "alike", **bare, lineage=LIKE))
    naming = name(alike, rim="plain")
    graph = words(alike.believed().graph)
    told = {
        str(c.shape).rsplit("/", 1)[-1]: [
            (each.says(graph), [claim.id for claim in each.claims]) for each in c.likenesses
        ]
        for c in (*naming.candidates, *naming.ruled_out)
    }
    assert told == {
        "alder": [("hardly to be told apart from Birch: look at the finial", ["hardly"])],
        "birch": [
            ("hardly to be told apart from Alder: look at the finial", ["hardly"]),
            ("much like Cedar: nothing recorded parts them", ["like"]),
        ],
        "cedar": [("much like Birch: nothing recorded parts them", ["like"])],
        "dune": [],
    }
    plain = name(read(shelf.write(tmp_path / "plain", **bare)), rim="plain")
    assert [c.score for c in naming.candidates] == [c.score for c in plain.candidates]


def candidate(shape: str, *outcomes: tuple[str, str]) -> RankedShape:
    return RankedShape(
        URIRef(f"{BASE}shape/{shape}"), tuple(point(*each, lambda: ("", ())) for each in outcomes)
    )


def test_one_observation_that_rules_out_is_enough(four: Record) -> None:
    """Loam never made Dock, whatever else of the piece would suit it."""
    naming = name(four, form="plate", pottery="loam")
    assert "dock" in shapes(naming.ruled_out)
    one = candidate("a", ("form", "made"), ("pottery", "another-made-it"))
    assert one.ruled_out and not candidate("b", ("form", "made")).ruled_out


def test_in_play_is_who_is_within_reach_and_has_anything_for_it() -> None:
    """The table's reach is 3: a form and a maker come to 4, one of them to 2, nothing to 0."""
    assert weights()["leaders", "within"].weight == 3
    best = candidate("a", ("form", "made"), ("pottery", "made-it"))
    second = candidate("b", ("form", "made"), ("pottery", "makers-differ"))
    assert (best.score, second.score) == (4, 2)
    alone = candidate("c", ("form", "made"))
    without = candidate("d", ("pottery", "makers-differ"))
    assert in_play((best, second, without)) == (best, second)
    assert in_play((alone, without)) == (alone,)  # within reach, but nothing speaks for it
    assert in_play((without,)) == (without,)
    edge = candidate("e", ("form", "shared"))
    assert edge.score == best.score - 3
    assert in_play((best, edge)) == (best, edge)  # the whole reach counts
