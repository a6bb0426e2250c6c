"""What must hold of bounds, reasons and conflicts whatever is claimed."""

from itertools import chain, combinations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from rdflib import Literal, URIRef
from rdflib.namespace import RDF

from glost.names import EDTF, GLOST, SCHEMES
from glost.record.belief import believe
from glost.record.claims import Claim, Origin, Passage, Triple
from glost.record.dates import read
from glost.trade.times import Bounds, Chronology
from glost.trade.times.reckoning import chronology

BASE = "https://example.org/shelf/"
SHAPES = [URIRef(f"{BASE}shape/{name}") for name in ("alder", "birch")]
PIECES = [URIRef(f"{BASE}piece/{name}") for name in ("p1", "p2")]
POINTS = [URIRef(f"{shape}#{end}") for shape in SHAPES for end in ("begin", "end")]
MADE = [URIRef(f"{piece}#{end}") for piece in PIECES for end in ("made", "decorated")]
CERTAIN = [None, *(URIRef(f"{SCHEMES}certainty/{name}") for name in ("certain", "doubtful"))]


def dated(point: URIRef, text: str) -> tuple[Triple, ...]:
    return ((point, GLOST.date, Literal(text, datatype=EDTF)),)


def of_shape(piece: URIRef, shape: URIRef) -> tuple[Triple, ...]:
    return ((piece, RDF.type, GLOST.Piece), (piece, GLOST.ofShape, shape))


def ordered(one: URIRef, relation: str, other: URIRef, years: int) -> tuple[Triple, ...]:
    ends = [point.removeprefix(BASE).replace("/", ".").replace("#", ".") for point in (one, other)]
    sequence = URIRef(f"{BASE}sequence/{ends[0]}-{relation}-{ends[1]}-{years}")
    return (
        (sequence, GLOST.subjectRun, one),
        (sequence, GLOST.timeRelation, URIRef(f"{SCHEMES}relation/{relation}")),
        (sequence, GLOST.objectRun, other),
        (sequence, GLOST.yearsAtLeast, Literal(str(years))),
    )


years = st.integers(1900, 1912).map(str)
dates = st.builds(
    dated, st.sampled_from([*POINTS, *MADE]), st.one_of(years, years.map("{}?".format))
)
shaped = st.builds(of_shape, st.sampled_from(PIECES), st.sampled_from(SHAPES))
copied = st.just(((SHAPES[1], GLOST.copiedFrom, SHAPES[0]),))
put = st.builds(
    ordered,
    st.sampled_from(POINTS),
    st.sampled_from(["before", "after"]),
    st.sampled_from(POINTS),
    st.integers(0, 4),
).filter(lambda each: each[0][2] != each[2][2])
statements = st.one_of(dates, dates, shaped, copied, put)


def claim(number: int, said: tuple[Triple, ...], certainty: URIRef | None = None) -> Claim:
    source = URIRef(f"{BASE}source/s{number}")
    return Claim(
        URIRef(f"{BASE}claim/c{number:02}"), Passage(source), certainty, "", "", "",
        Origin("tables/x.csv", number), lambda: said,
    )  # fmt: skip


@st.composite
def claims(draw: st.DrawFn, most: int = 7) -> list[Claim]:
    said = draw(st.lists(statements, min_size=1, max_size=most))
    return [claim(n, each, draw(st.sampled_from(CERTAIN))) for n, each in enumerate(said)]


def times(given_claims: list[Claim]) -> Chronology:
    return chronology(believe(given_claims))


def all_bounds(here: Chronology) -> dict[URIRef, tuple[int | None, int | None]]:
    return {point: here.bounds(point)[:2] for point in [*POINTS, *MADE]}


def narrower(new: tuple[int | None, int | None], old: tuple[int | None, int | None]) -> bool:
    early = old[0] is None or (new[0] is not None and new[0] >= old[0])
    return early and (old[1] is None or (new[1] is not None and new[1] <= old[1]))


@settings(max_examples=80)
@given(claims(), statements)
def test_adding_a_claim_never_widens_and_withdrawing_it_restores(
    before: list[Claim], more: tuple[Triple, ...]
) -> None:
    after = [*before, claim(99, more)]
    old, new = times(before), times(after)
    assume(not new.conflicts)
    for point, bounds in all_bounds(new).items():
        assert narrower(bounds, all_bounds(old)[point])
    assert all_bounds(times(after[:-1])) == all_bounds(old)


@settings(max_examples=40)
@given(claims())
def test_the_claims_of_a_bound_suffice_for_it(given_claims: list[Claim]) -> None:
    here = times(given_claims)
    for point, (early, late) in all_bounds(here).items():
        for day, argument, side in (
            (early, here.why_not_before(point), 0),
            (late, here.why_not_after(point), 1),
        ):
            assert (argument is None) == (day is None)
            if argument is not None:
                assert argument.day == day
                assert argument.point == point
                alone = times(list(argument.claims))
                assert all_bounds(alone)[point][side] == day or alone.conflicts


@settings(max_examples=40)
@given(claims())
def test_what_a_bound_rests_on_is_what_its_argument_tells(given_claims: list[Claim]) -> None:
    here = times(given_claims)
    for point in all_bounds(here):
        bounds = here.reading_bounds(point)
        for late, argument, day in (
            (False, here.why_not_before(point), bounds.earliest),
            (True, here.why_not_after(point), bounds.latest),
        ):
            facts = here.reading_facts(point, late=late)
            assert bool(facts) == (day is not None)
            if not bounds.disputed:
                told = dict.fromkeys(g.told for g in (argument.grounds if argument else ()))
                assert set(facts) == set(told)
        if any(point in each.points for each in here.conflicts):
            assert bounds.disputed
            assert here.disputing(point)


@settings(max_examples=60)
@given(claims())
def test_without_any_statement_of_a_conflict_it_is_gone(given_claims: list[Claim]) -> None:
    for conflict in times(given_claims).conflicts:
        every = {each.iri: each for ground in conflict.grounds for each in ground.claims}
        assert times(list(every.values())).conflicts
        for ground in conflict.grounds:
            gone = {each.iri for each in ground.claims}
            left = times([each for iri, each in every.items() if iri not in gone])
            told = {g.triple for g in conflict.grounds}
            assert told not in [{g.triple for g in c.grounds} for c in left.conflicts]
            single = all(len(g.claims) == 1 for g in conflict.grounds)
            if single and len(every) == len(conflict.grounds):
                assert not left.conflicts


@settings(max_examples=60)
@given(claims(most=5))
def test_the_repair_is_least_by_brute_force(given_claims: list[Claim]) -> None:
    """Each claim here makes one statement that can be set aside, so claims are tried one by one."""
    here = times(given_claims)
    cost = {
        each.iri: min(g.weight for c in here.conflicts for g in c.grounds if each in g.claims)
        for each in given_claims
        if any(each in g.claims for c in here.conflicts for g in c.grounds)
    }
    shared = [g for c in here.conflicts for g in c.grounds if len(g.claims) > 1]
    assume(not shared)
    sizes = (combinations(sorted(cost), size) for size in range(len(cost) + 1))
    mending = [
        (sum(cost[iri] for iri in gone), frozenset(gone))
        for gone in chain.from_iterable(sizes)
        if not times([each for each in given_claims if each.iri not in gone]).conflicts
    ]
    least = min(total for total, _ in mending)
    assert sum(choice.cost for choice in here.repair) == pytest.approx(least)
    named = {frozenset[URIRef]()}
    for choice in here.repair:
        options = [frozenset(c.iri for g in option for c in g.claims) for option in choice.options]
        named = {a | b for a in named for b in options}
    assert named == {gone for total, gone in mending if total == pytest.approx(least)}


@settings(max_examples=60)
@given(claims())
def test_relations_and_production_agree_with_the_bounds(given_claims: list[Claim]) -> None:
    here = times(given_claims)
    found = here.relations(*SHAPES)
    assert found
    end, begin = (
        here.bounds(URIRef(f"{s}#{e}")) for s, e in zip(SHAPES, ("end", "begin"), strict=True)
    )
    if end.latest is not None and begin.earliest is not None and end.latest < begin.earliest - 1:
        assert found == ("before",)
    for year in (1899, 1906, 1913):
        first, last = read(f"{year}").earliest, read(f"{year}").latest
        begin, end = (here.reading_bounds(URIRef(f"{SHAPES[0]}#{e}")) for e in ("begin", "end"))
        assert first is not None and last is not None
        assert here.in_production(SHAPES[0], year) == by_hand(begin, end, first, last)


def by_hand(begin: Bounds, end: Bounds, first: int, last: int) -> str:
    far = 10**9
    starts = (
        -far if begin.earliest is None else begin.earliest,
        far if begin.latest is None else begin.latest,
    )
    ends = (
        -far if end.earliest is None else end.earliest,
        far if end.latest is None else end.latest,
    )
    runs = [(b, e) for b in starts for e in ends if b <= e]
    hits = [b <= last and e >= first for b, e in runs]
    if not any(day is not None for day in (*begin[:2], *end[:2])) and not begin.disputed:
        return "possibly" if end.disputed else "not known"
    return "yes" if all(hits) else "possibly" if any(hits) else "no"
