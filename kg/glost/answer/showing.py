"""One thing, and every claim about it with what it rests on."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any
from urllib.parse import quote, unquote

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.findings import Side
from glost.record.claims import Claim, Triple
from glost.record.errors import RecordError, RecordErrors
from glost.words.labels import Words, label
from glost.words.lookup import names_of
from glost.words.sentences import says, sentence, side, withdrawal

if TYPE_CHECKING:
    from glost.record.belief import Belief
    from glost.record.store import Recorded


@dataclass(frozen=True, slots=True)
class Lost:
    """What was withdrawn of a claim, by itself.

    Attributes
    ----------
    says
        The statements withdrawn, in words.
    why
        The reason the correction gives, and on what evidence; its id and day.
    """

    says: str
    why: str


@dataclass(frozen=True, slots=True)
class Told:
    """One claim as shown.

    Attributes
    ----------
    side
        What it says, less what was withdrawn of it by itself; its source, passage, file and row.
    status
        ``current`` or ``withdrawn``.
    why
        For a withdrawn claim, the reason its correction gives, its id and day.
    recorded
        Who recorded it and when; empty if not said.
    note
        Its remark; empty if none.
    lost
        What was withdrawn of it by itself.
    """

    side: Side
    status: str
    why: str = ""
    recorded: str = ""
    note: str = ""
    lost: tuple[Lost, ...] = ()


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


def _told_dict(told: Told) -> dict[str, Any]:
    side = {name: getattr(told.side, name) for name in Side.__dataclass_fields__}
    rest = {"status": told.status, "why": told.why, "recorded": told.recorded, "note": told.note}
    return {**side, **rest, "withdrawn": [{"says": e.says, "why": e.why} for e in told.lost]}


def find_thing(record: "Recorded", name: str, *kinds: str) -> URIRef:
    """Find a thing by IRI, id, ``kind/id``, a name or number, or a part of one that only it has.

    Parameters
    ----------
    record
        The record.
    name
        What the user calls it; see `glost.words.lookup`.
    kinds
        The kinds of thing it may be (``shape``); any if none is given.

    Raises
    ------
    RecordErrors
        If nothing is called that, naming what comes nearest; if it may be several, naming them; if
        it is of another kind.
    """
    exact = _by_id(record, name, kinds)
    if len(exact) == 1:
        return URIRef(exact[0])
    names = names_of(record)
    found = names.find(name, kinds)
    if len(found) == 1:
        return URIRef(found[0])
    if not found and not kinds and record.claim(name):
        return URIRef(f"{record.base}claim/{name}")
    raise RecordErrors([_not_found(record, name, found, kinds)])


def _by_id(record: "Recorded", name: str, kinds: tuple[str, ...]) -> list[str]:
    """Find things by IRI, ``kind/id`` or id, for which nothing needs to be named."""
    kind, slash, slug = name.removeprefix(record.base).partition("/")
    if slash and (not kinds or kind in kinds):
        there = unquote(slug) in record.ids.get(kind, ()) or (
            kind == "claim" and record.claim(slug)
        )
        return [f"{record.base}{kind}/{quote(unquote(slug), safe='')}"] if there else []
    ids = {kind: record.ids.get(kind, frozenset()) for kind in kinds} or record.ids
    return [
        f"{record.base}{kind}/{quote(name, safe='')}" for kind in sorted(ids) if name in ids[kind]
    ]


def _not_found(
    record: "Recorded", name: str, found: tuple[str, ...], kinds: tuple[str, ...]
) -> RecordError:
    where, names = str(record.collection.path), names_of(record)
    if found:
        return RecordError(where, f'"{name}" may be {names.several(found)}', "write which")
    wanted = " or ".join(kinds)
    others = names.find(name, whole=True) if kinds else ()
    if len(others) == 1:
        message = f'"{name}" is {names.told(others[0])}'
        return RecordError(where, message, f"name a {wanted}")
    near = names.instead(name, kinds)
    what = f'no {wanted} is called "{name}"' if kinds else f'nothing here is called "{name}"'
    return RecordError(where, what, near or "glost tally shows what there is")


def show(
    record: "Recorded",
    thing: URIRef,
    as_of: date | None = None,
    inferred: Iterable[Triple] = (),
    words: Words | None = None,
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
    words
        What things are called, if that is known already.
    """
    belief = record.believed(as_of)
    words = words or Words(belief.worded)
    own, named = record.speaking_of(thing, as_of)
    tell = {claim.iri: _tell(claim, words, belief) for claim in (*own, *named)}
    kinds = sorted({label(kind, words) for kind in belief.graph.objects(thing, RDF.type)})
    follows = sorted(
        {sentence(triple, words) for triple in inferred if thing in (triple[0], triple[2])}
    )
    return Shown(
        iri=str(thing),
        name=label(thing, words),
        kinds=tuple(kinds),
        told=tuple(tell[claim.iri] for claim in own),
        named=tuple(tell[claim.iri] for claim in named),
        follows=tuple(follows),
    )


def _tell(claim: Claim, words: Words, belief: "Belief") -> Told:
    correction = belief.withdrawn.get(claim.iri)
    recorded = " on ".join(part for part in (claim.recorded_by, claim.recorded_on) if part)
    return Told(
        side=side(claim, words, belief.kept(claim)),
        status="withdrawn" if correction else "current",
        why=_reason(correction, words) if correction else "",
        recorded=recorded,
        note=claim.note,
        lost=tuple(
            Lost(says(part.statements, words), _reason(part.correction, words))
            for part in belief.parts.get(claim.iri, ())
        ),
    )


def _reason(correction: Claim, words: Words) -> str:
    """Say why a claim was withdrawn, on what evidence, by which correction and when."""
    told = side(correction, words)
    place = ", ".join(part for part in (told.source, told.passage) if part)
    on = f", {correction.recorded_on}" if correction.recorded_on else ""
    return f"{withdrawal(correction)} ({place}) [correction {correction.id}{on}]"
