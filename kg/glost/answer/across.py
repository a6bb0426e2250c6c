"""The record seen across links: what is asked of one thing is asked of all that it is said to be.

Nothing is made one for it. A view is made, in which every thing that links say is the same goes by
one of its names, and whatever comes of it names the links that it went over. Links that others deny
are not gone across.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from functools import cached_property, partial

import pyoxigraph as ox
from rdflib import Literal, URIRef
from rdflib.term import Node

from glost.answer.evidence import Evidence
from glost.answer.questions import Answer, AnswerRow, QuestionData, Value, question
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.claims import Claim, Triple
from glost.record.sequence import ClaimSequence
from glost.trade.linking.links import Link, LinkKind, links_in


@dataclass(frozen=True)
class AnswerAcross:
    """The answer to a question that was put across links.

    Attributes
    ----------
    answer
        The answer. A thing goes by the first of its names, by IRI; the claims under a row are
        those of the record, and with them those that make the links it went over.
    links
        Of each row, the links it went over; none if it holds without any.
    denied
        The links that were not gone across, since others deny them.
    """

    answer: Answer
    links: tuple[tuple[Link, ...], ...]
    denied: tuple[Link, ...]


class Across:
    """A collection seen across its links.

    Parameters
    ----------
    snapshot
        The collection.

    Attributes
    ----------
    snapshot
        The collection as it is.
    links
        The links that are gone across.
    """

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self._every = links_in(snapshot.belief)
        self.links = self._every.sound

    @cached_property
    def seen(self) -> Snapshot:
        """The collection as it looks across its links; nothing of it is kept."""
        record = self.snapshot.record
        claims = [_seen(claim, self.links.first) for claim in self.snapshot.belief.claims]
        view = replace(
            record, claims=ClaimSequence.given(claims), state="", own=None, members={}, _beliefs={}
        )
        return Snapshot.of(view, self.snapshot.as_of)

    def ask(self, name: str, **parameters: object) -> AnswerAcross:
        """Put a named question across links.

        Parameters
        ----------
        name
            Its name.
        **parameters
            As for `glost.answer.questions.Question.ask`; a thing may be named as any of those that
            it is said to be.

        Raises
        ------
        ParameterError
            If a parameter is missing, unknown or names nothing in the record.
        """
        given, named = self._given(name, parameters)
        asked, made = self._asked
        answer = question(name).ask(asked, **given)
        told = [self._told(row, named, made) for row in answer.rows]
        denied = {link.key: link for link in self._every.every if self._is_denied(link)}
        return AnswerAcross(
            replace(answer, rows=tuple(row for row, _ in told)),
            tuple(links for _, links in told),
            tuple(denied[key] for key in sorted(denied)),
        )

    @cached_property
    def _asked(self) -> tuple[QuestionData, set[ox.Triple]]:
        """What questions are put to, and where the statements are put that claims are found of."""
        answers, made = self.seen.answers, set[ox.Triple]()
        evidence = Evidence(answers.contents, answers.store, answers.contents().why, made.add)
        return QuestionData(answers.store, answers.asked.things, evidence), made

    def _told(
        self, row: AnswerRow, named: frozenset[URIRef], made: set[ox.Triple]
    ) -> tuple[AnswerRow, tuple[Link, ...]]:
        """Return a row as the record has it, with the links it went over."""
        made.clear()
        recorded = [claim for each in row.support for claim in self._recorded(each)]
        looked_up = {_key(triple) for triple in made}
        spoken: dict[URIRef, set[URIRef]] = {}
        shown = {URIRef(str(v).partition("#")[0]) for v in row.values if isinstance(v, URIRef)}
        shown |= {self.links.first[thing] for thing in named if thing in self.links.first}
        for thing in (*named, *self._spoken(recorded, looked_up, shown)):
            if thing in self.links.first:
                spoken.setdefault(self.links.first[thing], set()).add(thing)
        links = self._between(spoken.values())
        claims = {c.iri: c for c in (*recorded, *(c for link in links for c in link.claims))}
        values = tuple(_named(value, spoken) for value in row.values)
        return AnswerRow(lambda: tuple(claims[iri] for iri in sorted(claims)), values), links

    def _spoken(
        self, claims: Iterable[Claim], made: Set[tuple[str, ...]], shown: Set[URIRef]
    ) -> Iterator[URIRef]:
        """Yield the names by which claims, where a row rests on them, speak of things."""
        for claim in claims:
            if self.links.first.get(claim.passage.source) in shown:
                yield claim.passage.source
            told = [t for t in claim.statements if self._seen_key(t) in made]
            for triple in told or claim.statements:
                for term in (triple[0], triple[2]):
                    thing = (
                        URIRef(str(term).partition("#")[0]) if isinstance(term, URIRef) else None
                    )
                    # A claim that a row names as a whole speaks of what the row shows.
                    if thing is not None and (told or self.links.first.get(thing) in shown):
                        yield thing

    def _seen_key(self, triple: Triple) -> tuple[str, ...]:
        return _key(tuple(_term(term, self.links.first) for term in triple))

    def _between(self, spoken: Iterable[Set[URIRef]]) -> tuple[Link, ...]:
        found: dict[tuple[str, ...], Link] = {}
        for names in spoken:
            start, *others = sorted(names)
            for far in others:
                found |= {link.key: link for link in self.links.path(start, far)}
        return tuple(found[key] for key in sorted(found))

    def _is_denied(self, link: Link) -> bool:
        return link.kind is LinkKind.SAME and link.one not in self.links.first

    def _given(
        self, name: str, parameters: Mapping[str, object]
    ) -> tuple[dict[str, object], frozenset[URIRef]]:
        """Name things as the view does; return the names under which they were asked about too."""
        kinds = {each.name: each.kinds for each in question(name).parameters}
        things = self.snapshot.answers.asked.things
        given, named = dict(parameters), set[URIRef]()
        for parameter, value in parameters.items():
            if not isinstance(value, str) or _PLAIN.intersection(kinds.get(parameter, ("text",))):
                continue
            found = [URIRef(iri) for iri in things.find(kinds[parameter], value.strip())]
            first = {self.links.first.get(iri, iri) for iri in found}
            if len(first) == 1:
                given[parameter] = str(first.pop())
                named.update(found if len(found) == 1 else ())
        return given, frozenset(named)

    def _recorded(self, claim: Claim) -> tuple[Claim, ...]:
        found = self.snapshot.record.claims.find(str(claim.iri))
        return () if found is None else (found,)


_PLAIN = frozenset({"text", "year", "number"})
"""Kinds of parameters that name no thing."""


def _named(value: Value, spoken: Mapping[URIRef, Set[URIRef]]) -> Value:
    """Return a thing, or a point of its life, by a name under which a row speaks of it."""
    if not isinstance(value, URIRef):
        return value
    whole, mark, point = str(value).partition("#")
    return URIRef(f"{min(spoken.get(URIRef(whole), {whole}))}{mark}{point}")


def _things(claim: Claim) -> Iterator[URIRef]:
    """Yield what a claim speaks of, and what it rests on; of a link itself nothing."""
    if _is_link(claim):
        return
    yield claim.passage.source
    for subject, _, value in claim.statements:
        for term in (subject, value):
            if isinstance(term, URIRef):
                yield URIRef(str(term).partition("#")[0])


def _is_link(claim: Claim) -> bool:
    return any(triple[1] == GLOST.linkKind for triple in claim.statements)


def _seen(claim: Claim, first: Mapping[URIRef, URIRef]) -> Claim:
    """Return a claim as it looks across links: each thing by the first of its names."""
    if _is_link(claim) or not any(thing in first for thing in _things(claim)):
        return claim
    source = claim.passage.source
    return replace(
        claim,
        passage=replace(claim.passage, source=first.get(source, source)),
        expand=partial(_statements, claim, first),
    )


def _statements(claim: Claim, first: Mapping[URIRef, URIRef]) -> tuple[Triple, ...]:
    made = (tuple(_term(term, first) for term in triple) for triple in claim.statements)
    return tuple(dict.fromkeys(made))  # type: ignore[arg-type]


def _term(term: Node, first: Mapping[URIRef, URIRef]) -> Node:
    if not isinstance(term, URIRef):
        return term
    whole, mark, point = str(term).partition("#")
    known = first.get(URIRef(whole))
    return term if known is None else URIRef(f"{known}{mark}{point}")


def _key(triple: ox.Triple | Sequence[Node]) -> tuple[str, ...]:
    """Return a statement as it is compared: the store writes some literals its own way."""
    if isinstance(triple, ox.Triple):
        value = triple.object
        literal = isinstance(value, ox.Literal)
        ends = str(getattr(triple.subject, "value", "")), triple.predicate.value
        return (*ends, "" if literal else str(getattr(value, "value", "")))
    subject, predicate, value_ = triple
    return str(subject), str(predicate), "" if isinstance(value_, Literal) else str(value_)
