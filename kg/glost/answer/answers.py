"""Everything that can be asked of a record, made ready once."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING

import pyoxigraph as ox
from rdflib import Dataset, URIRef

from glost.answer import dataset, sparql
from glost.answer.cache import Cache
from glost.answer.dataset import Contents, Statements
from glost.answer.evidence import Claims, Evidence
from glost.answer.parameters import Things
from glost.answer.questions import Answer, QuestionData, question
from glost.answer.store import store
from glost.record.claims import Triple

if TYPE_CHECKING:
    from glost.record.record import Record


def gather(
    record: "Record",
    as_of: date | None = None,
    *,
    inferred: Statements = dataset.nothing,
    reckoned: Statements = dataset.nothing,
    why: Callable[[Triple], Iterable[Triple]] = dataset.no_reason,
) -> Contents:
    """Gather what the dataset of a record is made of; nothing is worked out until it is needed.

    Parameters
    ----------
    record
        The record.
    as_of
        The last day taken into account, inclusive; None for all there is.
    inferred
        Gives what follows from what is believed on that day.
    reckoned
        Gives what was reckoned from it, besides the plain years, which are reckoned here.
    why
        Gives the believed statements an inferred one rests on.
    """
    from glost.answer.years import reckon  # a question put to what is kept needs none of these
    from glost.data import vocabulary
    from glost.record.provenance import record_triples

    belief = record.believed(as_of)

    def reckonings() -> Iterable[Triple]:
        yield from reckon(belief.statements(), record.collection.margin)
        yield from reckoned()

    day = as_of.isoformat() if as_of else ""
    return Contents(
        base=record.base,
        claims=tuple(claim for claim in record.claims if not day or claim.recorded_on <= day),
        current=frozenset(URIRef(claim.iri) for claim in belief.claims),
        parts=belief.parts,
        about_claims=partial(record_triples, record, as_of),
        following=inferred,
        reckonings=reckonings,
        words=vocabulary,
        why=why,
    )


@dataclass(frozen=True)
class Answers:
    """Answers questions about one record.

    Attributes
    ----------
    contents
        Gives what its dataset is made of, if that is needed; see `gather`.
    base
        Base IRI of the collection.
    cache
        Where the dataset is kept from one time to the next; None keeps it in memory.
    keepers
        Base IRIs of those that are read together with it, by name.
    claims, why
        Give where the claims under an answer are looked up, and what an inferred statement rests
        on; the contents do if None.
    """

    contents: Callable[[], Contents]
    base: str
    cache: Cache | None = None
    claims: Callable[[], Claims] | None = None
    why: dataset.Why | None = None
    keepers: Mapping[str, str] = field(default_factory=dict)
    _known: dict[tuple[object, ...], Answer] = field(default_factory=dict, repr=False)

    @cached_property
    def _opened(self) -> tuple[ox.Store, Path | None]:
        if self.cache is None:
            return self._store(None), None
        if not self.cache.has("store"):
            self.contents()  # what is wrong with the files is told before anything is kept
        return self.cache.store(self._store)

    def _store(self, folder: Path | None) -> ox.Store:
        return store(self.contents(), folder)

    @property
    def store(self) -> ox.Store:
        """The dataset as SPARQL sees it."""
        return self._opened[0]

    @property
    def folder(self) -> Path | None:
        """The folder the store lies in, for other processes to open and read; None if in memory."""
        return self._opened[1]

    @cached_property
    def asked(self) -> QuestionData:
        """What named questions are put to."""
        return QuestionData(
            self.store,
            Things(self.store, self.base, self.keepers),
            Evidence(self.claims or self.contents, self.store, self._leaves),
        )

    def _leaves(self, triple: Triple) -> Iterable[Triple]:
        return (self.why or self.contents().why)(triple)

    @property
    def dataset(self) -> Dataset:
        """The dataset as exports write it, literals to the letter; made anew each time."""
        return dataset.dataset(self.contents())

    def ask(self, name: str, **parameters: object) -> Answer:
        """Put a named question; see `glost.answer.questions.Question.ask`."""
        return question(name).ask(self.asked, **parameters)

    def once(self, name: str, parameters: Mapping[str, str]) -> Answer:
        """Put a named question as `ask` does; put again, it is answered as it was."""
        key = (name, *sorted(parameters.items()))
        if key not in self._known:
            self._known[key] = self.ask(name, **parameters)
        return self._known[key]

    def sparql(self, text: str, *, seconds: float | None = None) -> sparql.Result:
        """Answer free SPARQL; see `glost.answer.sparql.run`."""
        return sparql.run(self.store, text, seconds=seconds, folder=self.folder)
