"""What to look at next: the observation that would part the candidates best."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rdflib import URIRef
from rdflib.term import Node

from glost.names import GLOST
from glost.record.claims import Claim
from glost.trade.naming.known import Known
from glost.trade.naming.matching import compare
from glost.trade.naming.seen import TEXTS, Seen

_HOLLOW_ONLY = ("handle", "finial", "lid_fit")


@dataclass(frozen=True, slots=True)
class Look:
    """Something not yet looked at, and how far it would part the candidates.

    Attributes
    ----------
    observation
        What to look at: ``rim``, ``finial``, ``mark``.
    left
        How many candidates would be left on average, each being taken as equally likely.
    chance
        The share of the candidates' recorded pieces that show such a thing at all; 1 for a part
        that every piece of the form has.
    values
        What each candidate would show, in words; candidates of which it is not known are left out.
    claims
        The claims that say so.
    """

    observation: str
    left: float
    chance: float
    values: tuple[tuple[URIRef, str], ...]
    claims: tuple[Claim, ...]


_SHOWN = 4
_Values = dict[URIRef, tuple[frozenset[str], tuple[Claim, ...]]]


def looks(seen: Seen, candidates: Sequence[URIRef], known: Known) -> tuple[Look, ...]:
    """Rank what has not been looked at by how well it would part some candidates.

    Returns
    -------
    tuple of Look
        The most telling first; those that would part none are left out.
    """
    found = []
    for name, property_ in TEXTS.items():
        flat = seen.form is not None and known.is_flatware(seen.form)
        if not getattr(seen, name) and not (flat and name in _HOLLOW_ONLY):
            values = _described(candidates, property_, known)
            found.append(_look(name, values, candidates, _described_alike, 1.0, known))
    if not seen.marks and not seen.mark_read:
        values = _linked(candidates, GLOST.namesShape, known)
        chance = _chance(candidates, GLOST.bearsMark, values, known)
        found.append(_look("mark", values, candidates, _shared, chance, known))
    if not seen.number and seen.treatment is None:
        values = _linked(candidates, GLOST.homeShape, known)
        chance = _chance(candidates, GLOST.numberRead, {}, known)
        found.append(_look("number", values, candidates, _shared, chance, known))
    telling = [look for look in found if look.left < len(candidates)]
    return tuple(sorted(telling, key=lambda look: (round(look.left, 6), look.observation)))


def _described(candidates: Sequence[URIRef], property_: URIRef, known: Known) -> _Values:
    found = {}
    for shape in candidates:
        texts = known.texts(shape, property_)
        if texts:
            claims = tuple(claim for _, some in texts for claim in some)
            found[shape] = (frozenset(text for text, _ in texts), claims)
    return found


def _linked(candidates: Sequence[URIRef], property_: URIRef, known: Known) -> _Values:
    """Return the marks or treatments that belong to each candidate."""
    found = {}
    for shape in candidates:
        things = sorted(set(known.belief.graph.subjects(property_, shape)), key=str)
        if things:
            claims = known.claims(*((thing, property_, shape) for thing in things))
            found[shape] = (frozenset(map(str, things)), claims)
    return found


def _described_alike(a: frozenset[str], b: frozenset[str]) -> bool:
    return any(compare(one, other) != "differs" for one in a for other in b)


def _shared(a: frozenset[str], b: frozenset[str]) -> bool:
    return bool(a & b)


def _chance(
    candidates: Sequence[URIRef], property_: URIRef, telling: _Values, known: Known
) -> float:
    """Return the share of the candidates' recorded pieces that show such a thing."""
    pieces = [piece for shape in candidates for piece in known.pieces[shape]]
    wanted = {text for texts, _ in telling.values() for text in texts}

    def shows(piece: URIRef) -> bool:
        values: list[Node] = known.belief.values(piece, property_)
        return any(not wanted or str(value) in wanted for value in values)

    return sum(map(shows, pieces)) / len(pieces) if pieces else 1.0


def _look(
    name: str,
    values: _Values,
    candidates: Sequence[URIRef],
    alike: Callable[[frozenset[str], frozenset[str]], bool],
    chance: float,
    known: Known,
) -> Look:
    """Reckon how many candidates would be left, were each in turn the right one."""
    count = len(candidates)
    total = 0
    for right in candidates:
        if right not in values:
            total += count
            continue
        own = values[right][0]
        total += sum(c not in values or alike(own, values[c][0]) for c in candidates)
    left = chance * total / count + (1 - chance) * count if count else 0.0
    words = tuple((shape, _in_words(texts, known)) for shape, (texts, _) in sorted(values.items()))
    claims = tuple(claim for _, some in values.values() for claim in some)
    return Look(name, left, chance, words, claims)


def _in_words(texts: frozenset[str], known: Known) -> str:
    """Return descriptions as they stand, and the names of things; a few of them."""
    every = sorted(known.name(URIRef(t)) if known.belief.about(t) else f"“{t}”" for t in texts)
    more = f" and {len(every) - _SHOWN} more" if len(every) > _SHOWN else ""
    return ", ".join(every[:_SHOWN]) + more
