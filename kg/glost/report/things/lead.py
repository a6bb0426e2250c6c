"""What a person wants to know of a thing first: what, when, by whom, and why one should care."""

import csv
from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import cache
from importlib.resources import files

from rdflib import URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.names import DATED, GLOST
from glost.record.claims import Claim, Triple
from glost.record.dates import read as read_date
from glost.report.things.basis import ThingBasis, Whole
from glost.report.things.dates import DatedPoint, dated, ordered, under
from glost.report.things.said import Said, capital, literal
from glost.report.things.statements import described, kinds_of
from glost.report.tree import Ground, Ref, Rule, Sentence, Statement
from glost.words.english import count
from glost.words.labels import label
from glost.words.spans import between, no_later

_NAMED = 4
_COUNTED = Rule("Counted from the record")
_SETTLED = Rule("Where sources contradict one another, what is dearest to set aside is kept")


@cache
def _patterns() -> dict[str, tuple[tuple[URIRef, str], ...]]:
    """Read by which properties a kind of thing is introduced, and the words before each value."""
    text = files("glost.report.things").joinpath("leads.csv").read_text(encoding="utf-8")
    found: dict[str, list[tuple[URIRef, str]]] = defaultdict(list)
    for row in csv.DictReader(text.splitlines()):
        if row["before"]:
            found[row["kind"]].append((GLOST[row["property"]], row["before"]))
    return {kind: tuple(some) for kind, some in found.items()}


@cache
def _kinds() -> dict[str, tuple[URIRef, ...]]:
    """Read by which properties it is told what a thing is, beyond its class."""
    text = files("glost.report.things").joinpath("leads.csv").read_text(encoding="utf-8")
    rows = [row for row in csv.DictReader(text.splitlines()) if not row["before"]]
    return {row["kind"]: (GLOST[row["property"]],) for row in rows}


def lead(
    basis: ThingBasis, said: Said, thing: URIRef, kinds: tuple[str, ...]
) -> tuple[Statement, ...]:
    """Return the first sentences of a report."""
    found = ordered(dated(basis, thing))
    first = (
        _piece(basis, said, thing, found)
        if "Piece" in kinds
        else _thing(basis, said, thing, kinds, found)
    )
    return (
        *first,
        *_disputed(basis, said, thing, found),
        *_caring(basis, said, thing, kinds, found),
    )


# -- what, when and by whom --------------------------------------------------------------------


def _values(basis: ThingBasis, thing: URIRef, property_: URIRef) -> list[Node]:
    return sorted(set(basis.belief.graph.objects(thing, property_)), key=str)


def _introduced(
    basis: ThingBasis, said: Said, thing: URIRef, kinds: tuple[str, ...]
) -> tuple[list[str | Ref], list[Claim]]:
    """Return the words that introduce a thing after its kind, and the claims under them."""
    parts: list[str | Ref] = []
    claims: list[Claim] = []
    for kind in kinds:
        for property_, before in _patterns().get(kind, ()):
            values = _values(basis, thing, property_)[:3]
            for at, value in enumerate(values):
                parts += [f" {before} " if at == 0 else " and ", said.value(value)]
                claims += basis.belief.rests_on((thing, property_, value))
    return parts, claims


def _thing(
    basis: ThingBasis,
    said: Said,
    thing: URIRef,
    kinds: tuple[str, ...],
    found: dict[str, DatedPoint],
) -> Iterator[Statement]:
    of = kinds_of(basis, thing)
    names, of_kind = _named(basis, thing, kinds, of)
    parts, claims = _introduced(basis, said, thing, kinds)
    claims += of_kind
    if names and claims:
        words = (capital(names), *parts, *_run(found), ".")
        grounds: tuple[Ground, ...] = said.grounds(claims)
        grounds += tuple(ground for each in found.values() for ground in under(said, each))
        yield Statement(words, grounds, _status(found))
    yield from _described(basis, said, thing)


def _named(
    basis: ThingBasis, thing: URIRef, kinds: tuple[str, ...], of: Sequence[Node]
) -> tuple[str, list[Claim]]:
    """Say what a thing is, as closely as a property of its kind tells, and by which claims."""
    told = [(RDF.type, kind) for kind in of]
    for kind in kinds:
        for property_ in _kinds().get(kind, ()):
            closer = [(property_, value) for value in _values(basis, thing, property_)]
            told = closer or told
    claims = [c for pair in told for c in basis.belief.rests_on((thing, *pair))]
    return " and ".join(label(value, basis.words) for _, value in told), claims


def _status(found: dict[str, DatedPoint]) -> str:
    return "disputed" if any(each.bounds.disputed for each in found.values()) else ""


def _run(found: dict[str, DatedPoint]) -> Iterator[str]:
    """Say from when to when a thing ran, or when a source came out."""
    begin, end, out = (found.get(name) for name in ("begin", "end", ""))
    told = [
        f"{verb} {between(each.span)}"
        for verb, each in (("begun", begin), ("ended", end), ("dated", out))
        if each is not None and each.span != (None, None)
    ]
    if told:
        yield ", " + ", ".join(told)


def _described(basis: ThingBasis, said: Said, thing: URIRef) -> Iterator[Statement]:
    """Tell the longest description of a thing, as its source has it."""
    triple = described(basis, thing)
    if triple is not None:
        yield Statement((str(triple[2]),), said.stated(triple))


def _piece(
    basis: ThingBasis, said: Said, thing: URIRef, found: dict[str, DatedPoint]
) -> Iterator[Statement]:
    made, decorated = found.get("made"), found.get("decorated")
    parts, claims = _introduced(basis, said, thing, ("Piece",))
    for kind in kinds_of(basis, thing):
        claims += basis.belief.rests_on((thing, RDF.type, kind))
    words: list[str | Ref] = []
    grounds: list[Ground] = [*said.grounds(claims)]
    known = made is not None and made.span != (None, None)
    if made is not None and known:
        code, read = _by_code(basis, said, thing, made)
        words += [f"Made {between(made.span)}", *code]
        grounds += (*under(said, made), *read)
    else:
        words += ["Made"] if parts else []
    words += parts
    if decorated is not None and decorated.span != (None, None):
        words.append(f"{'; d' if words else 'D'}ecorated {_decorated(made, decorated)}")
        grounds += under(said, decorated)
    if words and grounds:
        yield Statement((*words, "."), tuple(dict.fromkeys(grounds)), _status(found))
    yield from _shows(basis, said, thing)
    yield from _described(basis, said, thing)


def _decorated(made: DatedPoint | None, decorated: DatedPoint) -> str:
    """Say when a piece was decorated; counted from its making if nothing else bounds it."""
    first, last = decorated.span
    if made is not None and made.span == decorated.span:
        return "at the same time, as far as is known"
    if made is not None and first is not None and first == made.span[0]:
        return f"between then and {no_later(last)}" if last is not None else "then or later"
    return between(decorated.span)


def _by_code(
    basis: ThingBasis, said: Said, thing: URIRef, made: DatedPoint
) -> tuple[list[str | Ref], tuple[Ground, ...]]:
    """Say by which date code a piece is dated, if one tells the very days."""
    for code in basis.codes.get(str(thing), ()) if isinstance(basis, Whole) else ():
        for reading in code.decoded.counting:
            if (reading.earliest, reading.latest) == made.span and code.point in ("made", ""):
                applied = [
                    label(value, basis.words)
                    for value in _values(basis, code.mark, GLOST.application)
                ]
                how = f", {' and '.join(applied)}" if applied else ""
                words: list[str | Ref] = [
                    f", by the date code {code.decoded.text} of ",
                    said.ref(code.mark), f"{how},",
                ]  # fmt: skip
                return words, said.grounds([*code.claims, *reading.claims])
    return [], ()


def _shows(basis: ThingBasis, said: Said, thing: URIRef) -> Iterator[Statement]:
    """Name the decals that a piece shows, seen on it or by its treatment."""
    found: dict[Node, list[Claim]] = {}
    graph = basis.belief.graph
    for decal in _values(basis, thing, GLOST.bearsDecal):
        found.setdefault(decal, []).extend(basis.belief.rests_on((thing, GLOST.bearsDecal, decal)))
    for treatment in _values(basis, thing, GLOST.bearsTreatment):
        for decal in sorted(set(graph.objects(treatment, GLOST.usesDecal)), key=str):
            found.setdefault(decal, []).extend(
                [
                    *basis.belief.rests_on((thing, GLOST.bearsTreatment, treatment)),
                    *basis.belief.rests_on((treatment, GLOST.usesDecal, decal)),
                ]
            )
    if found:
        words: list[str | Ref] = ["Shows the decal " if len(found) == 1 else "Shows the decals "]
        for at, decal in enumerate(found):
            words += [" and " if at else "", said.ref(decal)]
        claims = [claim for some in found.values() for claim in some]
        yield Statement((*words, "."), said.grounds(claims))


# -- who disagrees -----------------------------------------------------------------------------


_HAS = {"": "dated", "begin": "begin", "end": "end"}


def _disputed(
    basis: ThingBasis, said: Said, thing: URIRef, found: dict[str, DatedPoint]
) -> Iterator[Statement]:
    """Say which sources date a thing otherwise, and what else does not go with its dates."""
    words: list[str | Ref] = []
    grounds: list[Ground] = []
    for each in found.values():
        for triple in each.stated if each.disputed else ():
            if not each.fits(str(triple[2])):
                words += _dating(said, words, triple, ("it",))
                grounds += said.resting(triple)
    for triple in _of_others(basis, thing):
        other = said.ref(URIRef(str(triple[0]).partition("#")[0]))
        words += _dating(said, words, triple, (other,))
        grounds += said.resting(triple)
    if words:
        if _seen(thing, found):
            words.append("; what the piece itself shows is preferred")
        rules: tuple[Ground, ...] = (_SETTLED,)
        yield Statement(("Disputed: ", *words, "."), (*dict.fromkeys(grounds), *rules))


def _dating(
    said: Said, before: Sequence[object], triple: Triple, what: tuple[str | Ref]
) -> Iterator[str | Ref]:
    """Say which sources date something: ``A book and a letter have it end in 1927``."""
    if before:
        yield "; "
    sources = [passage.source for passage in said.resting(triple)]
    for at, source in enumerate(dict.fromkeys(sources)):
        yield " and " if at else ""
        yield source
    name = str(triple[0]).partition("#")[2]
    yield " has " if len(set(sources)) == 1 else " have "
    yield from what
    words = literal(triple[2])
    on = "in " if words[:1].isdigit() or words[:1].isupper() else ""
    yield f" {_HAS.get(name, name)} {on}{words}"


def _seen(thing: URIRef, found: dict[str, DatedPoint]) -> bool:
    """Say whether a piece is dated by what is seen on it, with what clashes set aside."""
    made = found.get("made")
    claims = [] if made is None else [c for argument in made.arguments for c in argument.claims]
    return bool(claims) and all(claim.passage.source == thing for claim in claims)


def _of_others(basis: ThingBasis, thing: URIRef) -> tuple[Triple, ...]:
    """Return dates of other things that a piece's own contradict."""
    if (thing, RDF.type, GLOST.Piece) not in basis.belief.graph:
        return ()
    own = f"{thing}#"
    told: dict[Triple, None] = {}
    for conflict in basis.conflicts.get(str(thing), ()) if isinstance(basis, Whole) else ():
        for argument in (conflict.not_before, conflict.not_after):
            if not any(str(step.reached).startswith(own) for step in argument.steps):
                told.update({g.told: None for g in argument.grounds if g.told[1] in DATED})
    return tuple(told)


# -- why one should care -----------------------------------------------------------------------


def _caring(
    basis: ThingBasis,
    said: Said,
    thing: URIRef,
    kinds: tuple[str, ...],
    found: dict[str, DatedPoint],
) -> Iterator[Statement]:
    if "Piece" in kinds:
        yield from _witness(basis, said, thing, found.get("made"))
        yield from _only(basis, said, thing)
    if "Shape" in kinds or "Treatment" in kinds or "Mark" in kinds:
        yield from _pieces(basis, said, thing, kinds)
    if isinstance(basis, Whole):
        yield from _crossed(basis, said, thing)


def _witness(
    basis: ThingBasis, said: Said, thing: URIRef, made: DatedPoint | None
) -> Iterator[Statement]:
    """Say of a piece that was made after every stated end of its shape how many others were."""
    graph = basis.belief.graph
    first = made.span[0] if made is not None else None
    if made is None or first is None:
        return
    for shape in _values(basis, thing, GLOST.ofShape):
        end = URIRef(f"{shape}#end")
        stated = [(end, GLOST.date, value) for value in _values(basis, end, GLOST.date)]
        last = max((read_date(str(t[2])).latest or 10**7 for t in stated), default=None)
        if last is None or first <= last:
            continue
        others = [
            other
            for other in sorted(set(graph.subjects(GLOST.ofShape, shape)), key=str)
            if other != thing and (basis.times.bounds(URIRef(f"{other}#made")).earliest or 0) > last
        ]
        claims = [c for t in stated for c in basis.belief.rests_on(t)]
        claims += basis.belief.rests_on((thing, GLOST.ofShape, shape))
        after = f" was made after {no_later(last)}."
        words: Sentence = (
            "It is the only witness on record that " if not others
            else f"It is one of {len(others) + 1} witnesses on record that ",
            said.ref(shape), after,
        )  # fmt: skip
        grounds = (*said.grounds(claims), *under(said, made))
        yield Statement(words, tuple(dict.fromkeys(grounds)))


def _only(basis: ThingBasis, said: Said, thing: URIRef) -> Iterator[Statement]:
    """Say of which treatments a piece is the only one on record."""
    graph = basis.belief.graph
    for treatment in _values(basis, thing, GLOST.bearsTreatment):
        bearing = set(graph.subjects(GLOST.bearsTreatment, treatment))
        if bearing == {thing}:
            claims = basis.belief.rests_on((thing, GLOST.bearsTreatment, treatment))
            words = ("It is the only piece on record with ", said.ref(treatment), ".")
            yield Statement(words, (*said.grounds(claims), _COUNTED))


_BORNE = {"Shape": GLOST.ofShape, "Treatment": GLOST.bearsTreatment, "Mark": GLOST.bearsMark}


def _pieces(
    basis: ThingBasis, said: Said, thing: URIRef, kinds: tuple[str, ...]
) -> Iterator[Statement]:
    """Say how many pieces of a thing are on record, and the earliest and the latest of them."""
    graph = basis.belief.graph
    property_ = next(_BORNE[kind] for kind in kinds if kind in _BORNE)
    pieces = sorted(
        piece
        for piece in set(graph.subjects(property_, thing))
        if isinstance(piece, URIRef) and (piece, RDF.type, GLOST.Piece) in graph
    )
    if not pieces:
        return
    words: list[str | Ref] = [f"{count(len(pieces), 'piece')} on record"]
    told = pieces
    first, last = _apart(basis, pieces)
    if first is not None and last is not None:
        early, late = (basis.times.bounds(URIRef(f"{piece}#made"))[:2] for piece in (first, last))
        words += [
            ", the earliest made ", Ref(str(first), between(early)), ", the latest ",
            Ref(str(last), between(late)),
        ]  # fmt: skip
        told = [first, last]
    claims = [c for piece in told for c in basis.belief.rests_on((piece, property_, thing))]
    yield Statement((*words, "."), (*said.grounds(claims[:_NAMED]), _COUNTED))


def _apart(basis: ThingBasis, pieces: Sequence[URIRef]) -> tuple[URIRef | None, URIRef | None]:
    """Return the earliest and the latest of some pieces, if one is certainly before the other."""
    spans = {piece: basis.times.bounds(URIRef(f"{piece}#made")) for piece in pieces}
    ended = [p for p in pieces if spans[p].latest is not None]
    begun = [p for p in pieces if spans[p].earliest is not None]
    if not ended or not begun:
        return None, None
    first = min(ended, key=lambda p: (spans[p].latest or 0, p))
    last = max(begun, key=lambda p: (spans[p].earliest or 0, p))
    apart = (spans[first].latest or 0) < (spans[last].earliest or 0)
    return (first, last) if apart else (None, None)


def _crossed(basis: Whole, said: Said, thing: URIRef) -> Iterator[Statement]:
    """Say to which shapes a treatment crossed, or from which, without the proof."""
    found = basis.crossings_of(str(thing))
    if not found:
        return
    if any(each.treatment == thing for each in found):
        words: list[str | Ref] = ["Seen away from its home shape, on "]
        others = [each.seen_on for each in found]
    else:
        words = ["Shares treatments with "]
        others = [each.seen_on if each.home == thing else each.home for each in found]
    for at, other in enumerate(dict.fromkeys(others)):
        words += [" and " if at else "", said.ref(other)]
    claims = [claim for each in found for claim in each.claims]
    grounds = said.grounds(claims) or (_COUNTED,)
    yield Statement((*words, "."), (*grounds, _COUNTED))
