"""The command ``glost ask``."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from glost.answer.questions import Answer, Value, describe, question, topics
from glost.answer.refusals import query_text
from glost.answer.snapshot import Snapshot
from glost.answer.sparql import Result
from glost.report.results.answer import told
from glost.report.results.plain import table
from glost.words.labels import Words
from glost_cli import options, printing
from glost_cli.group import ASK

PART = ASK

if TYPE_CHECKING:
    from glost.answer.across import Across, AnswerAcross
    from glost.report.things.said import Said


@click.command()
@click.argument("query", required=False, metavar="[QUESTION|FILE.rq]")
@click.argument("parameters", nargs=-1, metavar="[NAME=VALUE]...")
@options.collection
@options.as_of
@options.report
@click.option("--list", "listing", is_flag=True, help="List the named questions.")
@click.option("--about", is_flag=True, help="Say what QUESTION asks, of what, and why.")
@click.option(
    "--through",
    type=click.Choice(["links"]),
    help="Ask of a thing what is recorded of all that links say it is; each row names its links.",
)
@options.evidence
@click.option(
    "--seconds",
    type=click.FloatRange(min=0, min_open=True),
    default=60.0,
    show_default=True,
    help="Stop a SPARQL file that takes longer.",
)
def ask(
    query: str | None,
    parameters: tuple[str, ...],
    folder: Path,
    as_of: date | None,
    form: str,
    listing: bool,
    about: bool,
    through: str | None,
    evidence: bool,
    seconds: float,
) -> None:
    """Put a named question, or a SPARQL query from a file.

    Without arguments, lists the named questions. Parameters are written NAME=VALUE; a thing is
    named by id, by kind/id or by its name. Values print as names; --as csv and --as json give
    the claims under each row as well.

    \b
    Examples:
      glost ask crossings --evidence
      glost ask crossings --through links
      glost ask in-production year=1912
      glost ask my-query.rq --as csv
    """
    if listing or query is None:
        rows = [
            (asked.header.topic, asked.name, asked.text) for of in topics().values() for asked in of
        ]
        made = table("Questions", ["topic", "question", "asks"], rows, "The list of questions")
        printing.report(made, form, folder, table="table")
    elif about:
        click.echo(describe(question(query)))
    elif query.endswith(".rq") and Path(query).is_file():
        text = query_text(Path(query))
        with options.snapshot(folder, as_of) as snapshot:
            asked = _across(snapshot).seen if through else snapshot
            result = asked.answers.sparql(text, seconds=seconds)
        _print_result(result, form, folder)
    else:
        question(query)
        given = _parameters(parameters)
        with options.snapshot(folder, as_of) as snapshot:
            over = _across(snapshot).ask(query, **given) if through else None
            answer = over.answer if over else snapshot.answers.ask(query, **given)
            words = snapshot.labels
            if form == "csv":
                _print_csv(answer, words, over)
                return
            said = _said(snapshot, evidence) if evidence or form != "text" else None
            made = told(answer, said, lambda value: _word(value, words), over)
        printing.report(made, form, folder, evidence)


def _parameters(parameters: tuple[str, ...]) -> dict[str, str]:
    given = {}
    for parameter in parameters:
        name, equals, value = parameter.partition("=")
        if not equals or not name:
            raise click.UsageError(f'"{parameter}" is not NAME=VALUE')
        given[name.strip()] = value.strip()
    return given


def _print_result(result: Result, form: str, folder: Path) -> None:
    if form == "csv" and result.form == "table":
        printing.as_csv(result.variables, result.rows())
    elif form in ("csv", "json"):
        triples = {"json": "json-ld", "csv": "nt"} if result.form == "statements" else {}
        click.echo(result.write(triples.get(form, form)), nl=False)
    else:
        columns = result.variables or ("answer",)
        if result.form == "statements":
            columns = ("subject", "predicate", "object")
        made = table("The answer", columns, result.rows(), "The dataset, asked in SPARQL")
        printing.report(made, form, folder)


def _said(snapshot: Snapshot, evidence: bool) -> "Said":
    from glost.report.things.basis import Kept  # most answers are read without what they rest on
    from glost.report.things.said import Said

    return Said(Kept(snapshot), evidence)


def _word(value: Value, words: Words) -> str:
    return "" if value is None else words.findable(value)


def _across(snapshot: Snapshot) -> "Across":
    from glost.answer.across import Across  # few questions are put across links

    return Across(snapshot)


def _print_csv(answer: Answer, words: Words, over: "AnswerAcross | None") -> None:
    rows = [
        [*("" if value is None else str(value) for value in row.values), " ".join(row.claims)]
        for row in answer.rows
    ]
    heading = answer.heading(lambda value: _word(value, words))
    columns = [*answer.columns, "claims"]
    if over is not None:
        columns.append("links")
        for row, links in zip(rows, over.links, strict=True):
            row.append(" ".join(str(link.iri) for link in links))
    printing.as_csv(columns, rows, heading)
