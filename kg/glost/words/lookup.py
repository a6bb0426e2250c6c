"""What a user calls a thing, looked up among everything that things are called.

Every command, option and question looks things up here, so that whatever finds a thing in one place
finds it in all: its IRI, its id, any of its names and numbers in any spelling that differs only in
case, accents, hyphens, spaces or noughts before a number (``wv56`` for ``wv-056``), and a part of
one (``112`` for ``A-112``) if nothing fits as a whole. Nothing is guessed: of several, and of what
is merely near, the user chooses.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Mapping
from difflib import get_close_matches
from functools import cached_property
from itertools import islice
from typing import TYPE_CHECKING, Any, TypeAlias
from urllib.parse import quote, unquote

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import DCTERMS, RDFS, SKOS

from glost.limits import NEAR_AMONG, NEAR_LENGTH
from glost.names import GLOST
from glost.record.claims import Claim
from glost.record.spelling import fold, id_of, joined, runs
from glost.record.store import Recorded, StoredRecord
from glost.record.tables import kinds as table_kinds
from glost.words.labels import Words

if TYPE_CHECKING:  # what is kept is looked up without all that reads it
    from glost.record.record import Record

NAMING = (
    RDFS.label,
    DCTERMS.title,
    SKOS.prefLabel,
    SKOS.altLabel,
    GLOST.treatmentNumber,
    GLOST.printerNumber,
    GLOST.plantNumber,
    GLOST.kilnNumber,
    GLOST.wording,
)
"""The properties whose values things are called by."""

_AT_ONCE = 100
"""So many things are named at one go."""
SHOWN = 12
"""So many of several are named in a message."""

_NEAR = 3
_ALIKE = 100
"""More things than this that are called alike are told apart whoever comes or goes."""
_BEGUN = 12
"""Letters that labels share which may be told apart."""


class Names:
    """Things with everything they are called.

    Parameters
    ----------
    called
        The names and numbers of each thing, by IRI, its usual name first, which is empty if it has
        none; its id need not be among them.
    kinds
        The kinds of which a part of a name or number may find a thing, all of them if None.
    composed
        What things without a name are called by what is known of them, by IRI; the whole of it
        finds them, but no part.
    """

    def __init__(
        self,
        called: Mapping[str, Iterable[str]],
        kinds: Iterable[str] | None = None,
        composed: Mapping[str, str] | None = None,
    ) -> None:
        self.composed = dict(composed or {})
        self._called = {iri: tuple(dict.fromkeys(called[iri])) for iri in sorted(called)}
        self._in_part = None if kinds is None else frozenset(kinds)

    def plain(self) -> dict[str, Any]:
        """Return them as plain values, with all that they are looked up by, things by number."""
        number = {iri: at for at, iri in enumerate(self._called)}
        return {
            "called": self._called,
            "composed": self.composed,
            "kinds": None if self._in_part is None else sorted(self._in_part),
            "by": {
                name: {key: [number[i] for i in sorted(some)] for key, some in index.items()}
                for name, index in ((name, getattr(self, name)) for name in _KEYS)
            },
        }

    @classmethod
    def of_plain(cls, kept: Mapping[str, Any]) -> "Names":
        """Return what was told as plain values."""
        found = cls(kept["called"], kept["kinds"], kept["composed"])
        things = tuple(found._called)
        for name in _KEYS:
            index = kept["by"][name].items()
            vars(found)[name] = {key: {things[at] for at in some} for key, some in index}
        return found

    @property
    def called(self) -> Mapping[str, tuple[str, ...]]:
        """What each thing is called, by IRI."""
        return self._called

    def label(self, iri: str) -> str:
        """Return the usual name, or what a thing is called by what is known; empty if nothing."""
        return self.composed.get(iri) or next(iter(self._called.get(iri, ())), "")

    def __len__(self) -> int:
        """Return how many things there are."""
        return len(self._called)

    def __iter__(self) -> Iterator[str]:
        """Yield the IRI of each, sorted."""
        return iter(self._called)

    def find(self, text: str, kinds: Iterable[str] = (), *, whole: bool = False) -> tuple[str, ...]:
        """Return what a text may mean.

        Parameters
        ----------
        text
            An IRI, an id, kind and id, a name, a number, or a part of a name or number.
        kinds
            Only things of these kinds; of any if empty.
        whole
            True to take no part of a name or number for the whole.

        Returns
        -------
        tuple of str
            The IRIs, sorted, that fit in the closest way in which any fits: as IRI or id, as a
            name, as a name written otherwise, in part. None if nothing fits.
        """
        wanted = frozenset(kinds)
        ways: list[Callable[[str], Iterable[str]]] = [self._exactly, self._folded, self._joined]
        for way in (*ways, *(() if whole else (self._partly,))):
            found = {i for i in way(text.strip()) if not wanted or id_of(i).split("/")[0] in wanted}
            if found:
                return tuple(sorted(found))
        return ()

    def beginning(self, text: str) -> Iterator[str]:
        """Yield the things of which an id, a name or a number begins with a text, by these."""
        start, told = fold(text), set[str]()
        for name in islice(self._in_order, bisect_left(self._in_order, start), None):
            if not name.startswith(start):
                return
            for iri in sorted(self._by_name[name] - told):
                told.add(iri)
                yield iri

    def nearest(self, text: str, kinds: Iterable[str] = ()) -> tuple[str, ...]:
        """Return the things whose names, numbers or ids are most like a text, the nearest first.

        None for a text too long to be misspelt, or among very many names; see `glost.limits`.
        """
        wanted = frozenset(kinds)
        if len(text) > NEAR_LENGTH or len(self._near) > NEAR_AMONG:
            return ()
        near = get_close_matches(fold(text), self._near, n=4 * _NEAR, cutoff=0.6)
        found = dict.fromkeys(iri for name in near for iri in sorted(self._near[name]))
        return tuple(i for i in found if not wanted or id_of(i).split("/")[0] in wanted)[:_NEAR]

    def told(self, iri: str) -> str:
        """Return the first of a thing's names with its id, as ``Alder (shape/alder)``."""
        usual = self.label(iri)
        kind_and_id = id_of(iri) if len(self._by_id[id_of(iri)]) == 1 else iri
        usual = usual.removesuffix(f" ({id_of(iri).partition('/')[2]})")
        return f"{usual} ({kind_and_id})" if usual else kind_and_id

    def changed(self, found: Mapping[str, tuple[list[str], str] | None]) -> "Names":
        """Return them with some things called otherwise; None for one that is there no more."""
        after = Names(
            {**self._called, **{iri: now[0] for iri, now in found.items() if now is not None}},
            self._in_part,
            {**self.composed, **{iri: now[1] for iri, now in found.items() if now is not None}},
        )
        for iri, now in found.items():
            if now is None:
                after._called.pop(iri, None)
            if now is None or not now[1]:
                after.composed.pop(iri, None)
        # What things are looked up by is carried over: to make it takes longer than any search.
        for name, keys in _KEYS.items():
            if name in vars(self):
                vars(after)[name] = index = dict(vars(self)[name])
                for iri in found:
                    for key in {*self._keys(keys, iri), *after._keys(keys, iri)} - {""}:
                        kept = index.get(key, set()) - {iri}
                        index[key] = kept | ({iri} if key in after._keys(keys, iri) else set())
                        if not index[key]:
                            del index[key]
        return after

    def alike(self, iri: str, names: Iterable[str], text: str) -> list[str]:
        """Return the things that bear one of some names, or a label that begins with a text.

        What tells things apart that are called alike hangs on which others there are; very many
        are told apart already, whoever comes or goes, and none of them is returned.
        """
        kind = id_of(iri).partition("/")[0]
        found = {each for name in names for each in self._by_name.get(fold(name), ())}
        if text:
            every = self.composed.items()
            found |= {each for each, label in every if label.startswith(text[:_BEGUN])}
        alike = [each for each in found if id_of(each).partition("/")[0] == kind]
        return alike if len(alike) <= _ALIKE else []

    def _keys(self, keys: "_Keys", iri: str) -> frozenset[str]:
        return frozenset(keys(self, iri)) if iri in self._called else frozenset()

    def several(self, found: Iterable[str]) -> str:
        """Name several things, or as many as a message can hold."""
        every = [self.told(iri) for iri in found]
        more = f" or {len(every) - SHOWN} more" if len(every) > SHOWN else ""
        return " or ".join(every[:SHOWN]) + more

    def instead(self, text: str, kinds: Iterable[str] = ()) -> str:
        """Word what comes nearest to a text; empty if nothing does."""
        near = self.nearest(text, kinds)
        return f"nearest: {', '.join(map(self.told, near))}" if near else ""

    def _exactly(self, text: str) -> Iterable[str]:
        return (text,) if text in self._called else self._by_id.get(text, ())

    def _folded(self, text: str) -> Iterable[str]:
        return self._by_name.get(fold(text), ()) or self._by_label.get(fold(text), ())

    def _joined(self, text: str) -> Iterable[str]:
        return self._by_joined.get(joined(text), ())

    def _partly(self, text: str) -> Iterable[str]:
        wanted = runs(text)
        if not wanted:
            return ()
        some = set.intersection(*(self._by_run.get(run, set()) for run in wanted))
        if len(wanted) == 1:
            return some
        return {iri for iri in some if any(_within(wanted, runs(n)) for n in self._all(iri))}

    def _all(self, iri: str) -> tuple[str, ...]:
        return (id_of(iri).partition("/")[2], *self._called[iri])

    def _index(self, name: str) -> dict[str, set[str]]:
        found: dict[str, set[str]] = {}
        for iri in self._called:
            for key in _KEYS[name](self, iri):
                found.setdefault(key, set()).add(iri)
        found.pop("", None)
        return found

    @cached_property
    def _by_id(self) -> dict[str, set[str]]:
        return self._index("_by_id")

    @cached_property
    def _by_name(self) -> dict[str, set[str]]:
        return self._index("_by_name")

    @cached_property
    def _in_order(self) -> list[str]:
        return sorted(self._by_name)

    @cached_property
    def _by_label(self) -> dict[str, set[str]]:
        return self._index("_by_label")

    @cached_property
    def _by_joined(self) -> dict[str, set[str]]:
        return self._index("_by_joined")

    @cached_property
    def _near(self) -> dict[str, set[str]]:
        return self._index("_near")

    @cached_property
    def _by_run(self) -> dict[str, set[str]]:
        return self._index("_by_run")

    def _own(self, iri: str) -> bool:
        """Whether a thing has a name or id of its own, of which a part finds it."""
        return self._in_part is None or id_of(iri).split("/")[0] in self._in_part


def _runs(names: Names, iri: str) -> set[str]:
    return {run for name in names._all(iri) for run in runs(name)} if names._own(iri) else set()


_Keys: TypeAlias = Callable[[Names, str], Iterable[str]]
_KEYS: Mapping[str, _Keys] = {
    "_by_id": lambda names, iri: (id_of(iri), id_of(iri).partition("/")[2]),
    "_by_name": lambda names, iri: map(fold, (id_of(iri), *names._all(iri))),
    "_by_label": lambda names, iri: [fold(names.composed[iri])] if iri in names.composed else [],
    "_by_joined": lambda names, iri: map(joined, (id_of(iri), *names._all(iri))),
    "_near": lambda names, iri: map(fold, names._all(iri)) if names._own(iri) else (),
    "_by_run": _runs,
}
"""What things are looked up by: of each way, the keys of a thing."""


def _within(part: tuple[str, ...], whole: tuple[str, ...]) -> bool:
    size = len(part)
    return any(whole[at : at + size] == part for at in range(len(whole) - size + 1))


def names_of(record: Recorded) -> Names:
    """Return what the things of a collection are called, gathered once for each record.

    Of things known only by their parts (an article, a piece), which are called what is put together
    of these, no part of that finds one.
    """
    if "names" not in record.made:
        if isinstance(record, StoredRecord):
            record.made["names"] = Names(record.called, table_kinds(), record.composed)
        else:
            for _ in gathering(record):
                pass  # what was gathered part by part is gone on with
    found = record.made["names"]
    assert isinstance(found, Names)
    return found


def gathering(record: Recorded) -> Iterator[None]:
    """Gather what `names_of` returns, so many things at each step, for who has else to do."""
    if "names" not in record.made:
        begun = record.made.setdefault("gathering", _Gathering(record))
        assert isinstance(begun, _Gathering)
        yield from begun.steps
        record.made["names"] = Names(begun.called, table_kinds(), begun.composed)


class _Gathering:
    """Names and numbers from what is believed, the usual name first, and labels; half gathered.

    Parameters
    ----------
    record
        The collection.
    """

    def __init__(self, record: Recorded) -> None:
        self.called: dict[str, list[str]] = {}
        self.composed: dict[str, str] = {}
        self.steps = self._gathered(record)

    def _gathered(self, record: Recorded) -> Iterator[None]:
        graph, base, holds = record.believed().graph, record.base, record.collection.holds
        words = Words(record.believed().worded)
        things = {
            f"{base}{kind}/{quote(name, safe='')}"
            for kind, names in record.ids.items()
            for name in names
        }
        said = (str(each) for each in set(graph.subjects()) if isinstance(each, URIRef))
        things |= {each for each in said if holds(each) and "#" not in each}
        for at, iri in enumerate(sorted(things), 1):
            self.called[iri], label = _names(graph, words, URIRef(iri))
            if label:
                self.composed[iri] = label
            if at % _AT_ONCE == 0:
                yield


def names_after(before: Names, record: "Record", claims: Iterable[Claim]) -> Names:
    """Return what things are called after a change, gathered anew only where it may differ.

    Parameters
    ----------
    before
        What they were called.
    record
        The collection as it is now; it keeps what is returned.
    claims
        The claims that came or went.
    """
    graph = record.believed().graph
    words = Words(record.believed().worded)
    waiting, found = _spoken_of(record, claims), dict[str, tuple[list[str], str] | None]()
    while waiting:
        iri = waiting.pop().partition("#")[0]
        if iri in found or not record.collection.holds(iri):
            continue
        thing = URIRef(iri)
        there = (thing, None, None) in graph or _described(record, iri)
        now = found[iri] = _names(graph, words, thing) if there else None
        was = (list(before.called[iri]), before.composed.get(iri, "")) if iri in before else None
        if now != was:  # what is called after it may be called otherwise too
            beside = {*graph.subjects(None, thing), *graph.objects(thing, None)}
            waiting += [str(each) for each in beside if isinstance(each, URIRef)]
            texts = {*(was[0] if was else ()), *(now[0] if now else ())}
            for text in (was[1] if was else "", words.by_itself(thing) if there else ""):
                waiting += before.alike(iri, texts, text)
    made = record.made["names"] = before.changed(found)
    return made


def _spoken_of(record: "Record", claims: Iterable[Claim]) -> list[str]:
    """Return what some claims speak of, and what those do that they withdraw or restore."""
    waiting, seen, found = list(claims), set[str](), set[str]()
    while waiting:
        for subject, _, value in waiting.pop().statements:
            found.add(str(subject))
            iri = str(value)
            if iri.startswith(f"{record.base}claim/") and iri not in seen:
                seen.add(iri)
                named = record.claims.at(iri)
                waiting += [named] if named is not None else []
    return sorted(found)


def _described(record: Recorded, iri: str) -> bool:
    kind, _, name = iri.removeprefix(record.base).partition("/")
    return unquote(name) in record.ids.get(kind, ())


def _names(graph: Graph, words: Words, thing: URIRef) -> tuple[list[str], str]:
    """Return a thing's names and numbers, and the label of one known by its parts alone."""
    named, said = words.named(thing), (thing, None, None) in graph
    found = [words.label(thing)] if named and said else []
    for property_ in NAMING:
        found += sorted(str(o) for o in graph.objects(thing, property_) if isinstance(o, Literal))
    composed = said and not named and words.known(thing)
    if found and not named and not composed:  # a number that it is not called by is no usual name
        found.insert(0, "")
    return list(dict.fromkeys(found)), words.label(thing) if composed else ""
