"""A collection opened once, with all that is made of it when it is asked for."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property, partial
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

from rdflib import Graph, URIRef

from glost.answer.cache import Cache
from glost.collecting import undisturbed
from glost.names import GLOST
from glost.record.claims import Triple
from glost.words.labels import Words

# What makes a part is imported where the part is made: a question put to what is kept needs few.
if TYPE_CHECKING:
    from glost.answer.answers import Answers
    from glost.answer.dataset import Contents
    from glost.answer.evidence import Claims
    from glost.answer.shacl import Violation
    from glost.findings import Finding
    from glost.reason.closure import Closure
    from glost.record.belief import Belief
    from glost.record.collection import Collection
    from glost.record.errata import Overtaken
    from glost.record.record import Record
    from glost.record.store import Recorded
    from glost.trade.assortments.forms import Forms
    from glost.trade.assortments.having import Having
    from glost.trade.assortments.holding import Holding
    from glost.trade.assortments.lists import Lists
    from glost.trade.times import Chronology, Timed
    from glost.words.lookup import Names

_NAMES = "names"

LARGE = 20_000
"""Claims from which on what is made of a collection takes so long that it is made with care."""


def _silent(_: str) -> None:
    """Tell nobody what is being done."""


@dataclass
class Snapshot:
    """A collection as it is when it is read, and whatever is made of it.

    Attributes
    ----------
    path
        The collection's folder.
    as_of
        The last day taken into account, inclusive; None for all there is.
    progress
        Told what is being done.
    """

    path: Path
    as_of: date | None = None
    progress: Callable[[str], None] = field(default=_silent, repr=False)

    @classmethod
    def of(cls, record: "Record", as_of: date | None = None) -> "Snapshot":
        """Take a record that was read already; nothing made of it is kept."""
        snapshot = cls(record.collection.path, as_of)
        snapshot.__dict__.update(record=record, cache=None)
        return snapshot

    @property
    def apart(self) -> "Snapshot":
        """The same record in another snapshot, which stays as it is if this one is changed."""
        snapshot = Snapshot.of(replace(self.record, _beliefs={}), self.as_of)
        snapshot.__dict__["cache"] = self.cache
        return snapshot

    @cached_property
    def cache(self) -> Cache | None:
        """What is kept of the collection from one time to the next, if anything is."""
        return Cache.of(self.path, self.as_of)

    @cached_property
    def collection(self) -> "Collection":
        """Its settings; reading them raises `glost.record.errors.RecordErrors`."""
        from glost.record.collection import read_collection

        return read_collection(self.path)

    @cached_property
    def record(self) -> "Record":
        """The record; reading it raises `glost.record.errors.RecordErrors`."""
        from glost.record.record import read

        self.cache  # noqa: B018 - its files are hashed before they are read
        return read(self.path, self.progress)

    @cached_property
    def stored(self) -> "Recorded":
        """The record as it is kept, for what looks up a few things; else the record itself."""
        if self.cache is None:
            return self.record
        from glost.record.store import StoredRecord, write

        def put(record: "Record", path: Path) -> None:
            from glost.data import vocabulary
            from glost.words.lookup import names_of

            names = names_of(record)
            write(record, path, self.as_of, vocabulary(), names.called, names.composed)

        def take(path: Path) -> "Recorded":
            return StoredRecord(path, self.collection, self.as_of, lambda: self.record)

        return self.cache.tables("record", lambda: self.record, put, take)

    @cached_property
    def stored_times(self) -> "Timed":
        """The chronology as it is kept, for what looks up a few points; else that itself."""
        if self.cache is None:
            return self.chronology
        from glost.trade.times.stored import StoredTimes, write

        def take(path: Path) -> "Timed":
            belief, margin = self.stored.believed(self.as_of), self.collection.margin
            return StoredTimes(path, belief, margin, lambda: self.chronology)

        return self.cache.tables("times", lambda: self.chronology, write, take)

    @property
    def kept(self) -> "Belief":
        """What is believed on the day as it is kept, for what looks up a few things."""
        return self.stored.believed(self.as_of)

    @property
    def belief(self) -> "Belief":
        """What is believed on the day."""
        return self.record.believed(self.as_of)

    @cached_property
    def closure(self) -> "Closure":
        """What follows from what is believed and from the concept schemes."""
        self.progress("what follows")
        return self._close() if self.cache is None else self.cache.closure(self._close)

    def following(self, thing: URIRef) -> "Iterable[Triple]":
        """Return what follows of which a thing is the subject or the object."""
        from glost.record.store import StoredInferred, write_inferred

        def made() -> "Iterable[Triple]":
            return self.closure.inferred

        found = (
            self.closure.inferred
            if self.cache is None
            else self.cache.tables("inferred", made, write_inferred, StoredInferred)
        )
        if isinstance(found, StoredInferred):
            return found.following(thing)
        return (each for each in found if thing in (each[0], each[2]))

    def _close(self) -> "Closure":
        from glost.reason.closure import close_quads
        from glost.reason.coding import encode, encode_columns
        from glost.reason.compiler import concept_facts, vocabulary_rules

        claims = self.belief.claims
        if len(claims) < LARGE:
            if self.forms.replaced:
                quads = encode(chain(self.belief.statements(), self.forms.facts()))
            else:
                quads = encode(self.belief.statements(), concept_facts())
        else:
            from glost.record.columns import every_statement
            from glost.trade.assortments.forms import Forms

            said, others = every_statement(claims)
            # Of forms a collection can say no more than its own terms; no other claim is made.
            others += Forms(self.belief.among("terms")).facts()
            quads = encode_columns(said, others)
        return close_quads(quads, vocabulary_rules())

    @cached_property
    def chronology(self) -> "Chronology":
        """When everything happened, as all that is believed bounds it."""
        from glost.answer.times import chronology_of

        self.progress("what bounds what in time")
        return chronology_of(self.record, self.as_of)

    @cached_property
    def overtaken(self) -> "tuple[Overtaken, ...]":
        """The public statements that corrections overtook."""
        from glost.record.errata import overtaken

        return overtaken(self.record, self.belief)

    @cached_property
    def contents(self) -> "Contents":
        """What the dataset is made of."""
        from glost.answer.answers import gather

        return gather(
            self.record,
            self.as_of,
            inferred=lambda: self.closure.inferred,
            reckoned=self._reckoned,
            why=self._leaves,
        )

    def _reckoned(self) -> Iterable[Triple]:
        yield from self.reckoned_otherwise()
        yield from self.reckoned_of_lists()

    def reckoned_of_lists(self) -> Iterable[Triple]:
        """Yield what is reckoned of lists: which follows which, and what is judged by them."""
        from glost.answer.judged import judged
        from glost.trade.assortments.lists import following

        yield from following(self.lists)
        yield from judged(self.having, self.holding, self.chronology, self.words, self.record.base)

    def reckoned_otherwise(self) -> Iterable[Triple]:
        """Yield all else that is reckoned, but plain years."""
        from glost.answer.named import named
        from glost.answer.times import reckoned
        from glost.trade.kilns.zones import reckon

        yield from reckon(self.belief)
        yield from reckoned(self.chronology)
        yield from self.forms.reckoned()
        yield from self.homes_by_number
        yield from self.mappings
        things = set(self.belief.graph.subjects())
        yield from named(self.words, self.chronology, self.record.base, things)
        yield from self.overtakings

    @property
    def overtakings(self) -> Iterable[Triple]:
        """Yield what was said in public with the corrections that overtook it."""
        for each in self.overtaken:
            yield each.statement, GLOST.overtakenBy, each.correction.iri

    @cached_property
    def answers(self) -> "Answers":
        """Answers questions about the collection."""
        from glost.answer.answers import Answers

        self.progress("the dataset")
        return Answers(
            lambda: self.contents,
            self.collection.base,
            self.cache,
            self._claims,
            self._leaves,
            {each.name: each.collection.base for each in self.collection.members},
        )

    def _claims(self) -> "Claims":
        """Return where the claims under an answer are looked up: in what is kept, if at hand."""
        from glost.record.store import StoredRecord

        if "record" not in vars(self) and isinstance(self.stored, StoredRecord):
            return self.stored
        return self.contents

    @cached_property
    def graph(self) -> Graph:
        """What is believed, with the vocabulary, for wording. Read-only."""
        return self.belief.worded

    @cached_property
    def words(self) -> Words:
        """What things are called."""
        from glost.data import vocabulary
        from glost.words.patterns import checked

        checked(vocabulary)
        return Words(self.graph, claims=self.record.claim)

    @property
    def names_kept(self) -> bool:
        """Whether what things are called is kept, and need not be gathered."""
        return self.cache is not None and self.cache.has(_NAMES)

    @property
    def names(self) -> "Names":
        """What things are called, gathered once for each record."""
        from glost.words.lookup import names_of

        if self.names_kept and "names" not in self.record.made:
            self.keep_names()
        return names_of(self.record)

    def keep_names(self) -> None:
        """Keep what things are called, or take up what is kept."""
        from glost.words.lookup import Names, names_of

        if self.cache is not None:
            with undisturbed(lasting=True):
                self.record.made["names"] = self.cache.values(
                    _NAMES, lambda: names_of(self.record), Names.plain, Names.of_plain
                )

    @cached_property
    def labels(self) -> Words:
        """The same of what is kept: naming a few things then needs nothing of the record."""
        if self.cache is None:
            return self.words
        known = self.cache.labels(self._labels)
        return Words(lambda: self.kept.worded, known, self.stored.claim)

    def _labels(self) -> dict[str, str]:
        """Name everything; nothing of a large collection, where it would take long."""
        from glost.words.labels import labels

        return labels(self.words) if len(self.record.claims) < LARGE else {}

    @cached_property
    def forms(self) -> "Forms":
        """Ware forms as the collection classes them."""
        from glost.trade.assortments.forms import Forms

        return Forms(self.belief)

    @cached_property
    def homes_by_number(self) -> "dict[Triple, tuple[Triple, ...]]":
        """The home of each treatment that only its number tells, with what each rests on."""
        from glost.trade.crossings import homes_by_number

        return homes_by_number(self.belief, self.record.collection.margin)

    @cached_property
    def mappings(self) -> "dict[Triple, tuple[Triple, ...]]":
        """Each thing in a mapping relation to what an authority lists, with what it rests on."""
        from glost.trade.linking.matches import mappings

        return mappings(self.belief)

    @cached_property
    def lists(self) -> "Lists":
        """Every assortment believed."""
        from glost.trade.assortments.lists import Lists

        return Lists(self.belief, self.record.collection.margin, self.chronology)

    @cached_property
    def having(self) -> "Having":
        """Which shape had what, by all that is on record."""
        from glost.trade.assortments.having import Having
        from glost.trade.assortments.order import Order

        return Having(self.lists, Order(self.chronology))

    @cached_property
    def holding(self) -> "Holding":
        """What sources state about lists, held against everything else."""
        from glost.trade.assortments.holding import Holding

        return Holding(self.having, self.words, self.record.collection.margin)

    def findings(self, validator: str | None = None) -> "tuple[Finding, ...]":
        """Everything found wrong; `validator` as in `glost.answer.shacl.begin`."""
        from glost.answer.findings import find, validated

        self.progress("what disagrees")
        data = validated(self.record, self.as_of)
        return find(self, self.breaches(data, validator), data)

    def breaches(
        self, data: Graph, validator: str | None = None
    ) -> "Callable[[], tuple[Violation, ...]]":
        """Begin to find the breaches of the SHACL constraints, unless they are kept.

        Parameters
        ----------
        data
            What the constraints speak of; see `glost.answer.findings.validated`.
        validator
            As in `glost.answer.shacl.begin`; if one is named, it is run.
        """
        from glost.answer.shacl import as_plain, begin, of_plain, validate

        cache = self.cache
        if cache is None or validator is not None:
            return begin(data, validator)
        make = partial(validate, data) if cache.has("breaches") else begin(data)
        return partial(cache.values, "breaches", make, as_plain, of_plain)

    def _leaves(self, triple: Triple) -> Iterable[Triple]:
        from glost.answer import named
        from glost.answer.times import bounds, leaves

        if named.is_name(triple) and triple not in self.belief.graph:
            return named.leaves(self.words, self.chronology, triple)
        if bounds(triple):
            return leaves(self.chronology, triple)
        if triple[1] == GLOST.wareClass:
            return self.forms.grounds(URIRef(str(triple[0])))
        if triple[1] == GLOST.homeByNumber:
            return self.homes_by_number[triple]
        if triple in self.mappings:
            return self.mappings[triple]
        if triple[1] == GLOST.followsAssortment:
            return self.lists.ordering
        return self.closure.why(triple).facts
