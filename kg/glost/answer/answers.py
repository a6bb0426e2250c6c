"""Everything that can be asked of a record, made ready once."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from functools import cached_property

import pyoxigraph as ox
from rdflib import Dataset, Graph, URIRef

from glost.answer import dataset, sparql
from glost.answer.dataset import Contents
from glost.answer.evidence import Evidence
from glost.answer.parameters import Things
from glost.answer.questions import Answer, Asked, question
from glost.answer.store import store
from glost.answer.years import reckon
from glost.data import vocabulary
from glost.names import bind
from glost.record.claims import Triple
from glost.record.provenance import record_graph
from glost.record.record import Record


def gather(
    record: Record,
    as_of: date | None = None,
    *,
    inferred: Iterable[Triple] = (),
    reckoned: Iterable[Triple] = (),
    why: Callable[[Triple], Iterable[Triple]] = dataset.no_reason,
) -> Contents:
    """Gather what the dataset of a record is made of.

    Parameters
    ----------
    record
        The record.
    as_of
        The last day taken into account, inclusive; None for all there is.
    inferred
        What follows from what is believed on that day.
    reckoned
        What was reckoned from it, besides the plain years, which are reckoned here.
    why
        Gives the believed statements an inferred one rests on.
    """
    belief = record.believed(as_of)
    sums = reckon(belief.graph, record.collection.margin)
    for triple in reckoned:
        sums.add(triple)
    follows = bind(Graph())
    for triple in inferred:
        follows.add(triple)
    day = as_of.isoformat() if as_of else ""
    return Contents(
        base=record.base,
        claims=tuple(claim for claim in record.claims if not day or claim.recorded_on <= day),
        current=frozenset(URIRef(claim.iri) for claim in belief.claims),
        believed=belief.graph,
        record=record_graph(record, as_of),
        inferred=follows,
        reckoned=sums,
        vocabulary=vocabulary(),
        why=why,
    )


@dataclass(frozen=True)
class Answers:
    """Answers questions about one record.

    Attributes
    ----------
    contents
        What its dataset is made of; see `gather`.
    """

    contents: Contents

    @cached_property
    def store(self) -> ox.Store:
        """The dataset as SPARQL sees it."""
        return store(self.contents)

    @cached_property
    def asked(self) -> Asked:
        """What named questions are put to."""
        return Asked(
            self.store,
            Things(self.store, self.contents.base),
            Evidence(self.contents, self.store),
        )

    @property
    def dataset(self) -> Dataset:
        """The dataset as exports write it, literals to the letter; made anew each time."""
        return dataset.dataset(self.contents)

    def ask(self, name: str, **parameters: object) -> Answer:
        """Put a named question; see `glost.answer.questions.Question.ask`."""
        return question(name).ask(self.asked, **parameters)

    def sparql(self, text: str, *, seconds: float | None = None) -> sparql.Result:
        """Answer free SPARQL; see `glost.answer.sparql.run`."""
        return sparql.run(self.store, text, seconds=seconds)
