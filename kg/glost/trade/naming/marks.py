"""What is stamped and painted on a piece against one shape: marks, number, glaze."""

from collections.abc import Iterable, Iterator

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.names import GLOST
from glost.record.claims import Claim, Triple
from glost.trade.crossings import STRENGTHS, Explanation, kinds
from glost.trade.naming.known import Known
from glost.trade.naming.points import NamingPoint, point
from glost.trade.naming.sight import Borne, Sight


def marks(sight: Sight, shape: URIRef) -> Iterator[NamingPoint]:
    """Judge each mark known by id, or the one mark that can be read as several."""
    read = sight.seen.mark_read
    for some in sight.mark_groups:
        yield _mark(some, shape, sight)
    if read and not sight.mark_groups:
        says = f"No recorded mark can be read “{read}”."
        yield point("mark", "unread", lambda: (says, ()))


def _mark(some: Borne, shape: URIRef, sight: Sight) -> NamingPoint:
    """Judge a mark that may be any of some: the one that fits the shape best counts."""
    known = sight.known
    if own := some.home.get(shape):
        return point("mark", "names-it", lambda: (f"{some.named} names it.", known.claims(*own)))
    if borne := some.borne.get(shape):

        def seen_on_it() -> tuple[str, Iterable[Claim]]:
            says = f"{some.named} stands on recorded pieces of it"
            others = some.homes_named
            says += f", though it names {others}." if others else "."
            return says, known.claims(*some.homes, *borne)

        return point("mark", "seen-on-it", seen_on_it)
    if all(_foreign(mark, shape, sight) for mark in some.some):

        def of_another() -> tuple[str, Iterable[Claim]]:
            foreign = [triple for mark in some.some for triple in _foreign(mark, shape, sight)]
            users = known.names(triple[2] for triple in foreign if triple[1] == GLOST.usedBy)
            says = f"{some.named} was set in making and is that of {users}."
            return says, known.claims(*foreign)

        return point("mark", "of-another-pottery", of_another)
    if {triple[0] for triple in some.homes} == set(some.some):
        return point(
            "mark",
            "names-another",
            lambda: (f"{some.named} names {some.homes_named}.", known.claims(*some.homes)),
        )
    return point(
        "mark",
        "general",
        lambda: (
            f"{some.named} names no shape and is recorded on no piece of it.",
            known.claims(*((mark, RDF.type, GLOST.Mark) for mark in some.some)),
        ),
    )


def _foreign(mark: URIRef, shape: URIRef, sight: Sight) -> list[Triple]:
    """Return why a mark cannot be on a shape, its maker being another; empty if it can."""
    set_in_making, makers = sight.in_making(mark), sight.known.shape(shape).makers
    if set_in_making is None or not makers or set(set_in_making.users) & set(makers):
        return []
    if any(sight.follows(a, b) for a in set_in_making.users for b in makers):
        return []
    return [*set_in_making.grounds, *((shape, GLOST.madeBy, maker) for maker in makers)]


def number(sight: Sight, shape: URIRef) -> Iterator[NamingPoint]:
    """Judge the treatment number, which may be read as several."""
    if sight.treatment.some:
        yield _number(sight, shape)
    elif sight.seen.number:
        yield _by_scheme(sight, shape)


def _by_scheme(sight: Sight, shape: URIRef) -> NamingPoint:
    """Judge a number that is not recorded by what the schemes of numbers make of it."""
    known, read = sight.known, sight.seen.number
    unread = f"No recorded treatment has a number that can be read “{read}”"
    told = sight.told_by_scheme
    if shape in told:

        def tells() -> tuple[str, Iterable[Claim]]:
            scheme = known.name(told[shape].scheme.iri)
            return f"{unread}; by {scheme} it can be one of this shape.", told[shape].claims

        return point("number", "scheme-tells", tells)
    if told and None not in told:

        def tells_another() -> tuple[str, Iterable[Claim]]:
            others = known.names(other for other in told if other is not None)
            claims = dict.fromkeys(c for reading in sight.readings for c in reading.claims)
            return f"{unread}; by its scheme it is one of {others}.", claims

        return point("number", "scheme-tells-another", tells_another)
    return point("number", "unread", lambda: (f"{unread}, and no scheme tells its shape.", ()))


def _number(sight: Sight, shape: URIRef) -> NamingPoint:
    known, some = sight.known, sight.treatment
    if own := some.home.get(shape):

        def home() -> tuple[str, Iterable[Claim]]:
            fit = known.names(triple[0] for triple in own)
            return f"The number can be {fit}, whose home it is.", known.claims(*own)

        return point("number", "home", home)
    if shown := (*sight.appearing.get(shape, ()), *some.borne.get(shape, ())):

        def seen_on_it() -> tuple[str, Iterable[Claim]]:
            says = f"The number {some.named} is recorded on it; its home is "
            says += f"{some.homes_named or 'not said'}."
            return says, known.claims(*some.homes, *shown)

        return point("number", "seen-on-it", seen_on_it)
    if crossed := sight.crossed.get(str(shape)):
        strength = max(explanation.strength for _, explanation in crossed)

        def crossing() -> tuple[str, Iterable[Claim]]:
            told, claims = _strongest(crossed, known)
            says = f"The number {some.named} has its home on {some.homes_named}; "
            return f"{says}what may explain it: {told}.", claims

        return point("number", f"crossing-{STRENGTHS[strength]}", crossing)
    if some.homes:
        return point(
            "number",
            "another-home",
            lambda: (
                f"The number {some.named} has its home on {some.homes_named}.",
                known.claims(*some.homes),
            ),
        )
    return point(
        "number",
        "no-home",
        lambda: (
            f"The number {some.named} is given no home shape.",
            known.claims(*((t, RDF.type, GLOST.Treatment) for t in some.some)),
        ),
    )


def _strongest(
    crossed: Iterable[tuple[Triple, Explanation]], known: Known
) -> tuple[str, tuple[Claim, ...]]:
    """Tell the strongest explanation on record of a number on another shape than its home."""
    found = []
    for home, each in crossed:
        told = each.words
        told += f" ({known.name(each.reissue)})" if each.reissue else ""
        found.append((each, told, (*known.claims(home), *known.kept(each.claims))))
    order = kinds()
    _, told, claims = min(found, key=lambda f: (-f[0].strength, order[f[0].kind][0], f[1]))
    return told, claims


def glaze(sight: Sight, shape: URIRef) -> Iterator[NamingPoint]:
    """Judge a coloured glaze."""
    some, known = sight.glaze, sight.known
    if not some.some:
        return
    if own := some.home.get(shape):
        yield point(
            "glaze", "offered", lambda: (f"{some.named} was offered on it.", known.claims(*own))
        )
    elif borne := some.borne.get(shape):
        yield point(
            "glaze",
            "seen-on-it",
            lambda: (f"{some.named} is recorded on pieces of it.", known.claims(*borne)),
        )
    elif some.homes:
        yield point(
            "glaze",
            "offered-on-others",
            lambda: (f"{some.named} was offered on {some.homes_named}.", known.claims(*some.homes)),
        )
    else:
        yield point(
            "glaze",
            "unsaid",
            lambda: (f"No source says on which shapes {some.named} was offered.", ()),
        )
