"""What cannot be right in a lineage: rings, and what began before its model.

Both look at no more than they need, so that one tie among very many is judged by itself.
"""

from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from rdflib import URIRef

from glost.findings import Finding, Severity, Side
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Triple
from glost.record.dates import DEFAULT_MARGIN, Margin
from glost.trade.lineage.graph import Lineage, LineageLink, lineage, tie
from glost.trade.lineage.kin import Path
from glost.trade.lineage.relations import LineageRelation, relations
from glost.words.labels import label
from glost.words.sentences import sides


@dataclass(frozen=True, slots=True)
class _Dated:
    statement: Triple
    earliest: int | None
    latest: int | None


def ring_findings(belief: Belief) -> Iterator[Finding]:
    """Find rings of descent; of ties between things that are on none only the ends are looked at.

    A thing tied to itself, and two that are each said to be a copy (or each a redesign, or each a
    reissue) of the other, are clashes under OWL 2 RL already and are not told again.
    """
    before: dict[URIRef, set[URIRef]] = {}
    for relation in _descent():
        for later, earlier in _tied(belief, relation):
            before.setdefault(later, set()).add(earlier)
    with suppress(CycleError):
        TopologicalSorter(before).prepare()
        return
    import networkx as nx  # takes long to import, and few collections need it

    steps: nx.DiGraph[URIRef] = nx.DiGraph(
        (earlier, later) for later, ties in before.items() for earlier in ties
    )
    parts = [part for part in nx.strongly_connected_components(steps) if len(part) > 1]
    if parts:
        yield from _rings(lineage(belief, frozenset().union(*parts)))


def _descent() -> tuple[LineageRelation, ...]:
    return tuple(each for each in relations().values() if each.descent)


def _tied(belief: Belief, relation: LineageRelation) -> Iterable[tuple[URIRef, URIRef]]:
    """Yield the later and the earlier thing of each tie of a kind."""
    for later, earlier in belief.graph.subject_objects(relation.predicate):
        if isinstance(later, URIRef) and isinstance(earlier, URIRef):
            yield later, earlier


def rings(lineage: Lineage) -> tuple[Path, ...]:
    """Find the rings of descent: through every tie that lies on one, the shortest.

    Returns
    -------
    tuple of tuple of Link
        Each ring once, begun with the least IRI; the surest tie where two things have several.
    """
    import networkx as nx

    best: dict[tuple[URIRef, URIRef], LineageLink] = {}
    for link in lineage.links:
        ends = (link.earlier, link.later)
        if link.relation.descent and (ends not in best or (link.sure and not best[ends].sure)):
            best[ends] = link
    steps: nx.DiGraph[URIRef] = nx.DiGraph(sorted(best))
    found: set[tuple[URIRef, ...]] = set()
    for members in nx.strongly_connected_components(steps):
        ties = sorted(best.keys() & set(steps.subgraph(members).edges))
        within: nx.DiGraph[URIRef] = nx.DiGraph(ties)  # a view would go through them in no order
        for earlier, later in ties:
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
            sides=_told(lineage.belief, ring),
            remedy="One of these ties is the wrong way about or mistaken; withdraw it with "
            "glost correct.",
        )


def _told(belief: Belief, links: Path, dated: tuple[Triple, ...] = ()) -> tuple[Side, ...]:
    statements = [*dated, *(each for link in links for each in link.statements)]
    claims = [claim for each in statements for claim in belief.rests_on(each)]
    return sides(claims, belief.worded, statements)


def older_findings(belief: Belief, margin: Margin = DEFAULT_MARGIN) -> Iterator[Finding]:
    """Find things said to have begun before what they come from; see `older_of`."""
    ties = {(later, each.predicate) for each in _descent() for later, _ in _tied(belief, each)}
    yield from dict.fromkeys(f for tied in sorted(ties) for f in older_of(belief, *tied, margin))


def older_of(
    belief: Belief, later: URIRef, property_: URIRef, margin: Margin = DEFAULT_MARGIN
) -> Iterator[Finding]:
    """Compare a thing with the nearest dated things it comes from, by the ties of one kind.

    Parameters
    ----------
    belief
        What is believed.
    later
        The thing.
    property_
        The property of a kind of descent that leads from it to what it comes from.
    margin
        How far dates marked approximate are widened.
    """
    new = _begins(belief, later, margin)
    if not new:
        return
    front, seen, models = _named(belief, later, property_), {later}, dict[URIRef, list[_Dated]]()
    while front:
        at = front.pop()
        if at in seen:
            continue
        seen.add(at)
        old = _begins(belief, at, margin)
        if old:
            models[at] = old
        else:
            front += [up for each in _descent() for up in _named(belief, at, each.predicate)]
    for model in sorted(models):
        clashing = [
            (old, each)
            for old in models[model]
            for each in new
            if old.earliest is not None and each.latest is not None and each.latest < old.earliest
        ]
        if clashing:
            yield _older(belief, _way(belief, model, later, margin), clashing)


def _named(belief: Belief, thing: URIRef, property_: URIRef) -> list[URIRef]:
    return [each for each in belief.graph.objects(thing, property_) if isinstance(each, URIRef)]


def _way(belief: Belief, model: URIRef, last: URIRef, margin: Margin) -> Path:
    """Return the ties by which a thing comes from its model, through none that is dated."""
    front: list[tuple[URIRef, Path]] = [(model, ())]
    seen = {model}
    while True:
        at, path = front.pop(0)
        for link in _below(belief, at):
            if link.later in seen:
                continue
            seen.add(link.later)
            way = (*path, link)
            if link.later == last:
                return way
            if not _begins(belief, link.later, margin):
                front.append((link.later, way))


def _below(belief: Belief, thing: URIRef) -> list[LineageLink]:
    """Return the ties to what comes from a thing, in the order of that and of their kinds."""
    found = [
        (later, relation.key, relation)
        for relation in _descent()
        for later in belief.graph.subjects(relation.predicate, thing)
        if isinstance(later, URIRef)
    ]
    return [
        tie(belief, thing, later, each) for later, _, each in sorted(found, key=lambda f: f[:2])
    ]


def _begins(belief: Belief, thing: URIRef, margin: Margin) -> list[_Dated]:
    point = URIRef(f"{thing}#begin")
    return [
        _Dated((point, GLOST.date, value), date.earliest, date.latest)
        for value, date, _ in belief.dates(point, margin)
    ]


def _older(belief: Belief, path: Path, clashing: list[tuple[_Dated, _Dated]]) -> Finding:
    first, last = path[0].earlier, path[-1].later
    statements = tuple(dict.fromkeys(each.statement for pair in clashing for each in pair))
    names = {end: label(end, belief.worded) for link in path for end in (link.earlier, link.later)}
    olds = " or ".join(dict.fromkeys(str(old.statement[2]) for old, _ in clashing))
    news = " or ".join(dict.fromkeys(str(new.statement[2]) for _, new in clashing))
    through = "".join(
        f"; {names[link.later]} is {link.relation.says} {names[link.earlier]}"
        for link in reversed(path)
    )
    return Finding(
        kind="older-than-model",
        severity=Severity.CONTRADICTION,
        about=(str(last), str(first)),
        message=f"{names[last]}, begun {news}, would be older than {names[first]}, begun {olds}, "
        f"from which it comes{through}.",
        sides=_told(belief, path, statements),
        remedy="One of the dates is wrong, or the one does not come from the other; withdraw what "
        "is mistaken with glost correct.",
    )
