"""What to look at next: the observation that would part the candidates best."""

from collections import defaultdict
from collections.abc import Callable, Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeVar

from rdflib import URIRef
from rdflib.term import Node

from glost.names import GLOST
from glost.record.claims import Claim
from glost.trade.naming.known import Known
from glost.trade.naming.matching import stems, words
from glost.trade.naming.seen import TEXTS, Seen

_HOLLOW_ONLY = ("handle", "finial", "lid_fit")
_SHOWN = 4

Sign = TypeVar("Sign", bound=Hashable)

_Shows = tuple[tuple[URIRef, str], ...]
_Telling = Callable[[], tuple[_Shows, tuple[Claim, ...]]]


@dataclass(frozen=True)
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
    """

    observation: str
    left: float
    chance: float
    _telling: _Telling = field(repr=False, compare=False)

    @cached_property
    def _told(self) -> tuple[_Shows, tuple[Claim, ...]]:
        return self._telling()

    @property
    def values(self) -> _Shows:
        """What each candidate would show, in words; those of which it is not known are left out."""
        return self._told[0]

    @property
    def claims(self) -> tuple[Claim, ...]:
        """The claims that say so."""
        return self._told[1]


def looks(seen: Seen, candidates: Sequence[URIRef], known: Known) -> tuple[Look, ...]:
    """Rank what has not been looked at by how well it would part some candidates.

    Returns
    -------
    tuple of Look
        The most telling first; those that would part none are left out.
    """
    found = []
    flat = seen.form is not None and known.is_flatware(seen.form)
    for name, property_ in TEXTS.items():
        if not getattr(seen, name) and not (flat and name in _HOLLOW_ONLY):
            found.append(_described(name, property_, candidates, known))
    if not seen.marks and not seen.mark_read:
        found.append(_linked("mark", GLOST.namesShape, GLOST.bearsMark, candidates, known))
    if not seen.number and seen.treatment is None:
        found.append(_linked("number", GLOST.homeShape, GLOST.numberRead, candidates, known))
    telling = [look for look in found if look.left < len(candidates)]
    return tuple(sorted(telling, key=lambda look: (round(look.left, 6), look.observation)))


def _described(name: str, property_: URIRef, candidates: Sequence[URIRef], known: Known) -> Look:
    """Look at a part that sources describe: descriptions that share a word are alike."""
    texts = {each: known.shape(each).texts[property_] for each in candidates}
    values = {shape: some for shape, some in texts.items() if some}
    signs = {
        shape: {word for text in some for word in words(str(text))}
        for shape, some in values.items()
    }
    total = _total(candidates, signs, stems)

    def telling() -> tuple[_Shows, tuple[Claim, ...]]:
        claims = (c for shape in values for _, some in known.texts(shape, property_) for c in some)
        return _in_words(values, lambda text: f"“{text}”"), tuple(claims)

    return _look(name, total, len(candidates), 1.0, telling)


def _linked(
    name: str, belongs: URIRef, bears: URIRef, candidates: Sequence[URIRef], known: Known
) -> Look:
    """Look at the marks or treatments that belong to each candidate: those that share are alike."""
    linked = known.linked(belongs)
    values = {each: linked[each] for each in candidates if each in linked}
    total = _total(candidates, values, lambda thing: (thing,))
    telling_things = {thing for some in values.values() for thing in some}
    showing: Collection[Node | None] = known.linking(bears)
    if bears == GLOST.bearsMark and telling_things:
        pieces = known.linked(bears)
        showing = {piece for thing in telling_things for piece in pieces.get(thing, ())}
    recorded = [piece for shape in candidates for piece in known.shape(shape).pieces]
    chance = sum(piece in showing for piece in recorded) / len(recorded) if recorded else 1.0

    def telling() -> tuple[_Shows, tuple[Claim, ...]]:
        said = (((t, belongs, shape) for t in things) for shape, things in values.items())
        return _in_words(values, known.name), tuple(c for some in said for c in known.claims(*some))

    return _look(name, total, len(candidates), chance, telling)


def _total(
    candidates: Sequence[URIRef],
    signs: Mapping[URIRef, Iterable[Sign]],
    stems: Callable[[Sign], Iterable[Sign]],
) -> int:
    """Count the candidates left if each in turn were the right one, all together.

    Those are left that bear a sign of its own or one that goes for it, and those of which no sign
    is known. The candidates that bear a sign are the bits of a number.

    Parameters
    ----------
    candidates
        All.
    signs
        What tells each; those of which nothing is known are left out.
    stems
        A sign with those for which it goes as they go for it.
    """
    bits = {shape: 1 << at for at, shape in enumerate(candidates)}
    bearing: dict[Sign, int] = defaultdict(int)
    going: dict[Sign, int] = defaultdict(int)
    for shape, own in signs.items():
        for sign in own:
            bearing[sign] |= bits[shape]
            for stem in stems(sign):
                going[stem] |= bits[shape]
    unknown = sum(bits[shape] for shape in candidates if shape not in signs)
    total = 0
    for shape in candidates:
        left = unknown if shape in signs else (1 << len(candidates)) - 1
        for sign in signs.get(shape, ()):
            left |= going[sign]
            for stem in stems(sign):
                left |= bearing.get(stem, 0)
        total += left.bit_count()
    return total


def _look(name: str, total: int, count: int, chance: float, telling: _Telling) -> Look:
    left = chance * total / count + (1 - chance) * count if count else 0.0
    return Look(name, left, chance, telling)


def _in_words(values: Mapping[URIRef, Iterable[Node]], worded: Callable[[Node], str]) -> _Shows:
    """Return what each candidate shows in words; a few of each."""
    found = []
    for shape, things in sorted(values.items()):
        every = sorted({worded(each) for each in things})
        more = f" and {len(every) - _SHOWN} more" if len(every) > _SHOWN else ""
        found.append((shape, ", ".join(every[:_SHOWN]) + more))
    return tuple(found)
