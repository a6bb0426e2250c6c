"""Pages of every named question: all it answers, and the claims under each row."""

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from itertools import permutations

from rdflib import Literal, URIRef

from glost.answer.headers import Parameter
from glost.answer.parameters import ParameterError
from glost.answer.questions import ANY, Answer, Question, Value, topics
from glost.names import GLOST
from glost.publish.site.entities import Entities
from glost.publish.site.folder import Content
from glost.publish.site.frame import fill
from glost.publish.site.paths import more
from glost.publish.site.units import Units
from glost.report.results.answer import columns, left_out, table
from glost.report.tree import Report, Section, Table

_ROWS = 40
"""Rows of a page of an answer."""

_FEW = 60
"""Things that are few enough for a question to be asked of each, on a page of its own."""

_FEWER = 8
"""Of how many it is asked where there are more than a few: of those of which most is said."""

_YEARS = 200
_PAIRED = 4
"""Of how many things pairs are asked about, each with each."""


def question_pages(entities: Entities, units: Units) -> Iterator[tuple[str, Content]]:
    """Make the list of questions, and the pages of each with its answers as CSV."""
    yield fill(
        "questions.html", "questions/index.html", entities.frame, title="Questions",
        section="Questions", topics=topics(),
    )  # fmt: skip
    for asked in topics().values():
        for question in asked:
            yield from _Asking(entities, question, units).pages()


@dataclass(frozen=True, slots=True)
class _Choice:
    """What a question may be asked of: a word for it, the page of its answer, how many rows."""

    name: str
    file: str
    rows: int


class _Asking:
    def __init__(self, entities: Entities, question: Question, units: Units) -> None:
        self._made, self._units = entities, units
        self._noted = entities.noted
        self._held = entities.holdings
        self._question = question
        self._needed = [p for p in question.parameters if _needed(p)]
        self._by_year = [parameter.kinds for parameter in self._needed] == [("year",)]

    def pages(self) -> Iterator[tuple[str, Content]]:
        """Make the question's page, and of one that must be asked of something a page for each."""
        stem = f"questions/{self._question.name}"
        if not self._needed:
            yield from self._unit({}, f"{stem}.html")
            return
        choices = []
        for values in self._values():
            file = f"{stem}/{_slug(values.values())}.html"
            made = list(self._unit(values, file))
            if made:
                rows = self._units.number
                choices.append(_Choice(self._about(values), file, rows))
                yield from made
        yield fill(
            "question.html", f"{stem}.html", self._made.frame, title=self._question.text,
            section="Questions", question=self._question, csv="",
            needs=[parameter.name for parameter in self._needed],
            decades=_decades(choices) if self._by_year else {},
            choices=[] if self._by_year else choices,
        )  # fmt: skip

    def _unit(self, values: dict[str, str], file: str) -> Iterator[tuple[str, Content]]:
        """Make the pages of one answer, or take those as they stand that show the same.

        What is asked is a unit by itself, and each page of the answer another: where one row is
        another than it was, the other pages stand.
        """
        units, name = self._units, f"{self._question.name} {file}"
        there = units.standing("answer", name)
        if there is not None and all(units.stands("rows", each) for each in there[0]):
            for each in there[0]:
                yield from units.one("rows", each, lambda _: ())
            units.number = there[1]
            return
        looks = units.looks.looks = set()
        answer, files = self._answer(values), []
        for page, count, make in () if answer is None else self._answered(answer, values, file):
            files.append(page)
            yield from units.one("rows", page, make, count=count)
        units.number = 0 if answer is None else len(answer.rows)
        units.own.take("answer", name, files, units.number, looks)

    def _answer(self, values: dict[str, str]) -> Answer | None:
        """Put the question; None if the answer says nothing at all of what is asked."""
        try:
            answer = self._noted.asked(self._question, values)
        except ParameterError:
            return None
        empty = values and not answer.rows and (self._by_year or not answer.notes)
        return None if empty else answer

    def _answered(
        self, answer: Answer, values: dict[str, str], file: str
    ) -> Iterator[tuple[str, int, Callable[[str], Iterator[tuple[str, bytes]]]]]:
        """Yield each file of an answer, a digest of what of the answer it shows, and its maker."""
        csv = file.removesuffix(".html") + ".csv"
        notes = [(each.sentence, each.values, each.claims) for each in answer.notes]
        rows = [[sorted((n, str(v)) for n, v in one.items()) for one in row.found]
                for row in answer.rows]  # fmt: skip
        told = columns(answer)
        said = [any(_says(row.values[at]) for row in answer.rows) for at in range(len(told))]
        starts = range(0, len(rows) or 1, _ROWS)
        pages = [more(file, number) for number in range(1, len(starts) + 1)]

        def content(_: str) -> Iterator[tuple[str, bytes]]:
            yield csv, answer.csv(self._word).encode()

        def page(start: int, at: str) -> Iterator[tuple[str, bytes]]:
            some = answer.rows[start : start + _ROWS]
            own = table(replace(answer, rows=some), self._made.said, self._told).rows
            shown = Table(told, own).only(at for at, each in enumerate(said) if each)
            parts = () if start else tuple(left_out(answer, self._made.said, self._told))
            section = Section("rows", "", (*parts, *((shown,) if some else ())))
            made = self._made.answer(Report("", answer.question.text, sections=(section,)), at)
            yield fill(
                "question.html", at, self._made.frame, title=self._question.text,
                section="Questions", question=self._question, needs=(), choices=(), decades={},
                answer=made.parts(section), end=made.end(), asked=list(self._settings(answer)),
                count=len(rows), about=self._about(values), csv=csv, pages=pages,
                number=pages.index(at) + 1, up=f"questions/{self._question.name}.html",
            )  # fmt: skip

        yield csv, self._digest(rows, notes), content
        for start, at in zip(starts, pages, strict=True):
            shows = rows[start : start + _ROWS], told, said, len(rows), () if start else notes
            yield at, self._digest(*shows), partial(page, start)

    def _digest(self, *shown: object) -> int:
        return int(self._units.looks.digest(shown)[:15], 16)

    def _about(self, values: dict[str, str]) -> str:
        if len(values) == 1:
            return self._called(*values.values())
        return ", ".join(f"{name} {self._called(value)}" for name, value in values.items())

    def _settings(self, answer: Answer) -> Iterator[tuple[str, str]]:
        for name, value in answer.settings:
            yield name.replace("_", " "), ANY if value is None else self._told(value)

    def _word(self, value: Value) -> str:
        return "" if value is None else self._noted.words.label(value)

    def _told(self, value: Value) -> str:
        return "" if value is None else str(self._made.said.value(value))

    def _called(self, value: str) -> str:
        iri = URIRef(self._held.base + value)
        there = bool(self._noted.basis.about(str(iri)))
        return self._noted.words.label(iri) if there else value

    def _values(self) -> list[dict[str, str]]:
        """Choose what to ask about, that of which most is said first; years in their order."""
        choices = [self._choices(parameter.kinds) for parameter in self._needed]
        names = [parameter.name for parameter in self._needed]
        if len(names) == 1:
            few = len(choices[0]) <= (_YEARS if self._by_year else _FEW)
            return [{names[0]: value} for value in choices[0][: None if few else _FEWER]]
        if self._needed[0].kinds == ("year",):  # a span of years: decade by decade
            named = Counter(year // 10 * 10 for year in self._bounds())
            most = sorted(named, key=lambda decade: (-named[decade], decade))
            decades = sorted(most[:_FEWER])
            return [dict(zip(names, (str(y), str(y + 9)), strict=True)) for y in decades]
        pairs = list(permutations(choices[0][:_PAIRED], 2))
        return [dict(zip(names, pair, strict=True)) for pair in pairs]

    def _choices(self, kinds: tuple[str, ...]) -> list[str]:
        if kinds == ("year",):
            return [str(year) for year in self._years()]
        found = [
            iri for iri in self._held.things
            if self._held.kind(iri) in kinds or "thing" in kinds
        ]  # fmt: skip
        found.sort(key=lambda iri: (-len(self._held.about[iri]), iri))
        return [iri.removeprefix(self._held.base) for iri in found]

    def _years(self) -> range:
        """Return the years in which anything may have been made, begun or ended."""
        years = self._bounds()
        return range(min(years), max(years) + 1) if years else range(0)

    def _bounds(self) -> list[int]:
        """Return the first and last years of whatever was made, began or ended."""
        return [
            int(str(value))
            for triples in self._held.reckoned.values()
            for subject, predicate, value in triples
            if predicate in _BOUNDS and "#" in str(subject)
        ]


def _says(value: Value) -> bool:
    """Say whether a cell is not empty."""
    return isinstance(value, URIRef) or (isinstance(value, Literal) and str(value) != "")


_BOUNDS = {GLOST.notBeforeYear, GLOST.notAfterYear}


def _decades(choices: Iterable[_Choice]) -> dict[str, list[_Choice]]:
    found: dict[str, list[_Choice]] = {}
    for each in choices:
        found.setdefault(f"{each.name[:-1]}0s", []).append(each)
    return found


def _slug(values: Iterable[str]) -> str:
    """Name a file by what is asked about: plain letters, figures and points."""
    return ".".join(re.sub(r"[^A-Za-z0-9.~-]+", ".", value) for value in values)


def _needed(parameter: Parameter) -> bool:
    """Say whether a question must be asked of something; a year is asked for though one stands."""
    return not parameter.optional and (not parameter.default or parameter.kinds == ("year",))
