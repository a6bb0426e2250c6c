"""One thing, and every claim about it with what it rests on."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from rdflib import Graph, URIRef
from rdflib.namespace import RDF

from glost.findings import Side
from glost.names import GLOST
from glost.record.claims import Claim, Triple
from glost.record.errors import RecordError, RecordErrors, nearest
from glost.record.record import Record
from glost.record.wording import label, sentence, side


@dataclass(frozen=True, slots=True)
class Told:
    """One claim as shown.

    Attributes
    ----------
    side
        What it says, its source, passage, file and row.
    status
        ``current`` or ``withdrawn``.
    why
        For a withdrawn claim, the reason its correction gives.
    recorded
        Who recorded it and when; empty if not said.
    note
        Its remark; empty if none.
    """

    side: Side
    status: str
    why: str = ""
    recorded: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """A thing as shown.

    Attributes
    ----------
    iri, name, kinds
        Its IRI, what it is called, and what it is.
    told
        The claims about it, then those that name it, each as told.
    named
        Claims about other things that name it.
    follows
        Sentences that follow from the claims.
    """

    iri: str
    name: str
    kinds: tuple[str, ...]
    told: tuple[Told, ...]
    named: tuple[Told, ...]
    follows: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Return it as plain values, for JSON."""
        return {
            "iri": self.iri,
            "name": self.name,
            "kinds": list(self.kinds),
            "claims": [_told_dict(told) for told in self.told],
            "named_in": [_told_dict(told) for told in self.named],
            "follows": list(self.follows),
        }


def _told_dict(told: Told) -> dict[str, str]:
    side = {name: getattr(told.side, name) for name in Side.__dataclass_fields__}
    rest = {"status": told.status, "why": told.why, "recorded": told.recorded, "note": told.note}
    return side | rest


def find_thing(record: Record, name: str) -> URIRef:
    """Find a thing by IRI, by ``kind/id``, by id alone if only one kind has it, or by name.

    Raises
    ------
    RecordErrors
        If nothing, or more than one thing, is called that; says what comes nearest.
    """
    base = record.base
    if name.startswith(base):
        name = name.removeprefix(base)
    kind, slash, slug = name.partition("/")
    if slash and (slug in record.ids.get(kind, ()) or record.claim(slug)):
        return URIRef(base + name)
    found = [f"{kind}/{name}" for kind, ids in sorted(record.ids.items()) if name in ids]
    found = found or _called(record, name)
    if len(found) == 1:
        return URIRef(base + found[0])
    if not found and record.claim(name):
        return URIRef(f"{base}claim/{name}")
    raise RecordErrors([_not_found(record, name, found)])


def _called(record: Record, name: str) -> list[str]:
    wanted = name.casefold()
    graph = record.believed().graph
    found = set()
    for subject in set(graph.subjects()):
        if isinstance(subject, URIRef) and label(subject, graph).casefold() == wanted:
            found.add(str(subject).removeprefix(record.base))
    return sorted(found)


def _not_found(record: Record, name: str, found: list[str]) -> RecordError:
    where = str(record.collection.path)
    if found:
        return RecordError(where, f'"{name}" may be {" or ".join(found)}', "write which")
    known = {f"{kind}/{slug}": slug for kind, ids in record.ids.items() for slug in ids}
    near = nearest(name, known) or nearest(name, known.values())
    remedy = f'did you mean "{near}"?' if near else "glost tally shows what there is"
    return RecordError(where, f'nothing here is called "{name}"', remedy)


def show(
    record: Record, thing: URIRef, as_of: date | None = None, inferred: Iterable[Triple] = ()
) -> Shown:
    """Show a thing, or a claim.

    Parameters
    ----------
    record
        The record.
    thing
        Its IRI; see `find_thing`.
    as_of
        The last day taken into account, inclusive.
    inferred
        What follows from what is believed.
    """
    belief = record.believed(as_of)
    graph = belief.worded
    own, named = _claims(record, thing, as_of)
    tell = {claim.iri: _tell(claim, graph, belief.withdrawn) for claim in (*own, *named)}
    kinds = sorted({label(kind, graph) for kind in belief.graph.objects(thing, RDF.type)})
    follows = sorted(
        {sentence(triple, graph) for triple in inferred if thing in (triple[0], triple[2])}
    )
    return Shown(
        iri=str(thing),
        name=label(thing, graph),
        kinds=tuple(kinds),
        told=tuple(tell[claim.iri] for claim in own),
        named=tuple(tell[claim.iri] for claim in named),
        follows=tuple(follows),
    )


def _claims(record: Record, thing: URIRef, as_of: date | None) -> tuple[list[Claim], list[Claim]]:
    """Find the claims about a thing, and those that name it, withdrawn ones included."""
    day = as_of.isoformat() if as_of else ""
    own, named = [], []
    for claim in record.claims:
        if day and claim.recorded_on > day:
            continue
        if claim.iri == thing:
            return [claim], []
        subjects = {str(s).partition("#")[0] for s, _, _ in claim.statements}
        objects = {str(o).partition("#")[0] for _, _, o in claim.statements}
        if str(thing) in subjects:
            own.append(claim)
        elif str(thing) in objects or claim.passage.source == thing:
            named.append(claim)
    return own, named


def _tell(claim: Claim, graph: Graph, withdrawn: Mapping[URIRef, Claim]) -> Told:
    correction = withdrawn.get(claim.iri)
    recorded = " on ".join(part for part in (claim.recorded_by, claim.recorded_on) if part)
    return Told(
        side=side(claim, graph),
        status="withdrawn" if correction else "current",
        why=_reason(correction, graph) if correction else "",
        recorded=recorded,
        note=claim.note,
    )


def _reason(correction: Claim, graph: Graph) -> str:
    """Say why a claim was withdrawn, and on what evidence."""
    reasons = [
        str(value) for _, predicate, value in correction.statements if predicate == GLOST.reason
    ]
    told = side(correction, graph)
    place = ", ".join(part for part in (told.source, told.passage) if part)
    return f"Withdrawn: {' '.join(reasons)} ({place})"
