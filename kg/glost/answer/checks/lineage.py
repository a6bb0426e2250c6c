"""Things that would be older than what they come from."""

from rdflib import URIRef

from glost.answer.checks import ByValue, Check
from glost.trade.lineage import older_findings, older_of, relations

CHECK = Check(
    lambda snapshot, belief: older_findings(belief, snapshot.record.collection.margin),
    disputes=True,
    by_value=ByValue(
        lambda: frozenset(each.predicate for each in relations().values() if each.descent),
        lambda snapshot, belief, thing, property_, shared: older_of(
            belief, URIRef(str(thing)), property_, snapshot.record.collection.margin
        ),
        alone=False,
    ),
)
