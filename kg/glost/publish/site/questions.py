"""A page for every named question, with its answers and the claims under each row."""

from collections.abc import Iterator
from itertools import permutations

from markupsafe import Markup
from rdflib import URIRef

from glost.answer.headers import Parameter
from glost.answer.holdings import holdings as count
from glost.answer.parameters import ParameterError
from glost.answer.questions import ANY, Answer, AnswerRow, Question, Value, catalogue
from glost.publish.site.entities import ROOT, Entities
from glost.publish.site.frame import fill

_ROWS = 40
_FEWER = 6
_ASKED = 8
_GROUNDS = 4


def question_pages(entities: Entities) -> Iterator[tuple[str, bytes]]:
    """Make the list of questions, the page of each, and each answer as CSV."""
    asked = list(catalogue().values())
    yield fill(
        "questions.html", "questions/index.html", entities.frame, title="Questions",
        section="Questions", questions=asked,
    )  # fmt: skip
    for question in asked:
        yield from _Asking(entities, question).pages()


class _Asking:
    def __init__(self, entities: Entities, question: Question) -> None:
        self._made = entities
        self._held = entities.holdings
        self._question = question

    def pages(self) -> Iterator[tuple[str, bytes]]:
        name = self._question.name
        answers = []
        chosen = self._values()
        most = _ROWS if len(chosen) == 1 else _FEWER
        for number, values in enumerate(chosen):
            try:
                answer = self._held.answers.ask(name, **values)
            except ParameterError:
                continue
            if values and not answer.rows and not answer.notes:
                continue
            file = f"questions/{name}{f'-{number}' if number else ''}.csv"
            yield (
                file,
                answer.csv(self._word).encode(),
            )
            answers.append(self._view(answer, values, file, most))
        yield fill(
            "question.html", f"questions/{name}.html", self._made.frame, title=self._question.text,
            section="Questions", question=self._question, answers=answers,
            needs=[p.name for p in self._question.parameters if _needed(p)],
        )  # fmt: skip

    def _view(
        self, answer: Answer, values: dict[str, str], file: str, most: int
    ) -> dict[str, object]:
        shown = ", ".join(f"{name} {self._called(value)}" for name, value in values.items())
        return {
            "about": shown,
            "columns": [column.replace("_", " ") for column in answer.columns],
            "rows": [self._row(row) for row in answer.rows[:most]],
            "left": max(0, len(answer.rows) - most),
            "count": len(answer.rows),
            "csv": file,
            "settings": [
                (name.replace("_", " "), ANY if value is None else self._word(value))
                for name, value in answer.settings
            ],
            "notes": [note.text(self._word) for note in answer.notes],
        }

    def _word(self, value: Value) -> str:
        return "" if value is None else self._held.words.label(value)

    def _called(self, value: str) -> str:
        iri = URIRef(self._held.base + value)
        return self._held.words.label(iri) if str(iri) in self._held.about else value

    def _row(self, row: AnswerRow) -> dict[str, object]:
        cells = [Markup("") if v is None else self._made.links.a(v, ROOT) for v in row.values]
        claims = row.support
        grounds = [
            self._made.teller.ground(claim, ROOT, self._held.statements[claim.iri])
            for claim in claims[:_GROUNDS]
        ]
        return {"cells": cells, "grounds": grounds, "more": max(0, len(claims) - _GROUNDS)}

    def _values(self) -> list[dict[str, str]]:
        """Choose what to ask about: nothing if that will do, else what most is said of."""
        needed = [p for p in self._question.parameters if _needed(p)]
        if not needed:
            return [{}]
        choices = [self._choices(parameter.kinds) for parameter in needed]
        names = [parameter.name for parameter in needed]
        if len(needed) == 1:
            return [{names[0]: value} for value in choices[0][:_ASKED]]
        pairs = permutations(choices[0][:4], 2)
        return [dict(zip(names, pair, strict=False)) for pair in pairs][:_ASKED]

    def _choices(self, kinds: tuple[str, ...]) -> list[str]:
        if kinds == ("year",):
            years = count(self._held.snapshot.record, self._held.snapshot.as_of).years or (0, 0)
            return [str(y) for y in range(years[0] - years[0] % 10 + 10, years[1] + 1, 10)][-12:]
        found = [
            iri for iri in self._held.things
            if self._held.kind(iri) in kinds or "thing" in kinds
        ]  # fmt: skip
        found.sort(key=lambda iri: (-len(self._held.about[iri]), iri))
        return [iri.removeprefix(self._held.base) for iri in found]


def _needed(parameter: Parameter) -> bool:

    return not parameter.optional and not parameter.default
