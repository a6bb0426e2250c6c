"""The command ``glost upload``."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click
from rdflib import URIRef

from glost_cli import options

if TYPE_CHECKING:
    from glost.publish.handover.plan import Plan
    from glost.publish.handover.sending import Outcome
    from glost.publish.handover.store import Store
from glost_cli.extras import needs_extra
from glost_cli.group import SHOW

PART = SHOW

_SHOWN = 20
_OWN_DEFAULT = "default"


@click.command()
@click.argument("address", metavar="URL")
@options.collection
@options.as_of
@click.option(
    "--protocol",
    type=click.Choice(["update", "graphs"]),
    default="update",
    show_default=True,
    help="SPARQL 1.1 Update, or the SPARQL 1.1 Graph Store HTTP Protocol.",
)
@click.option(
    "--query",
    default="",
    metavar="URL",
    help="Where the store answers queries.  [default: URL; with graphs, they are read back]",
)
@options.user
@click.option("--digest", is_flag=True, help="Send name and password as a digest (Virtuoso).")
@click.option(
    "--believed",
    default="",
    metavar="IRI",
    help='The graph for what is believed and what follows; "default" is the store\'s default '
    "graph, which is emptied first.  [default: BASE/believed]",
)
@click.option(
    "--statements",
    type=click.IntRange(min=1),
    default=500,
    show_default=True,
    help="How many statements a request carries.",
)
@click.option(
    "--state",
    type=click.Path(dir_okay=False, path_type=Path),
    default=Path("glost-handover.json"),
    show_default=True,
    help="The file that says how far it has come; it is gone when all has arrived.",
)
def upload(
    address: str,
    folder: Path,
    as_of: date | None,
    protocol: str,
    query: str,
    user: str,
    digest: bool,
    believed: str,
    statements: int,
    state: Path,
) -> int:
    """Hand the collection over to a store that takes SPARQL 1.1 updates or graphs at URL.

    Each graph of the collection is emptied in the store and filled again, in requests of bounded
    size. What was handed over before and the collection no longer has is removed, as a note in
    the store tells (the graph BASE/.well-known/handed-over); other graphs are left alone. If it
    breaks off, run the same again: it goes on where it was. Afterwards the statements of each
    graph are counted in the store. The password is taken from the environment, GLOST_PASSWORD,
    or asked for.

    \b
    Examples:
      glost upload http://localhost:7878/update --query http://localhost:7878/query
      glost upload http://localhost:8890/sparql-auth --user dba --digest
    """
    needs_extra("handing over")
    from glost.publish.handover.batches import Size
    from glost.publish.handover.plan import Plan
    from glost.publish.handover.sending import hand_over
    from glost.publish.handover.state import StateError
    from glost.publish.handover.store import HandoverError, Store

    store = Store(
        address,
        "update" if protocol == "update" else "graphs",
        query,
        user,
        options.password(user),
        digest,
    )
    with options.snapshot(folder, as_of) as snapshot:
        name = believed or f"{snapshot.record.base}believed"
        plan = Plan(snapshot.contents, None if name == _OWN_DEFAULT else URIRef(name))
        try:
            outcome = hand_over(
                plan, store, state, size=Size(statements), progress=snapshot.progress
            )
        except (HandoverError, StateError) as error:
            click.echo(f"Error: {error}", err=True)
            return 1
    return _told(plan, store, outcome)


def _told(plan: "Plan", store: "Store", outcome: "Outcome") -> int:
    differing = outcome.differing
    total = sum(plan.counts.values())
    click.echo(f"Sent {total:,} statements in {len(plan.counts):,} graphs to {store.address}.")
    if outcome.removed:
        click.echo(f"Removed {_graphs(len(outcome.removed))} the collection no longer has.")
    if outcome.left:
        base = plan.contents.base
        click.echo(f"Left {_graphs(len(outcome.left))} it no longer has but not under {base}:")
        _listed([str(name) for name in outcome.left])
    if not differing:
        click.echo("Every graph holds as many statements in the store.")
        return 0
    click.echo(f"{len(differing):,} graphs hold another number of statements in the store:")
    _listed(
        [
            f"{each.graph or 'the default graph'}: {each.sent:,} sent, {each.found:,} found"
            for each in differing
        ]
    )
    click.echo("Look at the store's log; run it again with the same --state to count again.")
    return 1


def _graphs(count: int) -> str:
    return "one graph that" if count == 1 else f"{count:,} graphs that"


def _listed(lines: list[str]) -> None:
    for line in lines[:_SHOWN]:
        click.echo(f"  {line}")
    if len(lines) > _SHOWN:
        click.echo(f"  … and {len(lines) - _SHOWN:,} more")
