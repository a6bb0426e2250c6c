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
from glost_cli.extras import needs_extra
from glost_cli.group import ASK

PART = ASK

if TYPE_CHECKING:
    from glost.answer.across import Across, AnswerAcross
    from glost.answer.remote import AnswersAt
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
    "--at",
    "address",
    metavar="URL",
    help="Put QUESTION to a store elsewhere that holds the collection, by the SPARQL 1.1 Protocol.",
)
@click.option(
    "--graph",
    default="",
    metavar="IRI",
    help="The store's graph of what is believed and what follows.  [default: the store is asked]",
)
@options.user
@click.option(
    "--seconds",
    type=click.FloatRange(min=0, min_open=True),
    default=60.0,
    show_default=True,
    help="Stop a SPARQL file, or a store elsewhere, that takes longer.",
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
    address: str | None,
    graph: str,
    user: str,
    seconds: float,
) -> None:
    """Put a named question, or a SPARQL query from a file.

    Without arguments, lists the named questions. Parameters are written NAME=VALUE; a thing is
    named by id, by kind/id or by its name. Values print as names; --as csv and --as json give
    the claims under each row as well.

    With --at, it is put to a store that holds what glost export writes or glost upload hands over;
    the rows are the same. With --evidence the claims under each are looked up there too; of what
    is inferred or calculated the store knows that it is, and the collection from which claims. A
    password is taken from the environment, GLOST_PASSWORD, or asked for.

    \b
    Examples:
      glost ask crossings --evidence
      glost ask crossings --through links
      glost ask in-production year=1912
      glost ask in-production year=1912 --at http://localhost:7878/query
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
    elif address is not None:
        _only_there(through, as_of)
        needs_extra("asking a store elsewhere")
        from glost.answer.remote import at  # most questions are put to the collection

        text = query_text(Path(query)) if _is_file(query) else ""
        given = _parameters(parameters)
        if not text:
            question(query)
        secret = options.password(user)
        with at(address, graph=graph, seconds=seconds, user=user, password=secret) as store:
            if text:
                _print_result(store.sparql(text), form, folder)
            else:
                _print_at(store, store.ask(query, **given), form, folder, evidence)
    elif _is_file(query):
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


def _is_file(query: str) -> bool:
    return query.endswith(".rq") and Path(query).is_file()


def _only_there(through: str | None, as_of: date | None) -> None:
    """Refuse what only the collection can tell."""
    options_ = {"--through": through, "--as-of": as_of, "--edition": options.edition_named()}
    if given := [name for name, value in options_.items() if value]:
        raise click.UsageError(
            f"{' and '.join(given)}: only the collection can tell; leave out --at to ask it"
        )


def _print_at(store: "AnswersAt", answer: Answer, form: str, folder: Path, evidence: bool) -> None:
    """Print an answer of a store elsewhere; what it rests on is looked up if somebody asks."""
    if not evidence:
        words = store.words(answer)
        said = None
    else:
        from glost.report.things.said import Said

        basis = store.told(answer)
        words, said = basis.words, Said(basis, evidence)
    if form != "csv":
        made = told(answer, said, lambda value: _word(value, words))
        printing.report(made, form, folder, evidence)
    elif evidence:
        _print_csv(answer, words, None)
    else:
        rows = [["" if v is None else str(v) for v in row.values] for row in answer.rows]
        heading = answer.heading(lambda value: _word(value, words))
        printing.as_csv(list(answer.columns), rows, heading)


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
