"""Named questions: each a SPARQL query with a header, and answers that say what they rest on."""

import csv
import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property, partial
from pathlib import Path
from typing import TypeAlias

import pyoxigraph as ox
from rdflib import BNode, Literal, URIRef

from glost.answer import groups
from glost.answer.evidence import Bindings, FindsClaims
from glost.answer.headers import (
    Header,
    LeftOut,
    Parameter,
    filled,
    read_header,
    read_left_out,
)
from glost.answer.parameters import Bound, Things, about, bind
from glost.answer.store import Queried, from_store
from glost.record.claims import Claim, Passage, Triple
from glost.record.errors import nearest
from glost.record.spreadsheets import guarded
from glost.record.terms import Term
from glost.usage import UsageError

_Bindings: TypeAlias = dict[str, Term | None]
Value = URIRef | BNode | Literal | None
"""A cell of an answer; None where there is nothing to say."""

FOLDER = Path(__file__).with_name("questions")
"""Where the questions' files lie."""


class UnknownQuestion(UsageError, KeyError):  # noqa: N818 - said to a user as it stands
    """There is no question of this name; the message says which is nearest."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.remedy = "glost ask --list shows them all"
        near = nearest(name, catalogue())
        if near:
            self.remedy = f'did you mean "{near}"?'
        super().__init__(name)

    def __str__(self) -> str:
        """Return the message as a sentence."""
        return f'there is no question "{self.name}"; {self.remedy}'


ANY = "any"
"""How the heading of an answer names a parameter that was left open."""


@dataclass(frozen=True)
class Supported:
    """What an answer says, in a row or beside them, with what it rests on."""

    _find: Callable[[], tuple[Claim, ...]] = field(repr=False, compare=False)
    _find_iris: Callable[[], tuple[str, ...]] | None = field(
        default=None, kw_only=True, repr=False, compare=False
    )
    _beyond: Callable[[], tuple[Triple, ...]] = field(
        default=tuple, repr=False, compare=False, kw_only=True
    )

    @cached_property
    def support(self) -> tuple[Claim, ...]:
        """The claims the row rests on, sorted by IRI."""
        return self._find()

    @cached_property
    def beyond(self) -> tuple[Triple, ...]:
        """Statements it rests on of which only the collection can tell from which claims."""
        return self._beyond()

    @cached_property
    def claims(self) -> tuple[str, ...]:
        """The IRIs of the claims the row rests on, for which none need be looked up."""
        if self._find_iris is not None:
            return self._find_iris()
        return tuple(str(claim.iri) for claim in self.support)

    @property
    def passages(self) -> tuple[Passage, ...]:
        """The passages the row rests on, each once, by source and locator."""
        found = {claim.passage for claim in self.support}
        return tuple(sorted(found, key=lambda p: (p.source, p.locator, p.region)))


@dataclass(frozen=True)
class AnswerRow(Supported):
    """A row of an answer.

    Attributes
    ----------
    values
        What it says, in the order of the answer's columns.
    found
        All that its query found for it, by variable: once or more.
    """

    values: tuple[Value, ...]
    found: Sequence[Bindings] = field(default=(), repr=False, compare=False)


@dataclass(frozen=True)
class AnswerNote(Supported):
    """What an answer leaves out, and why.

    Attributes
    ----------
    sentence
        What it says, with ``{name}`` for each of its values.
    values
        Its values by name.
    """

    sentence: str
    values: Mapping[str, Value]

    def text(self, words: Callable[[Value], str]) -> str:
        """Return the sentence; `words` says how each value reads."""
        return filled(self.sentence, lambda name: words(self.values[name]))


@dataclass(frozen=True)
class Answer:
    """The answer to a question.

    Attributes
    ----------
    question
        What was asked.
    parameters
        What it was asked about: written terms by parameter name.
    columns
        Names of the columns.
    rows
        The rows, in the question's order, no two alike.
    notes
        What they leave out and why; why there are none; who counts which shapes in a group that
        was given for a shape.
    """

    question: "Question"
    parameters: Mapping[str, str]
    columns: tuple[str, ...]
    rows: tuple[AnswerRow, ...]
    notes: tuple[AnswerNote, ...] = ()

    @property
    def settings(self) -> tuple[tuple[str, Value], ...]:
        """The value of every parameter, defaults included; None where it was left open."""
        written = self.question.header.settings(self.parameters)
        return tuple((name, value_of(text)) for name, text in written)

    def heading(self, words: Callable[[Value], str]) -> tuple[str, ...]:
        """Return the lines that stand above the rows: what was asked of what, what is left out."""
        return (
            self.question.text,
            *(f"{name}: {ANY if value is None else words(value)}" for name, value in self.settings),
            *(f"note: {note.text(words)}" for note in self.notes),
        )

    def table(self, words: Callable[[Value], str]) -> list[list[str]]:
        """Return the rows as text; `words` says how each value reads."""
        return [[words(value) for value in row.values] for row in self.rows]

    def csv(self, words: Callable[[Value], str] = lambda value: str(value or "")) -> str:
        """Return the answer as CSV (RFC 4180, but lines end in a newline alone).

        Its heading stands first, in lines of comment that begin with ``#``, as the CSV on the Web
        vocabulary has it.
        """
        text = io.StringIO()
        text.writelines(f"# {' '.join(line.split())}\n" for line in self.heading(words))
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(self.columns)
        writer.writerows(map(guarded, row) for row in self.table(words))
        return text.getvalue()


@dataclass(frozen=True)
class QuestionData:
    """What questions are put to: the dataset, the things in it, and the claims under it."""

    store: Queried
    things: Things
    evidence: FindsClaims


@dataclass(frozen=True, slots=True)
class Question:
    """A named question.

    Attributes
    ----------
    header
        All that its file says of it, and its query.
    left_out
        Finds what its answers leave out; None if they leave out nothing that needs a word.
    """

    header: Header
    left_out: LeftOut | None = None

    @property
    def name(self) -> str:
        """What it is called."""
        return self.header.name

    @property
    def text(self) -> str:
        """The question, a sentence."""
        return self.header.question

    @property
    def parameters(self) -> tuple[Parameter, ...]:
        """What it can be asked about."""
        return self.header.parameters

    def ask(self, asked: QuestionData, **parameters: object) -> Answer:
        """Put the question.

        Parameters
        ----------
        asked
            What it is put to; `glost.answer.answers.Answers` has one.
        **parameters
            Years and numbers as such or as text; things by id, by kind and id, by IRI or by name.

        Returns
        -------
        Answer
            Its rows know the claims and passages they rest on.

        Raises
        ------
        ParameterError
            If a parameter is missing, unknown or names nothing in the record.
        """
        bound = bind(self.header, parameters, asked.things)
        header = about(self.header, bound)
        columns = tuple(column for column, _ in header.columns)
        query = header.bound(bound.filled)
        rows = tuple(row for row, _ in self._rows(asked.store, asked.evidence, header, query))
        notes = (*_members(asked, bound), *self._notes(asked, bound.filled))
        return Answer(self, bound.given, columns, rows, notes)

    def rows(
        self, store: Queried, evidence: FindsClaims, query: str
    ) -> tuple[tuple[AnswerRow, frozenset[str]], ...]:
        """Return the rows that its query finds, with whatever it is bound to.

        Parameters
        ----------
        store, evidence
            What it is put to.
        query
            The header's query, bound to what it is asked about.

        Returns
        -------
        tuple
            Each row with the IRIs that the header's ``claim`` variables give it, which take no
            looking up.
        """
        named = self.header.claims
        return tuple(
            (row, frozenset(term.value for each in found for name in named if (term := each[name])))
            for row, found in self._rows(store, evidence, self.header, query)
        )

    def _rows(
        self, store: Queried, evidence: FindsClaims, header: Header, query: str
    ) -> Iterator[tuple[AnswerRow, list[_Bindings]]]:
        merged: dict[tuple[Term | None, ...], list[_Bindings]] = {}
        for row in _solutions(self.name, store, query):
            merged.setdefault(tuple(row[column] for column, _ in header.columns), []).append(row)
        for cells, rows in merged.items():
            values = tuple(_value(term) for term in cells)
            find, beyond = _finders(evidence, header, rows)
            iris = _namer(evidence, header, rows)
            yield AnswerRow(find, values, rows, _find_iris=iris, _beyond=beyond), rows

    def _notes(self, asked: QuestionData, bound: Mapping[str, str]) -> Iterator[AnswerNote]:
        if self.left_out is None:
            return
        for row in _solutions(self.name, asked.store, self.left_out.bound(bound)):
            values = {name: _value(term) for name, term in row.items()}
            sentence = self.left_out.says[str(values.pop("case"))]
            find, beyond = _finders(asked.evidence, self.left_out, [row])
            yield AnswerNote(find, sentence, values, _beyond=beyond)


def _members(asked: QuestionData, bound: Bound) -> Iterator[AnswerNote]:
    """Say of each group that stands for its members who counts which shapes in it."""
    for group in sorted(set(bound.groups.values())):
        said = groups.said_in_store(asked.store, asked.evidence.making, group)
        for each in groups.memberships(said, group):
            values = {name: URIRef(iri) for name, iri in each.values.items()}
            claims = partial(tuple, map(asked.evidence.claim, each.claims))
            yield AnswerNote(claims, each.sentence, values)


def _solutions(name: str, store: Queried, query: str) -> Iterator[_Bindings]:
    solutions = store.query(query)
    if not isinstance(solutions, ox.QuerySolutions):
        raise TypeError(f"{name}.rq is not a SELECT query")
    names = [variable.value for variable in solutions.variables]
    for solution in solutions:
        yield {each: _term(solution[each]) for each in names}


def _finders(
    evidence: FindsClaims, of: Header | LeftOut, rows: list[_Bindings]
) -> tuple[Callable[[], tuple[Claim, ...]], Callable[[], tuple[Triple, ...]]]:
    """Return what finds the claims under some rows, and what no claim there makes."""
    named = of.claims if isinstance(of, Header) else ()

    def find() -> tuple[Claim, ...]:
        found: dict[str, Claim] = {}
        for row in rows:
            for claim in evidence.claims(of.evidence, named, row):
                found[str(claim.iri)] = claim
        return tuple(found[iri] for iri in sorted(found))

    def beyond() -> tuple[Triple, ...]:
        told = (evidence.beyond(of.evidence, row) for row in rows)
        return tuple(sorted({each for some in told for each in some}))

    return find, beyond


def _namer(
    evidence: FindsClaims, header: Header, rows: list[_Bindings]
) -> Callable[[], tuple[str, ...]]:
    def iris() -> tuple[str, ...]:
        found = {evidence.iris(header.evidence, header.claims, row) for row in rows}
        if len(found) == 1:
            return found.pop()
        return tuple(sorted({iri for some in found for iri in some}))

    return iris


def value_of(written: str) -> Value:
    """Return the value that a term stands for as a query writes it; None if none is written."""
    if not written:
        return None
    (row,) = _solutions("a term", ox.Store(), f"SELECT ({written} AS ?value) {{}}")
    return _value(row["value"])


def _term(value: object) -> Term | None:
    if value is None or isinstance(value, ox.NamedNode | ox.BlankNode | ox.Literal):
        return value
    raise TypeError(f"a statement about a statement is no cell of an answer: {value}")


def _value(term: Term | None) -> Value:
    return None if term is None else from_store(term)


@cache
def catalogue() -> dict[str, Question]:
    """Return every named question, by name, sorted."""
    files = sorted(FOLDER.glob("*.rq"))
    if not files:
        raise FileNotFoundError(f"no questions in {FOLDER}; install glost again")
    return {file.stem: _question(file) for file in files}


def topics() -> dict[str, list[Question]]:
    """Return every named question under its topic; topics and questions sorted."""
    found: dict[str, list[Question]] = {}
    for question in catalogue().values():
        found.setdefault(question.header.topic, []).append(question)
    return dict(sorted(found.items()))


def _question(file: Path) -> Question:
    beside = file.parent / "left-out" / file.name
    left_out = read_left_out(file.stem, beside.read_text("utf-8")) if beside.is_file() else None
    return Question(read_header(file.stem, file.read_text(encoding="utf-8")), left_out)


def question(name: str) -> Question:
    """Return a question by name.

    Raises
    ------
    UnknownQuestion
        If there is none; says which is nearest.
    """
    found = catalogue().get(name)
    if found is None:
        raise UnknownQuestion(name)
    return found


def describe(asked: Question) -> str:
    """Return what a question's header says, as Markdown."""
    header = asked.header
    lines = [f"### {header.name}", "", header.question, "", header.why, ""]
    if header.parameters:
        lines += ["| parameter | what | meaning |", "|---|---|---|"]
        for parameter in header.parameters:
            kind = " or ".join(parameter.kinds)
            given = "must be given"
            if parameter.default:
                given = f"{parameter.default} if left out"
            elif parameter.optional:
                given = "all if left out"
            lines.append(f"| `{parameter.name}` | {kind}; {given} | {parameter.meaning} |")
        lines.append("")
    lines += ["| column | meaning |", "|---|---|"]
    lines += [f"| `{column}` | {meaning} |" for column, meaning in header.columns]
    if header.unsupported:
        lines += ["", f"Rows may rest on no claim: {header.unsupported}"]
    return "\n".join([*lines, ""])
