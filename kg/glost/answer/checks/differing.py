"""One thing given two different values of a property that has one."""

from glost.answer.checks import ByValue, Check
from glost.answer.values import differing, differing_values, single

CHECK = Check(
    lambda snapshot, belief: differing(belief, belief.worded, snapshot.record.collection.margin),
    disputes=True,
    by_value=ByValue(
        single,
        lambda snapshot, belief, thing, property_, _: differing_values(
            thing,
            property_,
            belief.graph.objects(thing, property_),
            belief,
            belief.worded,
            snapshot.record.collection.margin,
        ),
        least=2,
    ),
)
