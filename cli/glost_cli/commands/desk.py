"""The command ``glost desk``."""

import logging
import os
import sys
import threading
import webbrowser
from pathlib import Path

import click

from glost.record.transaction import Place
from glost_cli import options
from glost_cli.group import KEEP

PART = KEEP


@click.command()
@options.collection
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=0,
    help="The port.  [default: any that is free]",
)
@click.option("--no-browser", is_flag=True, help="Open no browser; print the address alone.")
def desk(folder: Path, port: int, no_browser: bool) -> int:
    """Keep the record in a browser: look, enter, ask, correct, print.

    It is there for this machine alone, and opens with the address that is printed, once; then
    another is printed, for another browser. Tables stay plain files: a spreadsheet program and the
    desk may be used in turn. End it with Ctrl+C.
    """
    from glost.desk.app import WORKER, application
    from glost.desk.serving import serve
    from glost.record.collection import read_collection

    _log()
    options.settled(Place.within(folder))
    title = read_collection(folder).title
    first = True

    def told(address: str) -> None:
        nonlocal first
        lead = f"The desk of {title} is at" if first else "For another browser:"
        click.echo(f"{lead} {address}")
        if first and not no_browser:
            webbrowser.open(address)
        first = False

    served = serve(application(folder, told), port)
    click.echo("Stopped." if served else "It could not be served; the log says why.")
    code = 0 if served else 1
    if any(each.name.startswith(WORKER) for each in threading.enumerate()):
        sys.stdout.flush()
        os._exit(code)  # a large collection is still being read, which nobody waits for
    return code


def _log() -> None:
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(logging.Formatter("%(message)s"))
    for name in ("glost.desk", "uvicorn.error"):
        logger = logging.getLogger(name)
        logger.handlers = [handler]
        logger.propagate = False
        logger.setLevel(logging.WARNING)
