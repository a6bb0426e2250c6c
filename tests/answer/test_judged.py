"""What judgements rest on is gathered once: to the letter, and in proportion to what is on record."""

import random
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path

import pyoxigraph as ox
import pytest
from rdflib import RDF, URIRef
from rdflib.namespace import PROV

from glost.answer.judged import judgements, name
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.claims import Triple
from glost.trade.assortments.judging import Judge, Judgement
from shelf import write


def many(folder: Path, shapes: int) -> Snapshot:
    """Write a pottery of so many shapes: dated closely, loosely or not, some lists complete."""
    draw, dates = random.Random(shapes), ["", "1900/1930", "1910~"]
    names = [f"s{n}" for n in range(shapes)]
    told = {
        "sources": ["source,title,kind,date,complete", "letter,[A letter],letter,1950,"],
        "shapes": ["shape,pottery,name,begin,source"],
        "assortments": ["catalogue,shape,form"],
        "lineage": ["thing,copied_from,source"],
    }
    for at, each in enumerate(names):
        year = draw.choice([str(1890 + draw.randrange(50)), *dates])
        told["shapes"].append(f"{each},harrow,Shape {each},{year},letter")
        told["sources"].append(f"l{each},List {each},catalogue,{1900 + at % 40},"
                               f"{draw.choice(['yes', 'no', ''])}")  # fmt: skip
        forms = draw.sample(["jug", "plate", "egg cup"], draw.choice([1, 1, 2]))
        told["assortments"] += [f"l{each},{each},{form}" for form in forms]
        if at and draw.random() < 0.1:
            told["lineage"].append(f"shape/{each},shape/{draw.choice(names[:at])},letter")
    tables = {table: "\n".join(lines) + "\n" for table, lines in told.items()}
    given = dict.fromkeys(("flatware", "treatments", "pieces"), "") | tables
    potteries = "pottery,name,source\nharrow,Harrow Pottery,letter\n"
    return Snapshot(write(folder, potteries=potteries, **given))


def told_of(snapshot: Snapshot) -> tuple[list[Judgement], list[Triple]]:
    every = list(Judge(snapshot.having, snapshot.words).every())
    return every, list(judgements(every, snapshot.record.base))


def reached(triples: Iterable[Triple]) -> dict[URIRef, set[URIRef]]:
    """Return what lies at the end of prov:wasDerivedFrom/prov:hadMember* from each judgement."""
    members: dict[object, list[object]] = defaultdict(list)
    derived: dict[object, list[object]] = defaultdict(list)
    for subject, verb, value in triples:
        {PROV.hadMember: members, PROV.wasDerivedFrom: derived}.get(verb, {}).setdefault(  # type: ignore[call-overload]
            subject, []
        ).append(value)

    def ends(at: object) -> set[object]:
        return {end for each in members[at] for end in ends(each)} if at in members else {at}

    return {of: {e for each in found for e in ends(each)} for of, found in derived.items()}  # type: ignore[misc]


@pytest.fixture(scope="module")
def shelves(tmp_path_factory: pytest.TempPathFactory) -> dict[int, Snapshot]:
    top = tmp_path_factory.mktemp("many")
    return {shapes: many(top / str(shapes), shapes) for shapes in (40, 160)}


def test_every_judgement_leads_to_the_claims_it_rests_on_and_to_no_other(
    shelves: dict[int, Snapshot], valley: Snapshot, little: Snapshot
) -> None:
    rested = 0
    for snapshot in (*shelves.values(), valley, little):
        every, triples = told_of(snapshot)
        found = reached(triples)
        for each in every:
            claims = {claim.iri for claim in each.claims}
            assert found.get(name(each, snapshot.record.base), set()) == claims
            assert tuple(sorted(map(str, claims))) == each.resting.iris
            rested += len(claims)
    assert rested > 10_000


def test_what_is_told_grows_with_what_is_on_record_and_not_with_its_square(
    shelves: dict[int, Snapshot],
) -> None:
    told, rested = [], []
    for shapes in (40, 160):
        every, triples = told_of(shelves[shapes])
        kinds = (PROV.wasDerivedFrom, PROV.hadMember)
        told.append(sum(verb in kinds for _, verb, _ in triples) / shapes)
        rested.append(sum(len(each.claims) for each in every) / shapes)
    assert rested[1] > 3 * rested[0]
    assert told[1] < 1.4 * told[0]


def test_evidence_holds_two_things_or_more_and_is_named_by_them(little: Snapshot) -> None:
    _, triples = told_of(little)
    evidence = {s for s, verb, kind in triples if (verb, kind) == (RDF.type, GLOST.Evidence)}
    members = defaultdict(set)
    for subject, verb, value in triples:
        if verb == PROV.hadMember:
            members[subject].add(value)
    assert evidence == members.keys() and evidence
    assert all(len(found) > 1 for found in members.values())
    assert len({frozenset(found) for found in members.values()}) == len(evidence)


def test_a_query_follows_the_path_from_a_row_to_its_claims(little: Snapshot) -> None:
    answer = little.answers.once("last-to-offer", {})
    query = (
        "SELECT ?shape ?claim { ?j glost:judges 'last' ; glost:judgedForm ?form ;"
        " glost:judgedShape ?shape ; prov:wasDerivedFrom/prov:hadMember* ?claim ."
        f" GRAPH <{little.record.base}record> {{ ?claim a glost:Claim }}"
        " FILTER NOT EXISTS { ?j glost:judgedAmong ?any } }"
    )
    found = {(str(shape), str(claim)) for shape, claim in little.answers.sparql(query).rows()}
    assert found == {(str(row.values[1]), iri) for row in answer.rows for iri in row.claims}
    assert {len(row.claims) > 1 for row in answer.rows} >= {True}
    node = ox.NamedNode(str(GLOST.Evidence))
    assert any(little.answers.store.quads_for_pattern(None, None, node))
