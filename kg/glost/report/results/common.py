"""What reports of results share: findings, cautions, and what was assumed."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from glost.answer.remarks import Remark
from glost.findings import Finding, Side
from glost.report.tree import CitedClaim, CitedPassage, Group, Note, Ref, Rule, Section, Statement

if TYPE_CHECKING:
    from glost.trade.cautions import Caution

FOUND = Rule("Found by a check of the record")
ASSUMED = Rule("Assumed, for no source on record tells it")


def cited(side: Side) -> CitedPassage:
    """Return one side of a finding as the passage its claim rests on."""
    claim = CitedClaim(side.claim, side.read_from, side.passage, side.certainty)
    return CitedPassage(Ref("", side.source), side.passage, (claim,))


def sides(some: Iterable[Side]) -> Iterator[Statement]:
    """Tell what claims say, those that say the very same together."""
    for (says, sure), group in groupby(some, key=lambda side: (side.says, side.certainty)):
        told = tuple(cited(side) for side in group if side.source)
        if told and says:
            yield Statement((says,), told, sure)


def finding(of: Finding, noted: Sequence[Remark] = ()) -> Statement:
    """Tell a finding: what is wrong, what each claim says, what was noted, what could be done."""
    grounds = tuple(cited(side) for side in of.sides if side.source) or (FOUND,)
    remedy = (Statement((f"What to do: {of.remedy}",), (FOUND,)),) if of.remedy else ()
    parts = (*sides(of.sides), *map(remark, noted), *remedy)
    return Statement((of.message,), grounds, f"{of.severity}, {of.kind}", parts=parts)


def remark(of: Remark) -> Statement:
    """Tell what was noted of claims."""
    return Statement((f"{of.manner}: {of.side.says}",), (cited(of.side),))


def findings(
    some: Sequence[Finding], heading: str = "Where figures disagree"
) -> tuple[Section, ...]:
    """Tell findings in a section of their own; nothing if there are none."""
    told = Group(tuple(map(finding, some)))
    return (Section("findings", heading, (told,)),) if some else ()


def cautions(some: "Iterable[Caution]") -> tuple[Statement, ...]:
    """Tell cautions in full."""
    return tuple(Statement((each.text,), (_source(each),), _name=(each.heading,)) for each in some)


def _source(caution: "Caution") -> Note:
    return Rule(caution.source or "Common practice", caution.standing if caution.source else "")


def assumed(texts: Sequence[str]) -> tuple[Group, ...]:
    """Tell what is assumed, numbered, so that figures can refer to it."""
    told = tuple(
        Statement((text,), (ASSUMED,), _name=(f"Assumption {number}",))
        for number, text in enumerate(texts, 1)
    )
    return (Group(told, ("Assumed, where no source tells",)),) if told else ()
