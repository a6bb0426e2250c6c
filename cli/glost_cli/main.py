"""The command ``glost``: its group, and how errors end."""

import atexit
import gc
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, TextIO, cast

import click

from glost import __version__
from glost.record.characters import visible
from glost.record.errors import RecordErrors
from glost.usage import UsageError
from glost_cli.group import Commands


class _Guard:
    """A stream of text in which control characters are shown and not obeyed.

    Parameters
    ----------
    stream
        Where it all goes. The console of `rich` finds it as ``rich_proxied_file`` and writes its
        styles to it directly. It is not a stream of `io`, which would close that one with itself.
    """

    def __init__(self, stream: TextIO) -> None:
        self.rich_proxied_file = stream

    def write(self, text: str) -> int:
        """Write a text."""
        return self.rich_proxied_file.write(visible(text))

    def __getattr__(self, name: str) -> Any:
        """Be like the stream behind it in everything else."""
        return getattr(self.rich_proxied_file, name)


@contextmanager
def shown() -> Iterator[None]:
    """Show control characters in whatever is printed meanwhile, wherever it came from."""
    before = sys.stdout, sys.stderr
    sys.stdout, sys.stderr = (cast(TextIO, _Guard(stream)) for stream in before)
    try:
        yield
    finally:
        sys.stdout, sys.stderr = before


_SHOWN = 200


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, prog_name="glost")
def glost() -> None:
    """Keep a record of ceramic production in which every statement says what it rests on.

    A collection is a folder of plain tables. A row says what one source says about one thing.
    Start one with `glost new`, look it over with `glost check` and `glost overview`, put questions
    to it with `glost ask`, follow any statement to its source with `glost show` and `glost why`,
    put a statement right with `glost correct` and back with `glost undo`, and hand it on with
    `glost export`.

    Commands work on the collection in the current folder, or on another one named with
    --collection. They end with 0 if all is well, 1 if something was found or failed, 2 if the
    command was not understood.
    """


_SELDOM = (100_000, 20, 20)
"""So seldom the collector of cycles looks for what nobody needs: a command ends soon."""


def main() -> None:
    """Run the command line; everything that can go wrong ends in one clear message."""
    gc.set_threshold(*_SELDOM)
    atexit.register(gc.freeze)  # memory goes back as it is: nothing to look through at the end
    with shown():
        _run()


def _run() -> None:
    try:
        code = glost.main(prog_name="glost", standalone_mode=False)
    except click.ClickException as bad:
        bad.show()
        sys.exit(2)
    except click.Abort:
        click.echo("Stopped.", err=True)
        sys.exit(1)
    except RecordErrors as bad:
        _errors(bad)
        sys.exit(1)
    except UsageError as bad:
        click.echo(f"Error: {bad}", err=True)
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(1)
    except OSError as bad:
        click.echo(f"Error: {bad.filename or ''}: {bad.strerror or bad}", err=True)
        sys.exit(1)
    except (MemoryError, RecursionError):
        click.echo("Error: this is more than memory holds; ask for less at a time.", err=True)
        sys.exit(1)
    except Exception as bad:
        _fault(bad)
        sys.exit(1)
    sys.exit(code if isinstance(code, int) else 0)


def _fault(bad: Exception) -> None:
    """Tell a fault of the program's own, and how whoever mends it can see more."""
    if os.environ.get(TRACE):
        raise bad
    told = str(bad).partition("\n")[0][:200]
    click.echo(f"Error: a fault of glost itself: {type(bad).__name__}: {told}", err=True)
    click.echo(f"Please tell its makers what you did; with {TRACE}=1 it says more.", err=True)


TRACE = "GLOST_TRACE"
"""The environment variable that, if it is not empty, has a fault of the program told in full."""


def _errors(bad: RecordErrors) -> None:
    for error in bad.errors[:_SHOWN]:
        click.echo(str(error), err=True)
    count = len(bad.errors)
    if count > _SHOWN:
        click.echo(f"… and {count - _SHOWN} more.", err=True)
    click.echo(f"{count} {'error' if count == 1 else 'errors'}; nothing was changed.", err=True)
