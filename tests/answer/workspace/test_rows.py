"""A question that is put of some things alone gives the rows of these, to the letter."""

import pyoxigraph as ox
from rdflib import URIRef

from glost.answer.living.rows import QuestionPlan, Touching, plans
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.terms import Term, to_oxigraph


def anchored() -> list[QuestionPlan]:
    """Return the plans of questions that have an anchor and can be put of everything."""
    return [p for p in plans() if p.anchor and all(q.optional for q in p.question.parameters)]


def of(row: ox.QuerySolution, plan: QuestionPlan) -> tuple[str, ...]:
    return tuple(str(row[name]) for name, _ in plan.question.header.columns)


def test_put_of_some_things_a_question_gives_their_rows(little: Snapshot) -> None:
    store = little.answers.store
    strange = to_oxigraph(URIRef("https://example.org/tarn/shape/nowhere"))
    for plan in anchored():
        text = plan.question.header.query
        whole = list(store.query(text))
        things: list[Term] = sorted({row[plan.anchor] for row in whole}, key=str)[::2]
        told = list(store.query(plan.query(text, [*things, strange])))
        expected = {of(row, plan) for row in whole if row[plan.anchor] in things}
        assert {of(row, plan) for row in told} == expected, plan.question.name


def test_what_a_row_tells_of_is_never_left_out(little: Snapshot) -> None:
    store = little.answers.store
    for plan in anchored():
        things = {row[plan.anchor] for row in store.query(plan.question.header.query)}
        left_out = [each for each in things if not plan._read.may_be(store, each)]
        assert left_out == [], plan.question.name


def test_what_no_row_can_be_of_touches_no_question() -> None:
    """Each row of this question is of a plant with a kiln; it has no anchor, so else it is whole."""
    (plan,) = (each for each in plans() if each.question.name == "periodic-to-tunnel")
    in_plant = ox.NamedNode(str(GLOST.inPlant))
    came = ox.Quad(ox.NamedNode("urn:kiln"), in_plant, ox.NamedNode("urn:plant"), ox.DefaultGraph())
    store = ox.Store()
    assert plan.touched(store, Touching([came])) == set()
    store.add(came)
    assert plan.touched(store, Touching([came])) is None


def test_most_questions_are_put_of_some_things_alone() -> None:
    anchors = {plan.question.name: plan.anchor for plan in plans()}
    assert anchors["new-in-year"] == "thing"
    assert sum(map(bool, anchors.values())) > 30
    assert len(anchored()) > 15
