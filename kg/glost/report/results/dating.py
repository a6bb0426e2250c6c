"""When a piece was made and decorated, why, and what to look for next."""

from collections.abc import Iterator, Sequence

from glost.answer.dating import DatedPiece
from glost.record.dates import Margin, to_iso
from glost.report.things.said import Said
from glost.report.tree import Column, Ground, Group, Report, Row, Rule, Section, Statement, Table
from glost.trade.cautions import cautions_for
from glost.trade.dating import Between, Limit, LimitClash, Narrowing
from glost.words.labels import Words, label
from glost.words.spans import between, ends, length, no_earlier, no_later
from glost.words.times import says

_LOOKS = 3
_MISREAD = 6
_WORDS = {"marks": "a mark", "date_code": "a date code", "treatment": "a treatment number",
          "shape": "the shape", "glaze": "a coloured glaze"}  # fmt: skip
_SPANS = tuple(
    Column(name, "", kind, True)
    for name, kind in (
        ("point", "text"), ("not_before", "date"), ("not_after", "date"), ("fits", "verdict"),
    )
)  # fmt: skip
_LIMITS = tuple(
    Column(name, "", kind, True)
    for name, kind in (
        ("observation", "text"), ("value", "text"), ("point", "text"), ("side", "text"),
        ("day", "date"), ("says", "text"), ("why", "text"), ("disputed", "verdict"),
    )
)  # fmt: skip
_OPEN = Rule("Nothing on record bounds it")
_HYPOTHESIS = Rule("What may explain such a miss", "common practice")
_COMPARED = Rule("Reckoned from comparable pieces on record")
_MISREADING = Rule("Read otherwise by one sign")
_CLASHES = {
    "clash": "These cannot both be right",
    "gap": "Made before it can have been decorated",
}


def told(found: DatedPiece, said: Said, words: Words, heading: str = "The piece, dated") -> Report:
    """Tell when a piece was made and decorated.

    Parameters
    ----------
    found
        The piece, dated.
    said, words
        Word statements and names.
    heading
        What stands above it.

    Returns
    -------
    Report
        Sections ``dated``, with tables for programs of its days and of every limit; ``looser``;
        ``clashes``; ``further``, with what to look for next.
    """
    dated = found.dated
    both = (("Made", dated.made), ("Decorated", dated.decorated))
    told: set[Limit] = set()
    spans = tuple(_span(name, of, said, words, found.margin, told) for name, of in both)
    rest = sorted(
        (limit for limit in dated.limits if limit not in told),
        key=lambda x: (x.point != "made", x.late, x.day),
    )
    programs = (
        Table(_SPANS, tuple(_days(name.lower(), of, said) for name, of in both)),
        Table(_LIMITS, tuple(_row(limit, said) for limit in dated.limits)),
    )
    looser = tuple(Statement((str(limit),), _grounds(limit, said)) for limit in rest)
    clashes = tuple(_clash(clash, said) for clash in dated.clashes)
    further = tuple(_further(found))
    sections = [
        Section("dated", "When", (Group(spans), *programs)),
        Section("looser", "Also bounded, less tightly", (Group(looser),) * bool(looser)),
        Section("clashes", "What cannot be", (Group(clashes),) * bool(clashes)),
        Section("further", "What else bears on it", (Group(further),) * bool(further)),
    ]
    caution = cautions_for(("Piece",))[0]
    text = caution.text.partition(" The limits listed")[0]
    cautions = (Statement((text,), (Rule("Common practice"),), _name=(caution.heading,)),)
    shown = tuple(section for section in sections if section.parts)
    return Report("", heading, sections=shown, cautions=cautions)


def _span(
    name: str, of: Between, said: Said, words: Words, margin: Margin, told: set[Limit]
) -> Statement:
    parts = []
    limits = [each for each in (of.not_before, of.not_after) if each is not None]
    for limit in limits:
        if limit in told:
            parts.append(Statement((f"{limit}, as above",), _grounds(limit, said)))
        else:
            parts.append(_limit(limit, said, words, margin))
            told.add(limit)
    grounds = tuple(ground for each in limits for ground in _grounds(each, said)) or (_OPEN,)
    return Statement((f"{name}: {in_words(of)}",), grounds, parts=tuple(parts))


def in_words(of: Between) -> str:
    """Say between which days something was done, and what nothing bounds."""
    early, late = of.days
    if early is None and late is None:
        return "nothing on record bounds it"
    if early is None or late is None:
        return f"{between((early, late))}; nothing says how {'late' if late is None else 'early'}"
    if of.empty:
        one, two = no_earlier(early), no_later(late)
        return f"no day fits: no earlier than {one}, and no later than {two}"
    return between((early, late))


def _grounds(limit: Limit, said: Said) -> tuple[Ground, ...]:
    return (*said.passages(limit.claims), Rule(limit.why))


def _limit(limit: Limit, said: Said, words: Words, margin: Margin) -> Statement:
    argued = limit.argument.steps if limit.argument is not None else ()
    steps = [Statement((limit.why,), (Rule(limit.why),) if argued else _grounds(limit, said))]
    for step in argued:
        told = "; ".join(says(ground, words, margin) for ground in step.grounds)
        day = step.day
        bound = f"later than {no_later(day)}" if limit.late else f"earlier than {no_earlier(day)}"
        reached = f"{label(step.reached, words)} is no {bound}"
        claims = [claim for ground in step.grounds for claim in ground.claims]
        text = f"{told or step.rule.why}: so the {reached}"
        steps.append(Statement((text,), (*said.passages(claims), Rule(step.rule.why))))
    dispute = "depends on how a contradiction elsewhere is settled" if limit.disputed else ""
    return Statement((str(limit),), _grounds(limit, said), dispute, parts=tuple(steps))


def _days(point: str, of: Between, said: Said) -> Row:
    limits = [each for each in (of.not_before, of.not_after) if each is not None]
    grounds = tuple(ground for each in limits for ground in _grounds(each, said)) or (_OPEN,)
    return Row((point, *ends(of.days), "no" if of.empty else "yes"), grounds)


def _row(limit: Limit, said: Said) -> Row:
    side = "not after" if limit.late else "not before"
    cells = (
        limit.observation, limit.value, limit.point, side, to_iso(limit.day), limit.says,
        limit.why, "yes" if limit.disputed else "no",
    )  # fmt: skip
    return Row(cells, _grounds(limit, said))


def _clash(clash: LimitClash, said: Said) -> Statement:
    sides = tuple(
        Statement((str(limit),), _grounds(limit, said))
        for limit in (clash.not_before, clash.not_after)
    )
    maybe = tuple(Statement((f"It may be: {text}",), (_HYPOTHESIS,)) for text in clash.hypotheses)
    grounds = tuple(ground for side in sides for ground in side.grounds)
    text = f"{_CLASHES[clash.kind]}: {length(clash.days)} apart"
    return Statement((text,), grounds, parts=(*sides, *maybe))


def _further(found: DatedPiece) -> Iterator[Statement]:
    for each in found.misreadings[:_MISREAD]:
        made = between(each.dated.made.days)
        line = f"If the {each.observation} {each.read} were {each.instead}, all would fit"
        yield Statement((f"{line} (made {made}): look again.",), (_MISREADING,))
    for remark in found.dated.remarks:
        yield Statement((remark,), (_OPEN,))
    for custom in found.dated.customs:
        day = f" ({to_iso(custom.not_before)})" if custom.not_before is not None else ""
        source = Rule(custom.source or "Common practice", custom.standing)
        yield Statement((f"Wording{day}: {custom.text}",), (source,))
    yield from _looks(found.looks)


def _looks(looks: Sequence[Narrowing]) -> Iterator[Statement]:
    for place, look in enumerate(looks[:_LOOKS]):
        lead = "Look next for" if place == 0 else "Then for"
        text = (
            f"{lead} {_WORDS[look.observation]}: {look.showing} of {look.of} comparable pieces "
            f"show one, and it would narrow the date by {look.years:.1f} years on average."
        )
        yield Statement((text,), (_COMPARED,))
