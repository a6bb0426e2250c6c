"""Lineage for other programs: GraphML and DOT, the same bytes for the same graph."""

from collections.abc import Mapping

from rdflib import URIRef

from glost.trade.lineage.graph import Lineage, LineageLink
from glost.words.english import joined

_STYLES = {"": "solid", "certain": "solid", "probable": "solid"}


def graphml(lineage: Lineage) -> str:
    """Write the graph as GraphML.

    Nodes carry IRI, name, kind and maker; edges go from the earlier thing to the later, with
    relation, role, certainty, direction (``later``, or ``mutual`` where the tie says the same of
    both), claims and passages.

    Returns
    -------
    str
        The document. Nodes and edges are numbered in the order of their IRIs.
    """
    import networkx as nx

    flat: nx.MultiDiGraph[str] = nx.MultiDiGraph()
    ids = {thing: f"n{place}" for place, thing in enumerate(lineage.things)}
    for thing, name in ids.items():
        flat.add_node(
            name,
            iri=str(thing),
            name=lineage.name(thing),
            kind=lineage.kind(thing),
            maker=" ".join(lineage.maker(thing)),
        )
    for place, link in enumerate(lineage.links):
        flat.add_edge(
            ids[link.earlier],
            ids[link.later],
            key=f"e{place}",
            relation=link.relation.key,
            role=link.role,
            certainty=link.certainty,
            direction="mutual" if link.relation.mutual else "later",
            says=link.seen_from(link.later),
            claims=" ".join(str(claim.iri) for claim in link.claims),
            passages=" | ".join(passages(lineage, link)),
        )
    return "\n".join(nx.generate_graphml(flat)) + "\n"


def passages(lineage: Lineage, link: LineageLink) -> tuple[str, ...]:
    """Return the source and place in it of each claim behind a tie, in words, each once."""
    found = []
    for claim in link.claims:
        place = claim.passage.place
        found.append(f"{lineage.name(claim.passage.source)}, {place}".rstrip(", "))
    return tuple(dict.fromkeys(found))


def dot(lineage: Lineage) -> str:
    """Write the graph in the DOT language, one cluster for each maker.

    Ties that are at most possible are dashed; those without direction have no arrow head and do
    not rank their ends. Claims stand in the tooltips.

    Returns
    -------
    str
        The document, in the order of IRIs.
    """
    lines = [
        "digraph lineage {",
        "  rankdir=LR;",
        "  node [shape=box];",
    ]
    lanes: dict[str, list[URIRef]] = {}
    for thing in lineage.things:
        maker = joined(lineage.name(each) for each in lineage.maker(thing))
        lanes.setdefault(maker, []).append(thing)
    for place, (maker, things) in enumerate(sorted(lanes.items())):
        lines.append(f"  subgraph cluster_{place} {{")
        lines.append(f"    label={_quoted(maker)};")
        for thing in things:
            given = {"label": lineage.name(thing), "class": lineage.kind(thing)}
            lines.append(f"    {_quoted(thing)} [{_attributes(given)}];")
        lines.append("  }")
    lines += [_edge(lineage, link) for link in lineage.links]
    return "\n".join([*lines, "}"]) + "\n"


def _edge(lineage: Lineage, link: LineageLink) -> str:
    given = {
        "label": link.seen_from(link.later),
        "class": link.relation.key,
        "style": _STYLES.get(link.certainty, "dashed"),
        "tooltip": "; ".join(passages(lineage, link)),
    }
    if link.relation.mutual:
        given |= {"dir": "none", "constraint": "false"}
    return f"  {_quoted(link.earlier)} -> {_quoted(link.later)} [{_attributes(given)}];"


def _attributes(given: Mapping[str, str]) -> str:
    return ", ".join(f"{name}={_quoted(value)}" for name, value in given.items())


def _quoted(text: str) -> str:
    """Write a text as a quoted string of DOT: backslashes and quotes escaped, line breaks kept."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'
