"""What was said in public and no longer holds."""

from collections.abc import Sequence

from glost.answer.errata import Erratum
from glost.report.tree import (
    CitedClaim,
    CitedPassage,
    Column,
    Group,
    Ref,
    Report,
    Row,
    Rule,
    Section,
    Statement,
    Table,
)

_NAMES = (
    "public_statement", "said in", "place", "wording", "no longer held", "now", "reason",
    "evidence", "correction", "done on", "done in",
)  # fmt: skip
_COUNTED = Rule("Counted from the corrections on record")


def told(shown: Sequence[Erratum]) -> Report:
    """Tell errata, each with what holds now and why; in a table for programs the same."""
    columns = tuple(Column(name, "", aside=True) for name in _NAMES)
    table = Table(columns, tuple(map(_row, shown)))
    left = sum(not each.done_on for each in shown)
    counted = Group((Statement((f"{left} to be put right in public.",), (_COUNTED,)),))
    parts = (Group(tuple(map(_erratum, shown))), table, counted)
    return Report("", "Errata", sections=(Section("errata", "Said in public", parts),))


def _grounds(each: Erratum) -> tuple[CitedPassage, ...]:
    claims = tuple(CitedClaim(claim, "") for claim in each.claims)
    return tuple(CitedPassage(Ref("", source), "", claims) for source in each.evidence)


def _erratum(each: Erratum) -> Statement:
    grounds = _grounds(each) or (_COUNTED,)
    where = ", ".join(part for part in (each.said_in, each.place) if part)
    done = f"put right on {each.done_on}: {each.done_in}" if each.done_on else ""
    parts = (
        Statement((f"no longer held: {each.withdrawn}",), grounds),
        Statement((f"now: {each.now or 'nothing takes its place'}",), grounds),
        Statement((f"{each.reason} ({'; '.join(each.evidence)})",), grounds),
        Statement((f"public_statement {each.statement}, correction {each.correction}",), grounds),
    )
    return Statement((f"{where}: “{each.wording}”",), grounds, done, parts=parts)


def _row(each: Erratum) -> Row:
    cells = (
        each.statement, each.said_in, each.place, each.wording, each.withdrawn, each.now,
        each.reason, " | ".join(each.evidence), each.correction, each.done_on, each.done_in,
    )  # fmt: skip
    return Row(cells, _grounds(each) or (_COUNTED,))
