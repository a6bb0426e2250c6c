"""When something happened, as all sources together bound it, and why."""

from collections.abc import Iterator

from glost.answer.dated import LimitInWords, PointInWords, When
from glost.report.results.common import cited, sides
from glost.report.tree import (
    Column,
    Ground,
    Group,
    Part,
    Ref,
    Report,
    Row,
    Rule,
    Section,
    Statement,
    Table,
)

_OPEN = Rule("No claim and no rule of time bounds it")
_ORDER = Rule("Reckoned from the bounds of both runs, however contradictions are settled")
_POINTS = (
    *(Column("point", "", "thing", True), Column("not_before", "", "date", True)),
    *(Column("not_after", "", "date", True), Column("in_words", "", aside=True)),
    *(Column("in_dispute", "", "verdict", True), Column("in_any_case", "", aside=True)),
)


def told(found: When) -> Report:
    """Tell when something happened.

    Parameters
    ----------
    found
        What all sources together say, in words.

    Returns
    -------
    Report
        Section ``points``, with a table for programs: each point, its limits as ``YYYY-MM-DD`` and
        whether it is disputed; then ``production`` and ``relations``, where they were asked for.
    """
    points = (*found.points, *found.redesigns)
    table = Table(_POINTS, tuple(map(_row, points)))
    sections = [
        Section("points", "When", (Group(tuple(map(_point, points))), table)),
        *_production(found, points),
    ]
    if found.other:
        lie = tuple(
            Statement((f"{name}: {found.name} {words}",), (_ORDER,))
            for name, words in found.relations
        )
        parts: tuple[Part, ...] = (Group(lie),) if lie else ()
        heading = f"{found.name} may lie to {found.other} so"
        sections.append(Section("relations", heading, parts))
    return Report(found.thing, found.name, sections=tuple(sections))


def _point(point: PointInWords) -> Statement:
    dispute = f"in dispute; in any case {point.in_any_case}" if point.disputed else ""
    limits = [each for each in (point.not_before, point.not_after) if each is not None]
    grounds = tuple(ground for each in limits for ground in _grounds(each)) or (_OPEN,)
    parts = tuple(map(_limit, limits))
    return Statement((f"{point.name} {point.words}",), grounds, dispute, parts=parts)


def _limit(limit: LimitInWords) -> Statement:
    rules = tuple(Statement((each,), (Rule(each),)) for each in limit.rules)
    return Statement((limit.because,), _grounds(limit), parts=(*sides(limit.sides), *rules))


def _grounds(limit: LimitInWords) -> tuple[Ground, ...]:
    return (*map(cited, limit.sides), *map(Rule, limit.rules)) or (_OPEN,)


def _row(point: PointInWords) -> Row:
    ends = [each.day if each else None for each in (point.not_before, point.not_after)]
    dispute = "yes" if point.disputed else "no"
    cells = (Ref(point.iri, point.name), *ends, point.words, dispute, point.in_any_case)
    return Row(cells, _point(point).grounds)


def _production(found: When, points: tuple[PointInWords, ...]) -> Iterator[Section]:
    if found.year is not None:
        disputed = any(point.disputed for point in found.points)
        grounds = tuple(ground for point in points for ground in _point(point).grounds)
        text = f"In production in {found.year}: {found.production}"
        said = Statement((text,), grounds or (_OPEN,), "in dispute" if disputed else "")
        yield Section("production", f"In {found.year}", (Group((said,)),))
