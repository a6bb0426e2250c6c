"""What two keepers describe, as it is compared: each thing with what stands around it.

Two keepers call a shape by two names, and its pottery too. But where its treatments or its decal
are known to be one, they tell what names do not. So kinds are matched one after another, and what
is found of one kind is known for the next; this is done again until nothing changes: I.
Bhattacharya and L. Getoor, "Collective entity resolution in relational data", ACM Transactions on
Knowledge Discovery from Data 1 (2007), named from memory.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from rdflib import URIRef
from rdflib.namespace import DCTERMS, RDF

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.quantities import LengthError, read_length
from glost.trade.linking.records import (
    MAKERS,
    TOLD,
    Thing,
    Values,
    called,
    first_names,
    joined,
    things_of,
    words_of,
    years_of,
)
from glost.trade.times import Timed

KINDS = (
    GLOST.Pottery, GLOST.Firm, GLOST.Plant, GLOST.Person, GLOST.Shape, GLOST.Decal,
    GLOST.Treatment, GLOST.Glaze, GLOST.Mark, GLOST.Kiln, GLOST.Source,
)  # fmt: skip
"""The kinds, those first that others stand around."""

_AROUND = (
    GLOST.usesDecal, GLOST.homeShape, GLOST.usesGlaze, GLOST.madeFor, GLOST.offeredOn,
    GLOST.namesShape, GLOST.namesFirm, GLOST.denotesPlant, GLOST.builtBy,
)  # fmt: skip
"""By what things stand around one another, either way round."""
_ROLE = (GLOST.atPottery, GLOST.atFirm, GLOST.onWork)
"""What stands around the holder of a role."""
_WAYS = (GLOST.technique, GLOST.firing, GLOST.application, GLOST.roleHeld)
_LOOKS = (
    DCTERMS.description, GLOST.place, GLOST.trim, GLOST.rim, GLOST.handle, GLOST.finial,
    GLOST.foot, GLOST.colour,
)  # fmt: skip
_LENGTHS = (GLOST.innerDiameter, GLOST.overallLength)
_SEEN = tuple(
    dict.fromkeys(
        (*TOLD, *MAKERS, *_AROUND, *_ROLE, *_WAYS, *_LOOKS, *_LENGTHS,
         GLOST.holder, GLOST.wording, RDF.type)
    )
)  # fmt: skip
_FEW = 2
"""What stands around so many things of a kind at most tells much of them."""
_RARE = 0.1
"""The share of names that a word may stand in, to tell much of them."""


class Keeper:
    """What one keeper describes.

    Parameters
    ----------
    belief
        What is believed.
    times
        Between which days things began or were made.
    base
        What begins the IRIs of the keeper's things; empty for all.
    """

    def __init__(self, belief: Belief, times: Timed, base: str = "") -> None:
        said = belief.table(frozenset(map(str, _SEEN)))
        self._values: Values = {
            name: _by_subject(table.select("subject", "object").rows())
            for name, table in said.of.items()
        }
        self._names = first_names(self._values)
        self._times = times
        self._of_kind: dict[str, list[str]] = defaultdict(list)
        for iri, kinds in self._values[str(RDF.type)].items():
            for kind in kinds:
                if iri.startswith(base):
                    self._of_kind[kind].append(iri)
        self._around = self._neighbours()

    def _neighbours(self) -> Mapping[str, frozenset[str]]:
        found: dict[str, set[str]] = defaultdict(set)
        ends = [(s, o) for p in _AROUND for s, all_ in self._given(p).items() for o in all_]
        holders = self._given(GLOST.holder)
        for property_ in _ROLE:
            for role, others in self._given(property_).items():
                ends += [(holder, o) for holder in holders.get(role, ()) for o in others]
        for one, other in ends:
            found[one].add(other)
            found[other].add(one)
        for property_ in MAKERS:
            for one, makers in self._given(property_).items():
                for maker in makers:
                    found[maker].add(one)
        return {iri: frozenset(others) for iri, others in found.items()}

    def _given(self, property_: URIRef) -> Mapping[str, Sequence[str]]:
        return self._values.get(str(property_), {})

    def has(self, kind: URIRef) -> bool:
        """Say whether there is anything of a kind."""
        return bool(self._of_kind.get(str(kind)))

    def called(self, iri: str) -> str | None:
        """Return what a thing is called, plain."""
        return called(self._names, iri)

    def things(
        self, kind: URIRef, same: Mapping[str, str], named: Callable[[str], str | None]
    ) -> tuple[Thing, ...]:
        """Return the things of a kind, in the order of their IRIs.

        Parameters
        ----------
        kind
            The class.
        same
            What the other keeper knows too, and the IRI it goes by for both; what is not among
            these is left out of what stands around a thing.
        named
            What such an IRI is called.
        """
        iris = sorted(self._of_kind.get(str(kind), ()))
        made = things_of(map(URIRef, iris), self._values, lambda iri: years_of(self._times, iri))
        known = {iri: frozenset(same[o] for o in self._around.get(iri, ()) if o in same)
                 for iri in iris}  # fmt: skip
        many = Counter(each for some in known.values() for each in some)
        words = Counter(word for each in made for word in _name_words(each))
        rare = {word for word, count in words.items() if count <= max(1, _RARE * len(made))}
        return tuple(
            self._with(each, kind, self._maker(each, same, named), known[str(each.iri)], many, rare)
            for each in made
        )

    def _maker(
        self, thing: Thing, same: Mapping[str, str], named: Callable[[str], str | None]
    ) -> str | None:
        makers = (m for p in MAKERS for m in self._given(p).get(str(thing.iri), ()))
        known = next((same[maker] for maker in makers if maker in same), None)
        return thing.maker if known is None else named(known)

    def _with(
        self,
        thing: Thing,
        kind: URIRef,
        maker: str | None,
        around: frozenset[str],
        many: Counter[str],
        rare: set[str],
    ) -> Thing:
        iri, mark, source = str(thing.iri), kind == GLOST.Mark, kind == GLOST.Source
        wording = " ".join(self._given(GLOST.wording).get(iri, ()))
        described = [text for p in _LOOKS for text in self._given(p).get(iri, ())]
        # What one keeper calls a thing another describes, but for marks, which are not called so.
        if not mark:
            described += thing.names or ()
        return replace(
            thing,
            # What has no figure is a name of the keeper's own.
            number=thing.number if re.search("[0-9]", thing.number or "") else None,
            maker=maker,
            years=None if source else thing.years,
            dated=thing.years if source else None,
            words=words_of(" ".join(described)),
            wording=joined(wording) or None,
            short=_short(thing) if kind == GLOST.Person else None,
            rare=tuple(sorted(_name_words(thing) & rare)) or None,
            ended=years_of(self._times, thing.iri, "#end"),
            around=tuple(sorted(around)) or None,
            seldom=tuple(sorted(each for each in around if many[each] <= _FEW)) or None,
            ways=self._ways(iri),
            across=self._length(iri, GLOST.innerDiameter),
            length=self._length(iri, GLOST.overallLength),
        )

    @cached_property
    def _held(self) -> Mapping[str, Sequence[str]]:
        """The roles of each person."""
        found: dict[str, list[str]] = defaultdict(list)
        for role, holders in self._given(GLOST.holder).items():
            for holder in holders:
                found[holder].append(role)
        return found

    def _ways(self, iri: str) -> tuple[str, ...] | None:
        found = {
            v
            for of in (iri, *self._held.get(iri, ()))
            for p in _WAYS
            for v in self._given(p).get(of, ())
        }
        return tuple(sorted(each.rsplit("/", 1)[-1] for each in found)) or None

    def _length(self, iri: str, property_: URIRef) -> float | None:
        for text in self._given(property_).get(iri, ()):
            try:
                return float(read_length(text).metres)
            except LengthError:
                continue
        return None


def _by_subject(rows: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for subject, object_ in rows:
        found[subject].add(object_)
    return {subject: sorted(objects) for subject, objects in found.items()}


def _name_words(thing: Thing) -> set[str]:
    return {word for name in thing.names or () for word in name.split() if len(word) > 3}


def _short(person: Thing) -> tuple[str, ...] | None:
    """Return a person's names as initial and surname; a surname alone as it is."""
    found = set()
    for name in person.names or ():
        *first, last = name.split()
        found.add(f"{first[0][0]} {last}" if first else last)
    return tuple(sorted(found)) or None


def known(pairs: Iterable[tuple[str, str]]) -> tuple[dict[str, str], dict[str, str]]:
    """Return by what name either keeper's things are known to both, if pairs of them are one."""
    found = list(pairs)
    return {one: one for one, _ in found}, {other: one for one, other in found}
