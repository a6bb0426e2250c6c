"""Dates that cannot all hold, and the least that would have to be set aside."""

from glost.answer.dated import ClashInWords, Settlement, Settling
from glost.report.results.common import cited, sides
from glost.report.tree import Column, Group, Report, Row, Rule, Section, Statement, Table
from glost.words.english import count

_COST = Rule("What it costs follows from the certainty each claim states and from [trust] in "
             "collection.toml")  # fmt: skip
_THEN = Rule("Reckoned again without what is set aside")
_CHANGES = (Column("what", "what"), Column("before", "as recorded"), Column("then", "then"))


def told(found: Settlement) -> Report:
    """Tell contradictions of dates, what would settle each at least cost, and what would follow."""
    if not found.settlings:
        lead = (Statement(("No dates clash.",), (_THEN,)),)
        return Report("", "Conflicts of dates", lead)
    settlings = tuple(
        Section(
            f"settling.{number}",
            f"{number}. {count(len(each.clashes), 'contradiction')}",
            (Group(tuple(map(_clash, each.clashes))), _options(each)),
        )
        for number, each in enumerate(found.settlings, 1)
    )
    rows = tuple(Row((c.name, c.before, c.after), (_THEN,)) for c in found.consequences)
    heading = "If the first of each were set aside"
    then = Section("consequences", heading, (Table(_CHANGES, rows),))
    return Report("", "Conflicts of dates", sections=(*settlings, then))


def _clash(clash: ClashInWords) -> Statement:
    says = tuple(sides(clash.sides))
    return Statement((clash.words,), tuple(map(cited, clash.sides)) or (_THEN,), parts=says)


def _options(settling: Settling) -> Group:
    told = []
    for place, option in enumerate(settling.options):
        ids = ", ".join(claim.rsplit("/", 1)[-1] for claim in option.claims)
        text = f"{'or ' if place else ''}{'; and '.join(option.says)} (claims {ids})"
        told.append(Statement((text,), (_COST,)))
    if not settling.complete:
        told.append(Statement(("There is more that would cost as little.",), (_COST,)))
    return Group(tuple(told), (f"Least costly to set aside (cost {settling.cost:g})",))
