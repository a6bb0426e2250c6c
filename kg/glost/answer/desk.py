"""The reading desk: a collection opened once, with all that is made of it on demand."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from itertools import chain
from pathlib import Path

from rdflib import Graph, URIRef

from glost.answer.answers import Answers, gather
from glost.answer.cache import Cache
from glost.answer.dataset import Contents
from glost.answer.findings import find, validated
from glost.answer.judged import judged
from glost.answer.shacl import begin
from glost.answer.times import bounds, chronology_of, leaves, reckoned
from glost.data import vocabulary
from glost.findings import Finding
from glost.names import GLOST
from glost.reason.closure import Closure, close
from glost.record.belief import Belief
from glost.record.claims import Triple
from glost.record.errata import Overtaken, overtaken
from glost.record.record import Progress, Record, read, silent
from glost.record.wording import Words
from glost.trade.assortments.forms import Forms
from glost.trade.assortments.having import Having
from glost.trade.assortments.holding import Holding
from glost.trade.assortments.lists import Lists
from glost.trade.assortments.order import Order
from glost.trade.kilns.zones import reckon
from glost.trade.times import Chronology


@dataclass
class Desk:
    """A collection on the desk.

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
    progress: Progress = field(default=silent, repr=False)

    @cached_property
    def cache(self) -> Cache | None:
        """What is kept of the collection from one time to the next, if anything is."""
        return Cache.of(self.path, self.as_of)

    @cached_property
    def record(self) -> Record:
        """The record; reading it raises `glost.record.errors.RecordErrors`."""
        self.cache  # noqa: B018 - its files are hashed before they are read
        return read(self.path, self.progress)

    @property
    def belief(self) -> Belief:
        """What is believed on the day."""
        return self.record.believed(self.as_of)

    @cached_property
    def closure(self) -> Closure:
        """What follows from what is believed and from the concept schemes."""
        self.progress("what follows")
        return self._close() if self.cache is None else self.cache.closure(self._close)

    def _close(self) -> Closure:
        return close(chain(self.belief.statements(), self.forms.facts()), vocabulary())

    @cached_property
    def chronology(self) -> Chronology:
        """When everything happened, as all that is believed bounds it."""
        self.progress("what bounds what in time")
        return chronology_of(self.record, self.as_of)

    @cached_property
    def overtaken(self) -> tuple[Overtaken, ...]:
        """The public statements that corrections overtook."""
        return overtaken(self.record, self.belief)

    @cached_property
    def contents(self) -> Contents:
        """What the dataset is made of."""
        return gather(
            self.record,
            self.as_of,
            inferred=lambda: self.closure.inferred,
            reckoned=self._reckoned,
            why=self._leaves,
        )

    def _reckoned(self) -> Iterable[Triple]:
        yield from reckon(self.belief)
        yield from reckoned(self.chronology)
        yield from self.forms.reckoned()
        yield from judged(self.having, self.holding, self.words, self.record.base)
        for each in self.overtaken:
            yield each.statement, GLOST.overtakenBy, each.correction.iri

    @cached_property
    def answers(self) -> Answers:
        """Answers questions about the collection."""
        self.progress("the dataset")
        return Answers(self.contents, self.cache)

    @cached_property
    def graph(self) -> Graph:
        """What is believed, with the vocabulary, for wording. Read-only."""
        return self.belief.worded

    @cached_property
    def words(self) -> Words:
        """What things are called."""
        return Words(self.graph)

    @cached_property
    def forms(self) -> Forms:
        """Ware forms as the collection classes them."""
        return Forms(self.belief)

    @cached_property
    def lists(self) -> Lists:
        """Every assortment believed."""
        return Lists(self.belief, self.record.collection.margin)

    @cached_property
    def having(self) -> Having:
        """Which shape had what, by all that is on record."""
        return Having(self.lists, Order(self.chronology))

    @cached_property
    def holding(self) -> Holding:
        """What sources state about lists, held against everything else."""
        return Holding(self.having, self.words, self.record.collection.margin)

    def findings(self, validator: str = "pyshacl") -> tuple[Finding, ...]:
        """Everything found wrong; `validator` is one of `glost.answer.shacl.VALIDATORS`."""
        self.progress("what disagrees")
        data = validated(self.record, self.as_of)
        breaches = begin(data, validator)
        return find(
            self.record,
            closure=self.closure,
            times=self.chronology,
            holding=self.holding,
            breaches=breaches,
            data=data,
            as_of=self.as_of,
        )

    def _leaves(self, triple: Triple) -> Iterable[Triple]:
        if bounds(triple):
            return leaves(self.chronology, triple)
        if triple[1] == GLOST.wareClass:
            return self.forms.grounds(URIRef(str(triple[0])))
        return self.closure.why(triple).facts
