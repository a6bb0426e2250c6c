"""What cannot be right in a lineage: rings, and what began before its model."""

from collections.abc import Iterator
from dataclasses import dataclass

from rdflib import URIRef

from glost.findings import Finding, Severity, Side
from glost.names import GLOST
from glost.record.claims import Triple
from glost.record.dates import DEFAULT_MARGIN, Margin
from glost.trade.lineage.graph import Lineage, LineageLink
from glost.trade.lineage.kin import Path
from glost.words.sentences import sides


@dataclass(frozen=True, slots=True)
class _Dated:
    statement: Triple
    earliest: int | None
    latest: int | None


def lineage_findings(lineage: Lineage, margin: Margin = DEFAULT_MARGIN) -> Iterator[Finding]:
    """Find rings of descent, and things said to have begun before what they come from.

    A thing tied to itself, and two that are each said to be a copy (or each a redesign, or each a
    reissue) of the other, are clashes under OWL 2 RL already and are not told again.

    Parameters
    ----------
    lineage
        The graph of lineage.
    margin
        How far dates marked approximate are widened.
    """
    yield from _rings(lineage)
    yield from _older(lineage, margin)


def rings(lineage: Lineage) -> tuple[Path, ...]:
    """Find the rings of descent: through every tie that lies on one, the shortest.

    Returns
    -------
    tuple of tuple of Link
        Each ring once, begun with the least IRI; the surest tie where two things have several.
    """
    import networkx as nx

    steps: nx.DiGraph[URIRef] = nx.DiGraph()
    best: dict[tuple[URIRef, URIRef], LineageLink] = {}
    for link in lineage.links:
        ends = (link.earlier, link.later)
        if link.relation.descent and (ends not in best or (link.sure and not best[ends].sure)):
            best[ends] = link
    steps.add_edges_from(sorted(best))
    found: set[tuple[URIRef, ...]] = set()
    for members in nx.strongly_connected_components(steps):
        within = steps.subgraph(sorted(members))
        for earlier, later in sorted(within.edges):
            way = nx.shortest_path(within, later, earlier)
            start = way.index(min(way))
            found.add(tuple(way[start:] + way[:start]))
    return tuple(
        tuple(best[a, b] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))
        for ring in sorted(found)
    )


def _rings(lineage: Lineage) -> Iterator[Finding]:
    for ring in rings(lineage):
        kinds = {link.relation.key for link in ring}
        told = kinds <= {"copied", "redesigned", "reissued"} and len(kinds) == 1
        if len(ring) == 1 or (len(ring) == 2 and told):
            continue
        words = ", ".join(
            f"{lineage.name(link.later)} {link.relation.says} {lineage.name(link.earlier)}"
            for link in reversed(ring)
        )
        yield Finding(
            kind="lineage-ring",
            severity=Severity.CONTRADICTION,
            about=tuple(str(link.earlier) for link in ring),
            message=f"Nothing can come from itself: {words}.",
            sides=_told(lineage, ring),
            remedy="One of these ties is the wrong way about or mistaken; withdraw it with "
            "glost correct.",
        )


def _told(lineage: Lineage, links: Path, dated: tuple[Triple, ...] = ()) -> tuple[Side, ...]:
    statements = [*dated, *(each for link in links for each in link.statements)]
    claims = [claim for each in statements for claim in lineage.belief.rests_on(each)]
    return sides(claims, lineage.words, statements)


def _older(lineage: Lineage, margin: Margin) -> Iterator[Finding]:
    """Compare each dated thing with the nearest dated things that come from it."""
    below: dict[URIRef, list[LineageLink]] = {}
    for link in lineage.links:
        if link.relation.descent:
            below.setdefault(link.earlier, []).append(link)
    dates = {thing: _begins(lineage, thing, margin) for thing in lineage.things}
    for model in sorted(below):
        if not dates[model]:
            continue
        front: list[tuple[URIRef, Path]] = [(model, ())]
        seen = {model}
        while front:
            at, path = front.pop(0)
            for link in below.get(at, ()):
                if link.later in seen:
                    continue
                seen.add(link.later)
                way = (*path, link)
                if dates[link.later]:
                    yield from _compared(lineage, way, dates[model], dates[link.later])
                else:
                    front.append((link.later, way))


def _begins(lineage: Lineage, thing: URIRef, margin: Margin) -> tuple[_Dated, ...]:
    point = URIRef(f"{thing}#begin")
    return tuple(
        _Dated((point, GLOST.date, value), date.earliest, date.latest)
        for value, date, _ in lineage.belief.dates(point, margin)
    )


def _compared(
    lineage: Lineage, path: Path, model: tuple[_Dated, ...], later: tuple[_Dated, ...]
) -> Iterator[Finding]:
    clashing = [
        (old, new)
        for old in model
        for new in later
        if old.earliest is not None and new.latest is not None and new.latest < old.earliest
    ]
    if not clashing:
        return
    first, last = path[0].earlier, path[-1].later
    statements = tuple(dict.fromkeys(each.statement for pair in clashing for each in pair))
    names = lineage.name(last), lineage.name(first)
    olds = " or ".join(dict.fromkeys(str(old.statement[2]) for old, _ in clashing))
    news = " or ".join(dict.fromkeys(str(new.statement[2]) for _, new in clashing))
    through = "".join(
        f"; {lineage.name(link.later)} is {link.relation.says} {lineage.name(link.earlier)}"
        for link in reversed(path)
    )
    yield Finding(
        kind="older-than-model",
        severity=Severity.CONTRADICTION,
        about=(str(last), str(first)),
        message=f"{names[0]}, begun {news}, would be older than {names[1]}, begun {olds}, from "
        f"which it comes{through}.",
        sides=_told(lineage, path, statements),
        remedy="One of the dates is wrong, or the one does not come from the other; withdraw what "
        "is mistaken with glost correct.",
    )
