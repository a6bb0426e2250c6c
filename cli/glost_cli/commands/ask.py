"""The command ``glost ask``."""

from datetime import date
from pathlib import Path

import click
from rdflib import Graph
from rich.text import Text

from glost.answer.questions import Answer, Value, describe, question, topics
from glost.answer.refusals import query_text
from glost.answer.snapshot import Snapshot
from glost.answer.sparql import Result
from glost.words.english import count
from glost.words.labels import Words
from glost_cli import options, printing
from glost_cli.group import ASK

PART = ASK


@click.command()
@click.argument("query", required=False, metavar="[QUESTION|FILE.rq]")
@click.argument("parameters", nargs=-1, metavar="[NAME=VALUE]...")
@options.collection
@options.as_of
@options.form
@click.option("--list", "listing", is_flag=True, help="List the named questions.")
@click.option("--about", is_flag=True, help="Say what QUESTION asks, of what, and why.")
@click.option("--evidence", is_flag=True, help="Print, under each row, what it rests on.")
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
      glost ask in-production year=1912
      glost ask my-query.rq --as csv
    """
    if listing or query is None:
        rows = [
            (asked.header.topic, asked.name, asked.text) for of in topics().values() for asked in of
        ]
        printing.result(form, ["topic", "question", "asks"], rows)
    elif about:
        click.echo(describe(question(query)))
    elif query.endswith(".rq") and Path(query).is_file():
        text = query_text(Path(query))
        with options.snapshot(folder, as_of) as snapshot:
            result = snapshot.answers.sparql(text, seconds=seconds)
        _print_result(result, form)
    else:
        question(query)
        given = _parameters(parameters)
        with options.snapshot(folder, as_of) as snapshot:
            answer = snapshot.answers.ask(query, **given)
        _print_answer(answer, snapshot, form, evidence)


def _parameters(parameters: tuple[str, ...]) -> dict[str, str]:
    given = {}
    for parameter in parameters:
        name, equals, value = parameter.partition("=")
        if not equals or not name:
            raise click.UsageError(f'"{parameter}" is not NAME=VALUE')
        given[name.strip()] = value.strip()
    return given


def _print_result(result: Result, form: str) -> None:
    if form == "table":
        columns = result.variables or ("answer",)
        if result.form == "statements":
            columns = ("subject", "predicate", "object")
        printing.table(columns, list(result.rows()))
    elif form == "csv" and result.form == "table":
        printing.as_csv(result.variables, result.rows())
    elif result.form == "statements":
        click.echo(result.write("json-ld" if form == "json" else "nt"), nl=False)
    else:
        click.echo(result.write(form))


def _word(value: Value, words: Words) -> str:
    return "" if value is None else words.findable(value)


def _print_answer(answer: Answer, snapshot: Snapshot, form: str, evidence: bool) -> None:
    words = snapshot.labels
    if form == "json":
        printing.as_json(answer.as_dict(lambda value: _word(value, words)))
        return
    heading = answer.heading(lambda value: _word(value, words))
    if form == "csv":
        rows = [
            [*("" if value is None else str(value) for value in row.values), " ".join(row.claims)]
            for row in answer.rows
        ]
        printing.as_csv([*answer.columns, "claims"], rows, heading)
        return
    console = printing.console()
    for line in heading:
        console.print(Text(line))
    console.print()
    rows = answer.table(lambda value: _word(value, words))
    printing.table(answer.columns, rows)
    click.echo(f"\n{count(len(rows), 'row')}.")
    if evidence:
        _print_evidence(answer, rows, snapshot.labels)


def _print_evidence(answer: Answer, rows: list[list[str]], graph: Graph | Words) -> None:
    console = printing.console()
    for cells, row in zip(rows, answer.rows, strict=True):
        console.print()
        console.print(Text(" · ".join(cell for cell in cells if cell), style="bold"))
        printing.support(row.support, graph)
