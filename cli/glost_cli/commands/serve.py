"""The command ``glost serve``."""

import logging
import sys
from pathlib import Path

import click

from glost.answer.cache import scratch
from glost.record.transaction import Place
from glost_cli import options
from glost_cli.group import SHOW

PART = SHOW


@click.command()
@click.argument(
    "site", required=False, type=click.Path(exists=True, file_okay=False, path_type=Path)
)
@options.collection
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to serve on.")
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8000,
    show_default=True,
    help="The port; 0 takes any that is free.",
)
@click.option(
    "--seconds",
    type=click.FloatRange(min=0, min_open=True),
    default=20.0,
    show_default=True,
    help="Stop a query that takes longer.",
)
@click.option(
    "--memory",
    type=click.IntRange(min=128),
    default=1024,
    show_default=True,
    metavar="MIB",
    help="Stop a query that needs more memory.",
)
@click.option(
    "--rows",
    type=click.IntRange(min=1),
    default=100_000,
    show_default=True,
    help="Refuse a result with more rows.",
)
@click.option(
    "--processes",
    type=click.IntRange(min=1),
    default=4,
    show_default=True,
    help="How many queries are answered at once; half of them may be long ones.",
)
@click.option("--quiet", is_flag=True, help="Write no line for each request.")
def serve(
    site: Path | None,
    folder: Path,
    host: str,
    port: int,
    seconds: float,
    memory: int,
    rows: int,
    processes: int,
    quiet: bool,
) -> int:
    """Serve SITE, a folder that `glost publish` made, with its identifiers and SPARQL.

    Without SITE the collection is published to a folder that is gone when it ends.

    An identifier leads to its page or to its data, as the client prefers. /sparql answers
    SPARQL 1.1 queries, and in a browser is a page to try them on, with the named questions ready
    to run; updates and SERVICE are refused. /health says whether all is well. The log goes to
    standard error, a line of JSON for each request. End it with Ctrl+C.

    The site's base address must lead here for its identifiers to work; put a web server that
    speaks HTTPS before it to be reached from outside.
    """
    from glost.publish.endpoint.app import application
    from glost.publish.endpoint.limits import Limits
    from glost.publish.endpoint.serving import serve as serve_application
    from glost.publish.endpoint.static import NoSite, Published

    _log(quiet)
    if site is not None:
        options.settled(Place.beside(site))
    limits = Limits(
        workers=processes,
        slow=max(1, processes // 2),
        seconds=seconds,
        memory=memory << 20,
        rows=rows,
    )
    try:
        with scratch() as place:
            published = Published(site or _published(folder, place / "site"))
            store = place / "store"
            published.load(store)
            served = serve_application(
                application(published, store, limits),
                host,
                port,
                limits,
                lambda address: click.echo(f"Serving {published.title} at {address}"),
            )
    except NoSite as error:
        raise click.UsageError(str(error)) from None
    click.echo("Stopped." if served else "It could not be served; the log says why.")
    return 0 if served else 1


def _published(folder: Path, site: Path) -> Path:
    from glost.publish.site.publish import publish

    with options.snapshot(folder) as snapshot:
        publish(snapshot, site)
    return site


def _log(quiet: bool) -> None:
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(logging.Formatter("%(message)s"))
    for name in ("glost.endpoint", "glost.requests", "uvicorn.error"):
        logger = logging.getLogger(name)
        logger.handlers = [handler]
        logger.propagate = False
        logger.setLevel(logging.WARNING)
    if not quiet:
        logging.getLogger("glost.requests").setLevel(logging.INFO)
