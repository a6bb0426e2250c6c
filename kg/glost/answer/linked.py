"""What cannot be right of linked things: links at odds, values and dates that cannot both be."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, permutations

from rdflib import Literal, URIRef
from rdflib.term import Node

from glost.answer.values import differ, length_properties, single
from glost.findings import Finding, Severity, Side
from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief
from glost.record.claims import Triple
from glost.record.dates import Margin
from glost.record.spelling import joined
from glost.trade.linking.links import Link, LinkKind, Links, links_in
from glost.trade.times import Timed
from glost.words.english import joined as listed
from glost.words.labels import Words, label
from glost.words.sentences import sides, value_in_words
from glost.words.times import limit
from glost.words.times import sides as grounded

POINTS = ("begin", "end", "made", "decorated")
"""The points of a life at which linked things must agree."""

_NUMBERS = frozenset(
    {GLOST.treatmentNumber, GLOST.printerNumber, GLOST.kilnNumber, GLOST.plantNumber}
)
"""Texts that two keepers must give alike; other texts are each keeper's own words."""

_REMEDY = (
    "Look at both again: correct the claim that is wrong, or withdraw the link if they are two "
    "things after all, or leave both if it cannot be decided."
)


def linked_findings(belief: Belief, times: Timed, margin: Margin) -> Iterator[Finding]:
    """Find what links bring to light.

    Parameters
    ----------
    belief
        What is believed.
    times
        Between which days things fall.
    margin
        How far dates marked approximate are widened.
    """
    links = links_in(belief)
    words = Words(belief.worded)
    for link, path in links.at_odds:
        yield _at_odds(link, path, words)
    sound = links.sound
    for group in sound.groups:
        yield from _values(group, links, belief, words, margin)
        yield from _dates(group, links, belief, times, words, margin)


def _at_odds(link: Link, path: Sequence[Link], words: Words) -> Finding:
    one, other = label(link.one, words), label(link.other, words)
    said = {
        LinkKind.NOT_THE_SAME: "not to be the same",
        LinkKind.PART_OF: "to be a part and its whole",
        LinkKind.CONTINUES: "to be one after the other",
    }[link.kind]
    way = "" if len(path) == 1 else f" by way of {listed(_between(path, link.one, words))}"
    return Finding(
        kind="links-at-odds",
        severity=Severity.CONTRADICTION,
        about=tuple(sorted({str(link.one), str(link.other)})),
        message=f"{one} and {other} are said {said}, and yet to be the same{way}.",
        sides=_told((link, *path), words),
        remedy="One of the links is wrong: withdraw it with glost correct.",
    )


def _between(path: Sequence[Link], start: URIRef, words: Words) -> Iterator[str]:
    for link in path[:-1]:
        start = link.across(start)
        yield label(start, words)


def _told(links: Iterable[Link], words: Words) -> tuple[Side, ...]:
    every = tuple(links)
    claims = [claim for link in every for claim in link.claims]
    return sides(claims, words, [each for link in every for each in link.statements])


# -- values --------------------------------------------------------------------------------------


def _values(
    group: Sequence[URIRef], links: Links, belief: Belief, words: Words, margin: Margin
) -> Iterator[Finding]:
    """Find values of one thing, under its several names, that cannot both be."""
    subjects = [("", ""), *((f"#{point}", point) for point in POINTS)]
    for ending, point in subjects:
        for property_ in sorted(single()):
            given = [
                (thing, value)
                for thing in group
                for value in belief.values(URIRef(f"{thing}{ending}"), property_)
            ]
            wrong = sorted(
                {
                    one
                    for pair in combinations(given, 2)
                    if pair[0][0] != pair[1][0]
                    and _differ(pair[0][1], pair[1][1], property_, links, belief, margin)
                    for one in pair
                },
                key=lambda each: (str(each[0]), str(each[1])),
            )
            if wrong:
                yield _differing(wrong, ending, point, property_, links, belief, words)


def _differ(
    a: Node, b: Node, property_: URIRef, links: Links, belief: Belief, margin: Margin
) -> bool:
    """Say whether two values cannot both be; of things that nobody compared it is not known."""
    if a == b:
        return False
    if isinstance(a, Literal) and isinstance(b, Literal):
        if property_ in _NUMBERS:
            return joined(str(a)) != joined(str(b))
        if a.datatype is None and property_ not in length_properties():
            return False
        return differ(a, b, property_, belief.worded, margin)
    if isinstance(a, URIRef) and isinstance(b, URIRef) and not str(a).startswith(SCHEMES):
        first = links.first
        if first.get(a, a) == first.get(b, b):
            return False
        known = links.sound.first
        return bool(links.between(a, b)) or (a in known and b in known)
    return differ(a, b, property_, belief.worded, margin)


def _differing(
    given: Sequence[tuple[URIRef, Node]],
    ending: str,
    point: str,
    property_: URIRef,
    links: Links,
    belief: Belief,
    words: Words,
) -> Finding:
    statements: list[Triple] = [
        (URIRef(f"{thing}{ending}"), property_, value) for thing, value in given
    ]
    claims = [claim for each in statements for claim in belief.rests_on(each)]
    things = sorted({thing for thing, _ in given})
    over = _over(things, links)
    told = " or ".join(dict.fromkeys(value_in_words(value, words) for _, value in given))
    what = {"begin": "start", "end": "end", "made": "date of making", "decorated": "decoration"}
    name = what[point] if point else label(property_, words)
    return Finding(
        kind="linked-values-differ",
        severity=Severity.CONTRADICTION,
        about=tuple(map(str, things)),
        message=f"Under its several names, {label(things[0], words)} is given more than one "
        f"{name}: {told}.",
        sides=(*sides(claims, words, statements), *_told(over, words)),
        remedy=_REMEDY,
    )


def _over(things: Sequence[URIRef], links: Links) -> tuple[Link, ...]:
    """Return the links by which things are the same."""
    found = {link.key: link for far in things[1:] for link in links.sound.path(things[0], far)}
    return tuple(found[key] for key in sorted(found))


# -- dates ---------------------------------------------------------------------------------------


def _dates(
    group: Sequence[URIRef],
    links: Links,
    belief: Belief,
    times: Timed,
    words: Words,
    margin: Margin,
) -> Iterator[Finding]:
    """Find points of one life, under its several names, that share no day by all evidence."""
    for point in POINTS:
        for one, other in permutations(group, 2):
            early, late = (URIRef(f"{thing}#{point}") for thing in (one, other))
            if _said_apart((early, late), belief):
                continue  # told as values that differ
            before, after = times.bounds(early).latest, times.bounds(late).earliest
            if before is None or after is None or before >= after:
                continue
            by, since = times.why_not_after(early), times.why_not_before(late)
            if by is None or since is None:
                continue
            grounds = {each.triple: each for each in (*by.grounds, *since.grounds)}
            yield Finding(
                kind="linked-dates-differ",
                severity=Severity.CONTRADICTION,
                about=tuple(sorted((str(one), str(other)))),
                message=f"{label(one, words)} and {label(other, words)} are said to be the same, "
                f"yet {limit(by, words)}, and {limit(since, words)}.",
                sides=(
                    *grounded(grounds.values(), words, margin),
                    *_told(_over(sorted((one, other)), links), words),
                ),
                remedy=_REMEDY,
            )


def _said_apart(ends: Iterable[URIRef], belief: Belief) -> bool:
    return all(belief.values(each, GLOST.date) for each in ends)
