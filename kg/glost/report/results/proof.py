"""Why a statement holds: its shortest proof, or every least set of claims that gives it."""

from collections.abc import Sequence

from glost.answer.reasons import ProofStep
from glost.findings import Side
from glost.report.results.common import cited
from glost.report.tree import Ground, Group, Proof, Report, Rule, Section, Statement

_ITSELF = Rule("The vocabulary says so")
_SEARCH = Rule("Searched for by leaving out what is not needed")


def told(steps: Sequence[ProofStep]) -> Report:
    """Tell a proof, each statement over those it follows from."""
    parts = (Group((_step(steps, 0),)),)
    return Report("", steps[0].says, sections=(Section("proof", "Why it holds", parts),))


def _step(steps: Sequence[ProofStep], at: int) -> Statement:
    step = steps[at]
    below = []
    for place in range(at + 1, len(steps)):
        if steps[place].depth <= step.depth:
            break
        if steps[place].depth == step.depth + 1:
            below.append(_step(steps, place))
    grounds: tuple[Ground, ...] = tuple(map(cited, step.sides))
    grounds += (Rule(step.rule, "W3C, OWL 2 Profiles"),) if step.rule else ()
    grounds += (Proof(tuple(below)),) if below else ()
    by = f"   (by {step.rule}, from)" if step.rule else ""
    return Statement((f"{step.says}{by}",), grounds or (_ITSELF,))


def supports(says: str, sets: Sequence[Sequence[Side]], cut: bool, cap: int) -> Report:
    """Tell every least set of claims that gives a statement."""
    told = tuple(
        Group(
            tuple(Statement((side.says,), (cited(side),)) for side in some),
            (f"{number}. by itself enough",),
        )
        for number, some in enumerate(sets, 1)
    )
    if cut:
        text = f"There may be more: the search was cut at {cap} sets; see --cap."
        told += (Group((Statement((text,), (_SEARCH,)),)),)
    return Report("", says, sections=(Section("sets", "What gives it", told),))
