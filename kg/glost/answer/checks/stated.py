"""What sources state about lists and lists, or pieces, rule out."""

from collections.abc import Iterable

from glost.answer.checks import Check
from glost.answer.desk import Desk
from glost.findings import Finding
from glost.record.belief import Belief
from glost.record.wording import Words
from glost.trade.assortments.findings import stated_findings
from glost.trade.assortments.having import Having
from glost.trade.assortments.holding import Holding
from glost.trade.assortments.lists import Lists
from glost.trade.assortments.order import Order


def _found(desk: Desk, belief: Belief) -> Iterable[Finding]:
    if belief is desk.belief:
        return stated_findings(desk.holding, belief.worded)
    margin, graph = desk.record.collection.margin, belief.worded
    having = Having(Lists(belief, margin, desk.chronology), Order(desk.chronology))
    return stated_findings(Holding(having, Words(graph), margin), graph)


CHECK = Check(_found, disputes=True, timed=True)
