"""The requests that hand a plan over, by two protocols; one that is sent twice does no harm."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal as Kind

from rdflib import URIRef

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
        How many statements it may add, or graphs it may empty.
    octets
        How many octets its statements may have; one statement that is longer goes alone.
    """

    statements: int = 500
    octets: int = 500_000


def batches(plan: Plan, protocol: Protocol, size: Size) -> Iterator[Batch]:
    """Yield the requests that hand a plan over, in order, always the same."""
    yield from (_updates if protocol == "update" else _stored)(plan, size)


def graph_fields(name: URIRef | None) -> tuple[tuple[str, str], ...]:
    """Return what names a graph in an address (Graph Store HTTP Protocol, section 4.2)."""
    return (("default", ""),) if name is None else (("graph", str(name)),)


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


def _insert(parts: Sequence[tuple[URIRef | None, list[str]]]) -> Batch:
    pieces = []
    for name, lines in parts:
        text = "\n".join(lines)
        pieces.append(text if name is None else f"GRAPH <{name}> {{\n{text}\n}}")
    count = sum(len(lines) for _, lines in parts)
    body = "INSERT DATA {\n" + "\n".join(pieces) + "\n}"
    return Batch("POST", _UPDATE, body.encode(), f"adding {count} statements")


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
