"""What shapes a piece may be of, ranked, and what to look at next."""

from collections.abc import Iterable, Iterator, Sequence

from glost.report.things.said import Said
from glost.report.tree import (
    Column,
    Ground,
    Group,
    Report,
    Row,
    Rule,
    Section,
    Sentence,
    Statement,
    Table,
)
from glost.trade.naming import Bearing, Look, Naming, NamingPoint, RankedShape
from glost.words.labels import Words

_LOOKS = 2
_POINTS = tuple(
    Column(name, "", kind, True)
    for name, kind in (
        ("candidate", "thing"), ("score", "number"), ("ruled_out", "verdict"),
        ("observation", "text"), ("verdict", "text"), ("weight", "number"), ("says", "text"),
        ("why", "text"),
    )
)  # fmt: skip
_NEXT = tuple(
    Column(name, "", kind, True)
    for name, kind in (
        ("observation", "text"), ("left", "number"), ("of", "number"), ("chance", "number"),
        ("candidate", "thing"), ("shows", "text"),
    )
)  # fmt: skip
_SCORED = Rule("Ranked by the weights of what agrees and what speaks against; no likelihood")
_TOLD_APART = Rule("Worked out from what is recorded of each candidate and of its pieces")


def told(found: Naming, said: Said, words: Words, every: bool) -> Report:
    """Tell what shapes a piece may be of.

    Parameters
    ----------
    found
        The candidates.
    said, words
        Word statements and names.
    every
        Whether to tell all candidates, and every point of those ruled out.

    Returns
    -------
    Report
        Sections ``candidates``, with a table for programs of every point; ``next``; ``ruled-out``.
    """
    some = found.candidates if every else found.in_play
    parts = [Group(tuple(_candidate(each, said, words) for each in some))]
    if remarks := tuple(_remarks(found, len(some), said)):
        parts.append(Group(remarks))
    rows = (
        row
        for each in (*found.candidates, *found.ruled_out)
        for row in _points(each, said)
    )  # fmt: skip
    sections = [
        Section("candidates", "Candidates", (*parts, Table(_POINTS, tuple(rows)))),
        Section("next", "What to look at next", tuple(_next(found, said))),
        Section("ruled-out", "Ruled out", tuple(_out(found, said, words, every))),
    ]
    return Report("", "What the piece may be", sections=tuple(s for s in sections if s.parts))


def _candidate(each: RankedShape, said: Said, words: Words) -> Statement:
    out = ", ruled out" if each.ruled_out else ""
    points = tuple(_point(point, said) for point in each.points)
    likenesses = tuple(
        Statement((f"caution  {one.says(words)}",), said.passages(one.claims) or (_TOLD_APART,))
        for one in each.likenesses
    )
    claims = [claim for point in each.points for claim in point.claims]
    sentence: Sentence = (said.ref(each.shape), f"   score {each.score}{out}")
    return Statement(sentence, (*said.passages(claims), _SCORED), parts=(*points, *likenesses))


def _point(point: NamingPoint, said: Said) -> Statement:
    weight = f" ({point.weight.weight:+d})" if point.weight.weight else ""
    return Statement((f"{point.verdict}{weight}  {point.says}",), _grounds(point, said))


def _grounds(point: NamingPoint, said: Said) -> tuple[Ground, ...]:
    return said.passages(point.claims) or (Rule(point.weight.why),)


def _points(each: RankedShape, said: Said) -> Iterator[Row]:
    for point in each.points:
        weight = point.weight
        cells = (
            said.ref(each.shape), each.score, "yes" if each.ruled_out else "no",
            weight.observation, str(point.verdict), weight.weight, point.says, weight.why,
        )  # fmt: skip
        yield Row(cells, _grounds(point, said))


def _remarks(found: Naming, told: int, said: Said) -> Iterator[Statement]:
    left = len(found.candidates) - told
    if left:
        yield Statement((f"{left} more with less for them; see --all.",), (_SCORED,))
    if not found.equal:
        text = "Nothing that is seen speaks for any shape on record."
        yield Statement((text,), (_SCORED,))
    elif len(found.equal) > 1:
        names = ", ".join(said.ref(candidate.shape).text for candidate in found.equal)
        yield Statement((f"Equal on what is seen: {names}.",), (_SCORED,))


def _next(found: Naming, said: Said) -> Iterator[Group | Table]:
    play = len(found.in_play)
    looks = tuple(_look(look, at, play, said) for at, look in enumerate(found.next_looks[:_LOOKS]))
    if play > 1 and not looks:
        text = "Nothing on record would part these; see the pieces side by side."
        looks = (Statement((text,), (_TOLD_APART,)),)
    if looks:
        yield Group(looks)
        yield Table(_NEXT, tuple(_rows(found.next_looks, play, said)))


def _look(look: Look, place: int, play: int, said: Said) -> Statement:
    lead = "Look next at the" if place == 0 else "Then at the"
    what = look.observation.replace("_", " ")
    left = f"{look.left:.1f} of {play} would be left on average"
    if look.chance < 1:
        left += f"; {look.chance:.0%} of their recorded pieces show one that tells"
    grounds = said.passages(look.claims) or (_TOLD_APART,)
    parts = tuple(
        Statement((text,), grounds, _name=(said.ref(shape),)) for shape, text in look.values
    )
    return Statement((f"{lead} {what}: {left}.",), (_TOLD_APART,), parts=parts)


def _rows(looks: Sequence[Look], play: int, said: Said) -> Iterator[Row]:
    for look in looks:
        grounds = said.passages(look.claims) or (_TOLD_APART,)
        for shape, text in look.values:
            left, chance = round(look.left, 3), round(look.chance, 3)
            yield Row((look.observation, left, play, chance, said.ref(shape), text), grounds)


def _out(found: Naming, said: Said, words: Words, every: bool) -> Iterable[Group]:
    if not found.ruled_out:
        return ()
    if every:
        return (Group(tuple(_candidate(each, said, words) for each in found.ruled_out)),)
    return (Group(tuple(_ruled_out(each, said) for each in found.ruled_out)),)


def _ruled_out(candidate: RankedShape, said: Said) -> Statement:
    points = candidate.of(Bearing.RULES_OUT)
    agrees = len(candidate.of(Bearing.AGREES))
    text = f": {' '.join(point.says for point in points)}"
    text += f" ({agrees} of {len(candidate.points)} points agree.)" if agrees else ""
    claims = [claim for point in points for claim in point.claims]
    return Statement((said.ref(candidate.shape), text), said.passages(claims) or (_SCORED,))
