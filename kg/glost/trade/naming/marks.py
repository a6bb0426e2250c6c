"""What is stamped and painted on a piece against one shape: marks, number, glaze."""

from collections.abc import Iterable, Iterator

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.names import GLOST
from glost.record.claims import Claim, Triple
from glost.trade.codes import CodeError, decode
from glost.trade.crossings import STRENGTHS, Explanation, kinds
from glost.trade.naming.known import Known
from glost.trade.naming.matching import number_fits, wording_fits
from glost.trade.naming.points import NamingPoint, point
from glost.trade.naming.seen import Seen
from glost.words.labels import label


def marks_read(seen: Seen, known: Known) -> tuple[URIRef, ...]:
    """Return the marks seen: those known by id, else every one whose wording can be read so."""
    if seen.marks or not seen.mark_read:
        return seen.marks
    found = {mark for mark, wording in known.marks if wording_fits(seen.mark_read, wording)}
    return tuple(sorted(found))


def treatments_read(seen: Seen, known: Known) -> tuple[URIRef, ...]:
    """Return the recorded treatments whose number can be read as the one seen.

    A treatment known otherwise is the only one. If the pottery is known and has any such, those
    of other potteries are left out.
    """
    if seen.treatment is not None:
        return (seen.treatment,)
    if not seen.number:
        return ()
    found = {t for t, number in known.treatments if number_fits(seen.number, number)}
    if seen.pottery is not None:
        own = {t for t in found if seen.pottery in known.belief.values(t, GLOST.issuedBy)}
        found = own or found
    return tuple(sorted(found))


def marks(seen: Seen, shape: URIRef, known: Known) -> Iterator[NamingPoint]:
    """Judge each mark known by id, or the one mark that can be read as several."""
    found = marks_read(seen, known)
    if seen.marks:
        for mark in found:
            yield _mark((mark,), shape, known)
    elif found:
        yield _mark(found, shape, known)
    elif seen.mark_read:
        yield point("mark", "unread", f"No recorded mark can be read “{seen.mark_read}”.")


def _mark(some: tuple[URIRef, ...], shape: URIRef, known: Known) -> NamingPoint:
    """Judge a mark that may be any of some: the one that fits the shape best counts."""
    name = known.names(some) if len(some) == 1 else f"one of {known.names(some)}"
    named = [
        (m, GLOST.namesShape, s) for m in some for s in known.belief.values(m, GLOST.namesShape)
    ]
    own = [triple for triple in named if triple[2] == shape]
    borne = list(_borne(shape, GLOST.bearsMark, some, known))
    if own:
        return point("mark", "names-it", f"{name} names it.", known.claims(*own))
    if borne:
        says = f"{name} stands on recorded pieces of it"
        others = known.names(triple[2] for triple in named)
        says += f", though it names {others}." if others else "."
        return point("mark", "seen-on-it", says, known.claims(*named, *borne))
    foreign = [_foreign(mark, shape, known) for mark in some]
    if all(foreign):
        users = known.names(t[2] for found in foreign for t in found if t[1] == GLOST.usedBy)
        says = f"{name} was set in making and is that of {users}."
        claims = known.claims(*(triple for found in foreign for triple in found))
        return point("mark", "of-another-pottery", says, claims)
    if {triple[0] for triple in named} == set(some):
        says = f"{name} names {known.names(triple[2] for triple in named)}."
        return point("mark", "names-another", says, known.claims(*named))
    claims = known.claims(*((mark, RDF.type, GLOST.Mark) for mark in some))
    says = f"{name} names no shape and is recorded on no piece of it."
    return point("mark", "general", says, claims)


def _foreign(mark: URIRef, shape: URIRef, known: Known) -> list[Triple]:
    """Return why a mark cannot be on a shape, its maker being another; empty if it can."""
    users, makers = (
        known.belief.values(mark, GLOST.usedBy),
        known.belief.values(shape, GLOST.madeBy),
    )
    applied = known.belief.values(mark, GLOST.application)
    in_making = bool(applied) and all(known.speaks_of_making(way) for way in applied)
    if not users or not makers or not in_making or set(users) & set(makers):
        return []
    if any(known.succession(a, b) for a in users for b in makers):
        return []
    return [
        *((mark, GLOST.usedBy, user) for user in users),
        *((mark, GLOST.application, way) for way in applied),
        *((shape, GLOST.madeBy, maker) for maker in makers),
    ]


def _borne(
    shape: URIRef, property_: URIRef, values: Iterable[URIRef], known: Known
) -> Iterator[Triple]:
    """Yield what shows that recorded pieces of a shape bear any of some things."""
    wanted = set(values)
    for piece in known.pieces[shape]:
        for value in known.belief.values(piece, property_):
            if value in wanted:
                yield (piece, property_, value)
                yield (piece, GLOST.ofShape, shape)


def number(seen: Seen, shape: URIRef, known: Known) -> Iterator[NamingPoint]:
    """Judge the treatment number, which may be read as several."""
    treatments = treatments_read(seen, known)
    if not seen.number and not treatments:
        return
    if not treatments:
        yield _by_scheme(seen, shape, known)
        return
    homes: list[Triple] = [
        (t, GLOST.homeShape, s) for t in treatments for s in known.belief.values(t, GLOST.homeShape)
    ]
    yield _number(treatments, homes, shape, known, seen)


def _by_scheme(seen: Seen, shape: URIRef, known: Known) -> NamingPoint:
    """Judge a number that is not recorded by what the schemes of numbers make of it."""
    says = f"No recorded treatment has a number that can be read “{seen.number}”"
    try:
        readings = decode(seen.number, known.number_schemes(seen.pottery)).counting
    except CodeError:
        readings = ()
    told = {reading.things.get("shape"): reading for reading in readings}
    if shape in told:
        says += f"; by {label(told[shape].scheme.iri, known.graph)} it can be one of this shape."
        return point("number", "scheme-tells", says, told[shape].claims)
    if told and None not in told:
        others = known.names(other for other in told if other is not None)
        claims = dict.fromkeys(claim for reading in readings for claim in reading.claims)
        says += f"; by its scheme it is one of {others}."
        return point("number", "scheme-tells-another", says, claims)
    return point("number", "unread", f"{says}, and no scheme tells its shape.")


def _number(
    some: tuple[URIRef, ...], homes: list[Triple], shape: URIRef, known: Known, seen: Seen
) -> NamingPoint:
    name = known.names(some) if len(some) == 1 else f"one of {known.names(some)}"
    others = known.names(triple[2] for triple in homes)
    own = [triple for triple in homes if triple[2] == shape]
    if own:
        fit = known.names(triple[0] for triple in own)
        says = f"The number can be {fit}, whose home it is."
        return point("number", "home", says, known.claims(*own))
    shown: list[Triple] = [(t, GLOST.appearsOn, shape) for t in some]
    shown = [t for t in shown if known.claims(t)]
    shown += _borne(shape, GLOST.bearsTreatment, some, known)
    if shown:
        says = f"The number {name} is recorded on it; its home is {others or 'not said'}."
        return point("number", "seen-on-it", says, known.claims(*homes, *shown))
    crossed = _crossed(homes, shape, known, seen)
    if crossed is not None:
        explanation, told, claims = crossed
        says = f"The number {name} has its home on {others}; what may explain it: {told}."
        kind = f"crossing-{STRENGTHS[explanation.strength]}"
        return point("number", kind, says, claims)
    if homes:
        says = f"The number {name} has its home on {others}."
        return point("number", "another-home", says, known.claims(*homes))
    claims = known.claims(*((t, RDF.type, GLOST.Treatment) for t in some))
    return point("number", "no-home", f"The number {name} is given no home shape.", claims)


def _crossed(
    homes: list[Triple], shape: URIRef, known: Known, seen: Seen
) -> tuple[Explanation, str, tuple[Claim, ...]] | None:
    """Find the strongest explanation on record of a number on another shape than its home."""
    form = None if seen.form is None else str(seen.form)
    found = []
    for home in homes:
        treatment, _, own = map(str, home)
        for each in known.crossed.explanations(treatment, own, str(shape), form):
            claims = known.kept(each.claims)
            if claims:
                told = each.words
                told += f" ({known.name(each.reissue)})" if each.reissue else ""
                found.append((each, told, (*known.claims(home), *claims)))
    order = kinds()
    return min(found, key=lambda f: (-f[0].strength, order[f[0].kind][0], f[1]), default=None)


def glaze(seen: Seen, shape: URIRef, known: Known) -> Iterator[NamingPoint]:
    """Judge a coloured glaze."""
    if seen.glaze is None:
        return
    name = label(seen.glaze, known.graph)
    offered = [
        (seen.glaze, GLOST.offeredOn, s) for s in known.belief.values(seen.glaze, GLOST.offeredOn)
    ]
    own = [triple for triple in offered if triple[2] == shape]
    borne = list(_borne(shape, GLOST.bearsGlaze, (seen.glaze,), known))
    if own:
        yield point("glaze", "offered", f"{name} was offered on it.", known.claims(*own))
    elif borne:
        yield point(
            "glaze", "seen-on-it", f"{name} is recorded on pieces of it.", known.claims(*borne)
        )
    elif offered:
        says = f"{name} was offered on {known.names(triple[2] for triple in offered)}."
        yield point("glaze", "offered-on-others", says, known.claims(*offered))
    else:
        yield point("glaze", "unsaid", f"No source says on which shapes {name} was offered.")
