"""What a query may mean: the published things weighed by the linking of records."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray
from rdflib import URIRef
from rdflib.namespace import SKOS

from glost.data import concepts
from glost.names import DATED, SCHEMES
from glost.publish.endpoint.reconciling.limits import MOST
from glost.publish.endpoint.reconciling.things import YEARS, PublishedThings
from glost.record.dates import DateError, calendar_day
from glost.record.dates import read as read_date
from glost.record.spelling import fold
from glost.trade.linking.candidates import AGAIN
from glost.trade.linking.records import COLUMNS, Thing, frame, joined, plain, words_of
from glost.trade.linking.register import Register

_AHEAD = 10
"""A candidate is taken for certain if it is so many times as likely as the next."""

_WORDS = 3
_ALSO = 20
"""So many of what the index of names finds are weighed however little they agree."""

_EVERY = 1_000
"""So many things at most are weighed for a query that says nothing of a name."""

COMPARED = ("name", "number", "maker", "town", "kind", "years", "words")
"""What is compared."""

_COLUMN_OF = {
    **{str(p): column for column, properties in COLUMNS.items() for p in properties},
    **dict.fromkeys(map(str, DATED), "years"),
    **dict.fromkeys(YEARS, "years"),
}
_LISTS = ("application", "firing", "kiln-kind", "source-kind")


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a query looks for.

    Attributes
    ----------
    text
        What it is called; may be empty.
    types
        The IRIs of the types that it may be of; any if empty.
    said
        Properties, by IRI, with values: texts, or IRIs of things.
    """

    text: str
    types: tuple[str, ...]
    said: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class MeantThing:
    """A thing that a query may mean.

    Attributes
    ----------
    iri
        The thing.
    probability
        That it is the one that is meant.
    certain
        Whether it is named by its id or IRI, or is called so, likelier than not and much likelier
        than any other.
    bits
        What each comparison says for it, above 0, or against it, by column.
    """

    iri: str
    probability: float
    certain: bool
    bits: Mapping[str, float]

    @property
    def called_so(self) -> bool:
        """Whether its name or number speaks for it."""
        return max(self.bits.get("name", 0.0), self.bits.get("number", 0.0)) > 0


class Candidates:
    """Published things as a register in which queries are looked up.

    Parameters
    ----------
    things
        The things.
    """

    def __init__(self, things: PublishedThings) -> None:
        self._things = things
        self._numbers = {each.number for each in things.records if each.number}
        self._types = np.array([things.type_of[str(each.iri)] for each in things.records], object)
        self._places = {str(each.iri): at for at, each in enumerate(things.records)}
        self._register = None
        if things.records:
            self._register = Register(frame(things.records), "thing", AGAIN)

    def of(self, wanted: Sequence[Wanted]) -> list[list[MeantThing]]:
        """Return what each query may mean, the likeliest first; each is weighed by itself."""
        if self._register is None or not wanted:
            return [[] for _ in wanted]
        asked = [self._asked(each) for each in wanted]
        among = [self._among(each.types) for each in wanted]
        also = [pair for at, each in enumerate(wanted) for pair in self._found(at, each)]
        scored = self._register.look_up(frame(asked), among, also)
        found: list[list[MeantThing]] = [[] for _ in wanted]
        cells = scored.to_dict(as_series=False)
        probability, other = scored["probability"].to_numpy(), scored["other"].to_numpy()
        for row in np.lexsort((other, -probability)).tolist():
            own = found[cells["one"][row]]
            if len(own) < MOST:
                bits = {name: cells[f"{name}_bits"][row] for name in COMPARED
                        if cells[name][row] >= 0}  # fmt: skip
                iri = str(self._things.records[cells["other"][row]].iri)
                own.append(MeantThing(iri, cells["probability"][row], False, bits))
        return [self._settled(each, own) for each, own in zip(wanted, found, strict=True)]

    def _found(self, at: int, wanted: Wanted) -> list[tuple[int, int]]:
        """Return what the index of names finds: by another spelling, or by a part of a name.

        Where nothing is said of a name, everything of the types is weighed, if it is not too much.
        """
        if wanted.text:
            found = self._things.names.find(wanted.text)
            return [(at, self._places[each]) for each in found[:_ALSO]]
        among = self._among(wanted.types)
        every = range(len(self._types)) if among is None else np.flatnonzero(among).tolist()
        return [(at, each) for each in every] if len(every) <= _EVERY else []

    def _settled(self, wanted: Wanted, found: list[MeantThing]) -> list[MeantThing]:
        """Put what is named by its id first, and say whether the first is certain."""
        named = self._things.thing(wanted.text) if wanted.text else None
        if named is not None and (not wanted.types or self._things.type_of[named] in wanted.types):
            bits = next((each.bits for each in found if each.iri == named), {})
            return [MeantThing(named, 1.0, True, bits), *(e for e in found if e.iri != named)]
        if found and found[0].probability >= 0.5 and found[0].called_so:
            rest = found[1].probability if len(found) > 1 else 0.0
            if found[0].probability >= _AHEAD * rest:
                found[0] = replace(found[0], certain=True)
        return found

    def _among(self, types: Sequence[str]) -> NDArray[np.bool_] | None:
        return np.isin(self._types, list(types)) if types else None

    def _asked(self, wanted: Wanted) -> Thing:
        """Return what a query says, as a record."""
        cells: dict[str, list[str]] = defaultdict(list)
        for property_, values in wanted.said:
            column = _COLUMN_OF.get(property_)
            if column is not None:
                cells[column] += values
        names = [name for name in map(plain, (wanted.text, *cells["name"])) if name]
        number = next(iter(cells["number"]), "")
        if not number and joined(wanted.text) in self._numbers:
            number, names = wanted.text, []  # what is read off a piece, and no name
        maker = next((plain(self._things.called(each)) for each in cells["maker"]), None)
        return Thing(
            URIRef(self._things.base),
            names[0] if names else None,
            tuple(dict.fromkeys(names)) or None,
            joined(number) or None,
            maker or None,
            next(filter(None, map(plain, cells["town"])), None),
            next((_concept(each) for each in cells["kind"]), None),
            _span(cells["years"]),
            _wording(wanted.text, cells["words"]),
        )


def _concept(text: str) -> str:
    """Return the term that a text names among the lists of kinds; the text itself if none does."""
    return _kinds().get(fold(text), text)


@cache
def _kinds() -> dict[str, str]:
    lists = tuple(f"{SCHEMES}{name}/" for name in _LISTS)
    return {
        fold(str(name)): str(term)
        for property_ in (SKOS.altLabel, SKOS.prefLabel)
        for term, name in sorted(concepts().subject_objects(property_))
        if str(term).startswith(lists)
    }


def _wording(text: str, said: Sequence[str]) -> tuple[str, ...] | None:
    """Return the words of a wording or title; a text of few words is a name and no wording."""
    own = words_of(text) or ()
    return words_of(" ".join((*(own if len(own) >= _WORDS else ()), *said)))


def _span(texts: Sequence[str]) -> tuple[float, float] | None:
    """Return the years of the first text that is a date; None if none is."""
    for text in texts:
        try:
            date = read_date(text)
        except DateError:
            continue
        if date.earliest is not None and date.latest is not None:
            return calendar_day(date.earliest)[0], calendar_day(date.latest)[0]
    return None
