"""The answer to a named question."""

from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal
from typing import TYPE_CHECKING

from msgspec import structs
from rdflib import Literal, URIRef

from glost.answer.questions import ANY, Answer, AnswerRow, Supported, Value
from glost.report.tree import (
    Cell,
    Column,
    Ground,
    Group,
    Part,
    Ref,
    Report,
    Row,
    Rule,
    Section,
    Statement,
    Table,
    plain,
)
from glost.words.english import count

if TYPE_CHECKING:
    from glost.answer.across import AnswerAcross
    from glost.report.things.said import Said
    from glost.trade.linking.links import Link

_ASKED = Rule("What was asked")
_LEFT_OUT = Rule("Looked for in all that is on record")
_NOT_ASKED = Rule("What each row rests on is looked up when it is asked for")
_ELSEWHERE = "the collection tells from which claims"
_COUNTED = Rule("Counted from the rows")


def told(
    answer: Answer,
    said: "Said | None",
    called: Callable[[Value], str],
    across: "AnswerAcross | None" = None,
) -> Report:
    """Tell the answer to a question.

    Parameters
    ----------
    answer
        The answer.
    said
        Words statements; None if nobody asks what each row rests on, which takes looking up.
    called
        Says how a value reads.
    across
        The same answer with the links that it went over, if it did.

    Returns
    -------
    Report
        First what it was asked about, every parameter with its value; section ``answer``: what it
        leaves out, and the rows.
    """
    lead = tuple(
        Statement((ANY if value is None else _cell(value, called) or ANY,), (_ASKED,),
                  _name=(name,))
        for name, value in answer.settings
    )  # fmt: skip
    parts: list[Part] = list(left_out(answer, said, called))
    shown = table(answer, said, called)
    if across is not None:
        parts += _denied(across, said, called)
        over = (_through(links, called) for links in across.links)
        rows = tuple(
            structs.replace(row, cells=(*row.cells, cell))
            for row, cell in zip(shown.rows, over, strict=True)
        )
        shown = Table((*shown.columns, Column("through", "through")), rows)
    parts.append(shown)
    parts.append(Group((Statement((f"{count(len(answer.rows), 'row')}.",), (_COUNTED,)),)))
    section = Section("answer", "The answer", tuple(parts))
    return Report("", answer.question.text, lead, (section,))


def left_out(
    answer: Answer, said: "Said | None", called: Callable[[Value], str]
) -> Iterator[Group]:
    """Tell what an answer leaves out and why, if it does; see `told`."""
    notes = tuple(
        Statement((note.text(called),), _grounds(note, said) or (_LEFT_OUT,))
        for note in answer.notes
    )
    if notes:
        yield Group(notes)


def table(answer: Answer, said: "Said | None", called: Callable[[Value], str]) -> Table:
    """Tell the rows of an answer alone, each with what it rests on; see `told`."""
    return Table(columns(answer), tuple(_row(answer, row, said, called) for row in answer.rows))


def columns(answer: Answer) -> tuple[Column, ...]:
    """Return the columns of an answer; of numbers are those whose every value is one."""
    of = zip(answer.columns, _types(answer), strict=True)
    return tuple(Column(name, name.replace("_", " "), type_) for name, type_ in of)


def _types(answer: Answer) -> Iterator[str]:
    for at in range(len(answer.columns)):
        values = [row.values[at] for row in answer.rows if row.values[at] is not None]
        yield "number" if values and all(map(is_number, values)) else "text"


def is_number(value: Value) -> bool:
    """Say whether a value is a number."""
    return isinstance(value, Literal) and isinstance(value.value, int | float | Decimal)


def _through(links: "Iterable[Link]", called: Callable[[Value], str]) -> Cell:
    told: list[str | Ref] = []
    for link in links:
        told += ["; "] if told else []
        told.append(Ref(str(link.iri), called(link.iri)))
    return tuple(told)


def _denied(
    across: "AnswerAcross", said: "Said | None", called: Callable[[Value], str]
) -> Iterator[Part]:
    """Say which links were not gone across."""
    notes = tuple(
        Statement(
            ("Not gone across, since another link denies it: ",
             Ref(str(link.iri), called(link.iri)), "."),
            said.passages(link.claims) if said is not None else (_LEFT_OUT,),
        )
        for link in across.denied
    )  # fmt: skip
    if notes:
        yield Group(notes)


def _row(
    answer: Answer, row: AnswerRow, said: "Said | None", called: Callable[[Value], str]
) -> Row:
    cells: tuple[Cell, ...] = tuple(_cell(value, called) for value in row.values)
    none = Rule(answer.question.header.unsupported or _LEFT_OUT.text)
    return Row(cells, _grounds(row, said) or (none,))


def _grounds(of: Supported, said: "Said | None") -> tuple[Ground, ...]:
    if said is None:
        return (_NOT_ASKED,)
    beyond = (plain(said.sentence(each)) for each in of.beyond)
    rules = (Rule(f"{each} (inferred or calculated: {_ELSEWHERE})") for each in beyond)
    return (*said.passages(of.support), *dict.fromkeys(rules))


def _cell(value: Value, called: Callable[[Value], str]) -> str | Ref:
    if isinstance(value, URIRef):
        return Ref(str(value), called(value))
    return called(value) if isinstance(value, Literal) else ""
