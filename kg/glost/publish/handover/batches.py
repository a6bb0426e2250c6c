"""The requests that hand a plan over, by two protocols; one that is sent twice does no harm."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal as Kind

from rdflib import URIRef
from rdflib.namespace import DCTERMS

from glost.publish.handover.plan import Plan

Protocol = Kind["update", "graphs"]
"""SPARQL 1.1 Update over the SPARQL 1.1 Protocol, or the SPARQL 1.1 Graph Store HTTP Protocol."""

_UPDATE = "application/sparql-update"
_LINES = "application/n-triples"


@dataclass(frozen=True, slots=True)
class Batch:
    """One request.

    Attributes
    ----------
    method
        Its method.
    params
        What is added to the address.
    media
        The media type of its body.
    body
        Its body.
    about
        What it does, for messages.
    """

    method: str
    media: str
    body: bytes
    about: str
    params: tuple[tuple[str, str], ...] = field(default=())


@dataclass(frozen=True, slots=True)
class Size:
    """How large a request may be.

    Attributes
    ----------
    statements
        How many statements it may add, or graphs it may empty or remove.
    octets
        How many octets its statements may have; one statement that is longer goes alone.
    """

    statements: int = 500
    octets: int = 500_000


def batches(plan: Plan, protocol: Protocol, size: Size) -> Iterator[Batch]:
    """Yield the requests that hand a plan over, in order, always the same.

    The first ones note in the store which graphs are about to be there; notes of earlier
    hand-overs stay.
    """
    yield from noting(plan, plan.named, protocol, size)
    yield from (_updates if protocol == "update" else _stored)(plan, size)


def graph_fields(name: URIRef | None) -> tuple[tuple[str, str], ...]:
    """Return what names a graph in an address (Graph Store HTTP Protocol, section 4.2)."""
    return (("default", ""),) if name is None else (("graph", str(name)),)


def noting(
    plan: Plan, graphs: Iterable[URIRef], protocol: Protocol, size: Size, *, afresh: bool = False
) -> Iterator[Batch]:
    """Yield the requests that note graphs.

    Parameters
    ----------
    plan
        Whose graphs they are.
    graphs
        Their names.
    protocol
        By which protocol.
    size
        How large a request may be.
    afresh
        By the Graph Store HTTP Protocol, whether they take the place of what is noted, and are
        not added to it.
    """
    method = "PUT" if afresh else "POST"
    for part in _parts(_notes(plan, graphs), size):
        about = f"noting {len(part)} graphs"
        if protocol == "update":
            yield _insert([(plan.note, part)], about)
        else:
            body = "\n".join(part) + "\n"
            yield Batch(method, _LINES, body.encode(), about, graph_fields(plan.note))
        method = "POST"


def striking(plan: Plan, gone: Sequence[URIRef], size: Size) -> Iterator[Batch]:
    """Yield the updates that remove graphs, each together with its note."""
    for start in range(0, len(gone), size.statements):
        some = gone[start : start + size.statements]
        text = ";\n".join(f"DROP SILENT GRAPH <{name}>" for name in some)
        notes = "\n".join(_notes(plan, some))
        text += f";\nDELETE DATA {{ GRAPH <{plan.note}> {{\n{notes}\n}} }}"
        yield Batch("POST", _UPDATE, text.encode(), f"removing {len(some)} graphs")


def _notes(plan: Plan, graphs: Iterable[URIRef]) -> list[str]:
    return sorted(f"<{plan.note}> <{DCTERMS.hasPart}> <{name}> ." for name in graphs)


def _updates(plan: Plan, size: Size) -> Iterator[Batch]:
    names = list(plan.counts)
    for start in range(0, len(names), size.statements):
        some = names[start : start + size.statements]
        text = ";\n".join(f"CLEAR SILENT {_target(name)}" for name in some)
        yield Batch("POST", _UPDATE, text.encode(), f"emptying {len(some)} graphs")
    pending: list[tuple[URIRef | None, list[str]]] = []
    held = octets = 0
    for name, lines in plan.graphs():
        for part in _parts(lines, size):
            length = sum(len(line.encode()) for line in part)
            if pending and (held + len(part) > size.statements or octets + length > size.octets):
                yield _insert(pending)
                pending, held, octets = [], 0, 0
            pending.append((name, part))
            held, octets = held + len(part), octets + length
    if pending:
        yield _insert(pending)


def _insert(parts: Sequence[tuple[URIRef | None, list[str]]], about: str = "") -> Batch:
    pieces = []
    for name, lines in parts:
        text = "\n".join(lines)
        pieces.append(text if name is None else f"GRAPH <{name}> {{\n{text}\n}}")
    count = sum(len(lines) for _, lines in parts)
    body = "INSERT DATA {\n" + "\n".join(pieces) + "\n}"
    return Batch("POST", _UPDATE, body.encode(), about or f"adding {count} statements")


def _stored(plan: Plan, size: Size) -> Iterator[Batch]:
    for name, lines in plan.graphs():
        method = "PUT"
        for part in _parts(lines, size):
            body = "\n".join(part) + "\n"
            about = f"adding {len(part)} statements to {_target(name)}"
            yield Batch(method, _LINES, body.encode(), about, graph_fields(name))
            method = "POST"


def _parts(lines: list[str], size: Size) -> Iterator[list[str]]:
    part: list[str] = []
    octets = 0
    for line in lines:
        length = len(line.encode())
        if part and (len(part) >= size.statements or octets + length > size.octets):
            yield part
            part, octets = [], 0
        part.append(line)
        octets += length
    if part:
        yield part


def _target(name: URIRef | None) -> str:
    return "DEFAULT" if name is None else f"GRAPH <{name}>"
