"""To ask: named questions as forms, and free SPARQL."""

import csv
import io
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from http import HTTPStatus
from urllib.parse import urlencode

from markupsafe import Markup
from starlette.responses import Response

from glost.answer.answers import Answers
from glost.answer.headers import Parameter
from glost.answer.parameters import ParameterError
from glost.answer.questions import Question, Value, catalogue, topics
from glost.answer.refusals import QueryError
from glost.desk.asked import Asked, Missing, Routes
from glost.desk.frame import page
from glost.desk.opened import Opened
from glost.desk.state import State
from glost.names import PREFIXES
from glost.record.errors import RecordErrors
from glost.record.spreadsheets import guarded
from glost.report.as_html import ColumnHeading, Html
from glost.report.results.answer import is_number, left_out, table
from glost.report.results.plain import table as plain_table
from glost.report.things.conflicts import in_dispute
from glost.report.tree import Column, Part, Ref, Report, Section
from glost.words.sentences import value_in_words

ROWS = 500
"""Rows that a page shows."""
_PICKED = 400
"""More things than this are typed and found, not picked."""
_SECONDS = 20.0
"""Seconds after which a query is stopped."""
_FIRST = """\
SELECT ?shape ?name WHERE {
  ?shape a glost:Shape ;
    rdfs:label ?name .
}
ORDER BY ?name
"""


def questions(opened: Opened, asked: Asked) -> Response:
    """Show every named question, by topic."""
    state = opened.state(asked.as_of)
    return page("questions", state, here="/questions", topics=topics())


def question(opened: Opened, asked: Asked) -> Response:
    """Show a named question: its form, and its answer once it was put."""
    state = opened.state(asked.as_of)
    found = catalogue().get(asked.places["name"])
    if found is None:
        raise Missing(f'there is no question "{asked.places["name"]}"')
    header = found.header
    given = {each.name: asked.get(each.name) for each in header.parameters}
    given = {name: text for name, text in given.items() if text}
    put = "put" in asked.fields or bool(given) or not header.parameters
    address = f"/ask/{header.name}?{urlencode({**given, 'put': '1', **_day(state)})}"
    values: dict[str, object] = {"answer": "", "end": "", "shown": 0, "count": 0, "wrong": ()}
    status = HTTPStatus.OK
    if put:
        try:
            if asked.get("as") == "csv":
                return _as_csv(state, found, given)
            values |= _answered(state, found, given, asked, address)
        except ParameterError as bad:
            values["wrong"], status = bad.errors, HTTPStatus.BAD_REQUEST
    return page(
        "question",
        state,
        here="/questions",
        status=status,
        header=header,
        given=given,
        put=put and not values["wrong"],
        picks={each.name: picks(state, each) for each in header.parameters},
        address=address,
        only=asked.get("only"),
        **values,
    )


def _day(state: State) -> dict[str, str]:
    return {"as_of": state.as_of.isoformat()} if state.as_of else {}


def picks(state: State, parameter: Parameter) -> list[tuple[str, str]]:
    """Return what a question may be asked of, each with its name; nothing if that is free."""
    found: dict[str, str] = {}
    for kind in parameter.kinds:
        if kind == "form":
            for slug, iri in state.record.schemes["form"].iris.items():
                found[slug] = state.called(str(iri))
        for name in state.record.ids.get(kind, ()):
            found[f"{kind}/{name}"] = state.called(str(state.iri(kind, name)))
    if "shape" in parameter.kinds:
        for name in state.record.ids.get("group", ()):
            found[f"group/{name}"] = state.called(str(state.iri("group", name)))
    listed = sorted(found.items(), key=lambda item: (item[1].casefold(), item[0]))
    return listed if len(listed) <= _PICKED else []


def _answered(
    state: State, found: Question, given: dict[str, str], asked: Asked, address: str
) -> dict[str, object]:
    """Put a question and return what a page shows of its answer."""
    answer = state.ask(found.name, given)
    words = partial(_words, state)
    rows = list(answer.rows)
    only = asked.get("only").casefold()
    if only:
        rows = [r for r in rows if any(only in words(v).casefold() for v in r.values)]
    if asked.get("by") in answer.columns:
        at = answer.columns.index(asked.get("by"))
        rows.sort(key=lambda row: _order(state, row.values[at]), reverse=asked.get("down") == "1")
    shown = replace(answer, rows=tuple(rows[:ROWS]))
    parts: list[Part] = list(left_out(answer, state.said, words))
    parts += [table(shown, state.said, words).trimmed()] if rows else []
    section = Section("rows", "", tuple(parts))
    made = Html(
        Report("", answer.question.text, sections=(section,)),
        state.link,
        rests="places",
        heads=partial(_head, dict(found.header.columns), asked, address),
        disputed=lambda claim: in_dispute(state.basis, claim.iri),
    )
    return {
        "answer": made.parts(section),
        "end": made.end(),
        "shown": len(shown.rows),
        "count": len(rows),
    }


def _head(meanings: dict[str, str], asked: Asked, address: str, column: Column) -> ColumnHeading:
    """Write the heading of a column: it leads to the same rows sorted by it."""
    sorted_ = asked.get("by") == column.name
    down = sorted_ and asked.get("down") != "1"
    more = {"by": column.name, **({"down": "1"} if down else {})}
    more |= {"only": asked.get("only")} if asked.get("only") else {}
    attributes = Markup(' title="{}"').format(meanings.get(column.name, ""))
    if sorted_:
        attributes += Markup(' aria-sort="{}"').format("ascending" if down else "descending")
    told = Markup('<a href="{}&amp;{}">{}</a>').format(address, urlencode(more), column.title)
    return ColumnHeading(str(told), str(attributes))


def _words(state: State, value: Value) -> str:
    return "" if value is None else value_in_words(value, state.snapshot.words)


def _order(state: State, value: Value) -> tuple[int, float, str]:
    """Sort numbers as numbers, all else by its words; what is empty comes last."""
    if value is None:
        return 2, 0.0, ""
    if is_number(value):
        return 0, float(str(value)), ""
    return 1, 0.0, _words(state, value).casefold()


def _as_csv(state: State, found: Question, given: dict[str, str]) -> Response:
    answer = state.ask(found.name, given)
    text = answer.csv(lambda value: _words(state, value))
    return _file(text, f"{found.name}.csv")


def _file(text: str, name: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type="text/csv; charset=utf-8", headers=headers)


def sparql(opened: Opened, asked: Asked) -> Response | Callable[[], Response]:
    """Answer free SPARQL, in a process of its own that is stopped if it takes too long."""
    state = opened.state(asked.as_of)
    text = asked.get("query")
    if not text:
        return _sparql_page(state, _FIRST, False)
    answers = state.answers
    _ = answers.store  # made here; it is only read from then on
    return partial(_queried, state, answers, text, asked.get("as") == "csv")


def _queried(state: State, answers: Answers, text: str, as_csv: bool) -> Response:
    try:
        result = answers.sparql(text, seconds=_SECONDS)
    except QueryError as bad:
        return _sparql_page(state, text, True, wrong=str(bad))
    if result.form == "table":
        columns, *rows = list(csv.reader(io.StringIO(result.write("csv"))))
    elif result.form == "yes or no":
        columns, rows = ["answer"], [["yes" if bool(result) else "no"]]
    else:
        columns, rows = ["statement"], [[line] for line in result.write("turtle").splitlines()]
    if as_csv:
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows([columns, *(map(guarded, r) for r in rows)])
        return _file(out.getvalue(), "answer.csv")
    return _sparql_page(state, text, True, columns, rows)


def _sparql_page(
    state: State,
    text: str,
    put: bool,
    columns: Sequence[str] = (),
    rows: Sequence[Sequence[str]] = (),
    wrong: str = "",
) -> Response:
    return page(
        "sparql",
        state,
        here="/questions",
        status=HTTPStatus.BAD_REQUEST if wrong else HTTPStatus.OK,
        text=text,
        put=put,
        answer=_plain(state, columns, rows[:ROWS]),
        count=len(rows),
        wrong=wrong,
        prefixes=sorted(PREFIXES),
    )


def _plain(state: State, columns: Sequence[str], rows: Sequence[Sequence[str]]) -> Markup:
    """Write the rows of an answer to free SPARQL; whatever is on record leads to its page."""
    cells = [[Ref(cell, cell) if state.link(cell) else cell for cell in row] for row in rows]
    report = plain_table("Result", columns, cells, "The dataset, asked in SPARQL")
    return Html(report, state.link, rests="nothing").parts(report.sections[0])


def pictures(opened: Opened, asked: Asked) -> Response:
    """Show what can be drawn."""
    from glost.publish.pictures.subjects import subjects, told

    state = opened.state(asked.as_of)
    found = subjects()
    return page("pictures", state, here="/pictures", subjects=found, told=told())


def picture(opened: Opened, asked: Asked) -> Response:
    """Show a picture, whose things lead to themselves, and the same in words."""
    from glost.publish.pictures.subjects import draw, subjects

    state = opened.state(asked.as_of)
    what = asked.places["what"]
    if what not in subjects():
        raise Missing(f'nothing called "{what}" can be drawn')
    of = asked.get("of")
    try:
        drawn = draw(state.snapshot, what, of)
        sheets = [Markup(drawn.svg(at, state.link, f"s{at}")) for at in range(len(drawn.sheets))]
    except RecordErrors as bad:
        return page(
            "picture", state, here="/pictures", status=HTTPStatus.BAD_REQUEST, what=what, of=of,
            subject=subjects()[what], picture=None, sheets=[], wrong=[e.message for e in bad.errors]
            + [e.remedy for e in bad.errors],
        )  # fmt: skip
    if asked.get("as") == "csv":
        return _file(drawn.words.csv(), f"{what}.csv")
    return page(
        "picture", state, here="/pictures", what=what, of=of, subject=subjects()[what],
        picture=drawn, sheets=sheets, wrong=[],
    )  # fmt: skip


ROUTES: Routes = (
    ("/questions", questions),
    ("/ask/{name}", question),
    ("/sparql", sparql),
    ("/pictures", pictures),
    ("/picture/{what}", picture),
)
