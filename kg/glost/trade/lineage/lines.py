"""One thing's lineage as rows: ancestors, descendants, other ties, and which came first."""

from dataclasses import dataclass

from rdflib import URIRef

from glost.record.claims import Claim
from glost.trade.lineage.graph import Lineage, LineageLink
from glost.trade.lineage.kin import (
    Kin,
    Path,
    ancestors,
    common_ancestors,
    descendants,
    family,
    firsts,
    undated,
)
from glost.trade.times import Chronology


@dataclass(frozen=True, slots=True)
class LineageRow:
    """One row.

    Attributes
    ----------
    what
        ``ancestor``, ``descendant``, ``tie`` (shared moulds and flatware, and who worked on it),
        ``likeness``, ``substitution``, ``first``, ``common ancestor``.
    thing
        Who or what.
    words
        How it is tied to the thing asked about, step by step, or why it is first.
    steps
        How many ties away; 0 if that says nothing.
    sure
        Whether no tie on the way is at most possible.
    claims
        The claims of every tie on the way; of what was first, those that bound the beginnings.
    """

    what: str
    thing: URIRef
    words: str
    steps: int
    sure: bool
    claims: tuple[Claim, ...]


def lineage_lines(lineage: Lineage, thing: URIRef, times: Chronology) -> tuple[LineageRow, ...]:
    """Tell the lineage of a thing.

    Parameters
    ----------
    lineage
        The whole graph.
    thing
        Any thing; one without ties gives no rows.
    times
        When things began, for what was first.

    Returns
    -------
    tuple of LineageRow
        Ancestors, the nearest first; descendants; ties without descent, likeness and substitution
        among them; then what was first, or may have been first, of the family.
    """
    found = [_kin(lineage, thing, "ancestor", kin) for kin in ancestors(lineage, thing)]
    found += [_kin(lineage, thing, "descendant", kin) for kin in descendants(lineage, thing)]
    for link in lineage.of(thing):
        if not link.relation.descent:
            found.append(_kin(lineage, thing, _what(link), Kin(link.other(thing), (link,))))
    return (*found, *_firsts(lineage, thing, times))


def _what(link: LineageLink) -> str:
    kind = link.relation.kind
    return kind if kind in ("likeness", "substitution") else "tie"


def _kin(lineage: Lineage, thing: URIRef, what: str, kin: Kin) -> LineageRow:
    words = path_in_words(lineage, thing, kin.path)
    return LineageRow(what, kin.thing, words, kin.steps, kin.sure, claims_on(kin.path))


def path_in_words(lineage: Lineage, thing: URIRef, path: Path) -> str:
    """Tell ties one after another: ``redesigned from Alder, copied from Birch (doubtful)``."""
    said, at = [], thing
    for link in path:
        other = link.other(at)
        doubt = f" ({link.certainty})" if link.certainty else ""
        said.append(f"{link.seen_from(at)} {lineage.name(other)}{doubt}")
        at = other
    return ", ".join(said)


def claims_on(path: Path) -> tuple[Claim, ...]:
    """Return the claims of every tie of a path, each once."""
    return tuple(dict.fromkeys(claim for link in path for claim in link.claims))


def _firsts(lineage: Lineage, thing: URIRef, times: Chronology) -> list[LineageRow]:
    """Find the first of the members of the thing's own kind."""

    def begin(each: URIRef) -> tuple[int | None, int | None]:
        return begins(times, each)

    kind = lineage.kind(thing)
    part = family(lineage, thing)
    members = [each for each in part.things if lineage.kind(each) == kind]
    if len(members) < 2 or kind == "person":
        return []
    without = undated(members, begin)
    found = []
    for first in firsts(lineage, members, begin):
        words = f"first {kind} of the family: {first.verdict}"
        if without:
            words += f", of those dated ({len(without)} not dated)"
        words += in_dispute(times, first.thing)
        claims = bounding(times, first.thing, late=first.certain)
        if first.certain:
            others = (each for each in members if each not in (first.thing, *without))
            claims += tuple(c for each in others for c in bounding(times, each, late=False))
        found.append(
            LineageRow("first", first.thing, words, 0, first.certain, tuple(dict.fromkeys(claims)))
        )
    return found


def begins(times: Chronology, thing: URIRef) -> tuple[int | None, int | None]:
    """Return between which days a thing began, however contradictions are settled."""
    return times.reading_bounds(_begin(thing))[:2]


def bounding(times: Chronology, thing: URIRef, *, late: bool) -> tuple[Claim, ...]:
    """Return the claims that bound a thing's beginning on one side, however they are settled."""
    told = times.reading_facts(_begin(thing), late=late)
    return tuple(claim for fact in told for claim in times.belief.rests_on(fact))


def in_dispute(times: Chronology, thing: URIRef) -> str:
    """Say, to follow what is told of a thing, that sources differ on when it began; or nothing."""
    return "; when it began is in dispute" if times.reading_bounds(_begin(thing)).disputed else ""


def _begin(thing: URIRef) -> URIRef:
    return URIRef(f"{thing}#begin")


def common_lines(lineage: Lineage, one: URIRef, other: URIRef) -> tuple[LineageRow, ...]:
    """Tell what two things both come from, the nearest first."""
    found = []
    for common in common_ancestors(lineage, one, other):
        ways = [
            f"{lineage.name(thing)}: {path_in_words(lineage, thing, path) or 'itself'}"
            for thing, path in ((one, common.one), (other, common.other))
        ]
        path = (*common.one, *common.other)
        words = "; ".join(ways) + (" (the nearest)" if common.nearest else "")
        sure = all(link.sure for link in path)
        found.append(
            LineageRow("common ancestor", common.thing, words, len(path), sure, claims_on(path))
        )
    return tuple(found)


def all_lines(lineage: Lineage) -> tuple[LineageRow, ...]:
    """Tell every tie of a graph, each from its later end."""
    return tuple(
        LineageRow(
            _what(link),
            link.later,
            path_in_words(lineage, link.later, (link,)),
            1,
            link.sure,
            link.claims,
        )
        for link in lineage.links
    )
