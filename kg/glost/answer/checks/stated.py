"""What sources state about lists and lists, or pieces, rule out."""

from collections.abc import Iterable

from glost.answer.checks import Check
from glost.answer.snapshot import Snapshot
from glost.findings import Finding
from glost.record.belief import Belief
from glost.trade.assortments.findings import stated_findings
from glost.trade.assortments.having import Having
from glost.trade.assortments.holding import Holding
from glost.trade.assortments.lists import Lists
from glost.trade.assortments.order import Order
from glost.words.labels import Words


def _found(snapshot: Snapshot, belief: Belief) -> Iterable[Finding]:
    if belief is snapshot.belief:
        return stated_findings(snapshot.holding, belief.worded)
    margin, graph = snapshot.record.collection.margin, belief.worded
    times = snapshot.chronology
    kept = getattr(times, "keeping", None)  # a workspace keeps what is read of each shape
    having = Having(Lists(belief, margin, times, kept=kept), Order(times))
    return stated_findings(Holding(having, Words(graph), margin), graph)


CHECK = Check(_found, disputes=True, timed=True)
