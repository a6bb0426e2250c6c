"""What a change of a collection brings about: claims, what follows, dates, findings, answers."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from operator import attrgetter

from glost.answer.affected import FATES, Affected
from glost.answer.consequences import ChangedClaim, Consequences, Moved, Told
from glost.answer.snapshot import Snapshot
from glost.record.record import Record
from glost.report.results.common import cited, sides
from glost.report.tree import (
    Cell,
    Column,
    Ground,
    Group,
    Part,
    Report,
    Row,
    Rule,
    Section,
    Statement,
    Table,
)
from glost.words import spans
from glost.words.sentences import side

_COMPARED = Rule("The record compared before the change and after it")
_GONE = Rule("The rows it rested on are no longer in the tables")
_WRITTEN = Rule("Written to the collection's tables")
_MOVED = (
    "point", "earliest_before", "latest_before", "disputed_before",
    "earliest", "latest", "disputed",
)  # fmt: skip
_ANSWERED = ("question", "asked", "fate", "column", "value")


def written(lines: Iterable[str]) -> tuple[Statement, ...]:
    """Tell what was written, a sentence each."""
    return tuple(Statement((line,), (_WRITTEN,)) for line in lines)


def brought_about(found: Consequences, record: Record, most: int | None = None) -> Section:
    """Tell all that a change brings about but the answers.

    Parameters
    ----------
    found
        What it brought about.
    record
        The record after it, for the passages that claims rest on.
    most
        So many are told of each kind, and how many more there are; None for all.
    """
    groups: list[Part] = []
    for heading, texts in found.parts():
        told = [Statement((each.text,), _under(each, record, found)) for each in texts]
        groups.append(Group(_few(told, most), (heading,)))
    if found.moved:
        columns = tuple(Column(name, "", aside=True) for name in _MOVED)
        groups.append(Table(columns, tuple(_moved(each, record, found) for each in found.moved)))
    return Section("consequences", "", tuple(groups))


def _under(each: Told, record: Record, found: Consequences) -> tuple[Ground, ...]:
    if isinstance(each, ChangedClaim):  # it may stand in the tables no longer
        return (cited(side(each.claim, found.called)),)
    return _grounds(each.claims, record, found)


def _grounds(claims: Iterable[str], record: Record, found: Consequences) -> tuple[Ground, ...]:
    known = (record.claims.find(iri) for iri in claims)
    return tuple(cited(side(c, found.called)) for c in known if c is not None) or (_COMPARED,)


def _moved(each: Moved, record: Record, found: Consequences) -> Row:
    cells: list[Cell] = [str(each.point)]
    for bounds in (each.before, each.after):
        earliest, latest = spans.ends(bounds[:2])
        cells += [earliest, latest, "disputed" if bounds.disputed else ""]
    return Row(tuple(cells), _grounds(each.claims, record, found))


def _few(told: Sequence[Statement], most: int | None) -> tuple[Statement, ...]:
    if most is None or len(told) <= most:
        return tuple(told)
    more = Statement((f"and {len(told) - most} more",), (_COMPARED,))
    return (*told[:most], more)


def answers(
    found: Consequences, now: Snapshot, evidence: bool = False, most: int | None = None
) -> Iterator[tuple[Section, Counter[str]]]:
    """Tell what became of the answers, question by question, as they are found.

    Parameters
    ----------
    found
        What a change brought about.
    now
        The collection with the change.
    evidence
        Whether each answer is told with what the claims under it say.
    most
        So many answers to a question are told, under how many there are of each kind; None for
        all.

    Yields
    ------
    tuple
        A section, and how many answers of each fate it has, those that are left out too.
    """
    for question, some in groupby(found.coming(), key=attrgetter("question")):
        every = list(some)
        fates = Counter(each.fate for each in every)
        heading = f"{question}: {counted(fates)}" if most is not None else ""
        shown = every if most is None else every[:most]
        groups: list[Part] = []
        for asked, each_asked in groupby(shown, key=lambda each: _asked(each, now)):
            told = tuple(_answer(each, found, now, evidence) for each in each_asked)
            groups.append(Group(told, () if heading else (asked,)))
        if len(shown) < len(every):
            more = Statement((f"and {len(every) - len(shown)} more",), (_COMPARED,))
            groups.append(Group((more,)))
        groups.append(_table(every, found, now))
        yield Section(f"answers-{question}", heading, tuple(groups)), fates


def _answer(each: Affected, found: Consequences, now: Snapshot, evidence: bool) -> Statement:
    said = f"{FATES[each.fate]}: {found.answer(each, now.words)}"
    known = [c for c in (now.record.claims.find(iri) for iri in each.claims) if c is not None]
    told = [side(claim, now.words) for claim in known]
    grounds = tuple(map(cited, told)) or (_GONE,)
    return Statement((said,), grounds, parts=tuple(sides(told)) if evidence else ())


def _table(every: Sequence[Affected], found: Consequences, now: Snapshot) -> Table:
    columns = tuple(Column(name, "", aside=True) for name in _ANSWERED)
    rows = [
        Row(
            (
                each.question,
                _asked(each, now),
                each.fate,
                name,
                None if value is None else str(value),
            ),
            _answer(each, found, now, False).grounds,
        )
        for each in every
        for name, value in zip(each.columns, each.values, strict=True)
    ]
    return Table(columns, tuple(rows))


def _asked(each: Affected, now: Snapshot) -> str:
    """Tell a question with what it was asked about."""
    given = sorted(each.parameters.items())
    of = " ".join(f"{name}={value.removeprefix(now.record.base)}" for name, value in given)
    return f"{each.question} {of}".strip()


def summed(fates: "Counter[str]") -> str:
    """Say how many answers changed, and how."""
    if not fates:
        return "No answer to a named question changes."
    return f"Answers that change: {counted(fates)}."


def counted(fates: "Counter[str]") -> str:
    """Count answers by what became of them."""
    return ", ".join(f"{fates[fate]} {words}" for fate, words in FATES.items() if fates[fate])


def whole(
    lines: Iterable[str], sections: Iterable[Section], fates: "Counter[str] | None" = None
) -> Report:
    """Tell a change as one report: what was written, what came of it, and the answers counted.

    Parameters
    ----------
    lines
        What was written, a sentence each.
    sections
        What came of it.
    fates
        How many answers there are of each fate; None if nobody looked.
    """
    counts = () if fates is None else (Statement((summed(fates),), (_COMPARED,)),)
    return Report("", "Change", (*written(lines), *counts), tuple(sections))
