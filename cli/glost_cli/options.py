"""Options that several commands share, and the snapshot they open."""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click
from rich.console import Console
from rich.text import Text

from glost.answer.snapshot import Snapshot
from glost.record.characters import visible
from glost.record.transaction import Place, settle

Command = TypeVar("Command", bound=Callable[..., Any])
Done = TypeVar("Done")

_TRIES = 20


class Day(click.ParamType[date]):
    """A calendar day, ``YYYY-MM-DD``."""

    name = "day"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """Read a day as written."""
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.fail(f"{value!r} is not a day; write it like 1999-12-31", param, ctx)


def collection(command: Command) -> Command:
    """Add the option that names the collection."""
    return click.option(
        "-c",
        "--collection",
        "folder",
        default=".",
        metavar="FOLDER",
        type=click.Path(exists=True, file_okay=False, path_type=Path),
        help="The collection's folder.  [default: the current folder]",
    )(command)


def as_of(command: Command) -> Command:
    """Add the options that go back: to what was believed on a day, and to an edition."""
    command = click.option(
        "--edition",
        metavar="NAME",
        expose_value=False,
        callback=_keep_edition,
        help="Go back to an edition of the collection; glost edition lists them.",
    )(command)
    return click.option(
        "--as-of",
        type=Day(),
        metavar="DAY",
        help="Go back to what was believed on that day, inclusive (YYYY-MM-DD).",
    )(command)


_EDITION = "glost_cli.edition"


def _keep_edition(ctx: click.Context, _: click.Parameter, name: str | None) -> None:
    """Keep for `snapshot` which edition is to be opened."""
    ctx.meta[_EDITION] = name


def edition_named() -> str | None:
    """Return the edition that is to be opened; None for the collection as it is."""
    ctx = click.get_current_context(silent=True)
    return None if ctx is None else ctx.meta.get(_EDITION)


def validator(command: Command) -> Command:
    """Add the option that chooses what runs the SHACL constraints."""
    return click.option(
        "--validator",
        type=click.Choice(["pyshacl", "shacl"]),
        help="What runs the SHACL constraints.  [default: shacl if it is installed, with "
        "glost[large]; it is faster and reports the same]",
    )(command)


FORMS = ("text", "csv", "json", "markdown", "html")
"""The forms a report may be printed in."""


def form(help_: str, *more: str, name: str = "form") -> Callable[[Command], Command]:
    """Return what adds the option that chooses the form to print in, of `FORMS` and of more."""
    return click.option(
        "--as",
        name,
        type=click.Choice([*FORMS, *more]),
        default="text",
        show_default=True,
        help=help_,
    )


def report(command: Command) -> Command:
    """Add the option that chooses the form a report is printed in."""
    return form("How to print it: as text, a table for programs, the whole as data, or a page.")(
        command
    )


def across(command: Command) -> Command:
    """Add the option that names another collection to look in."""
    return click.option(
        "--with",
        "across",
        metavar="FOLDER",
        type=click.Path(exists=True, file_okay=False, path_type=Path),
        help="Another collection, in which to look for things of the KIND.",
    )(command)


def evidence(command: Command) -> Command:
    """Add the option that asks for what each line rests on."""
    return click.option(
        "--evidence", is_flag=True, help="Print what each line rests on, and what that says."
    )(command)


def output(help_: str, name: str = "target") -> Callable[[Command], Command]:
    """Return what adds the option that names a file to write to; `help_` says what is written."""
    return click.option(
        "-o",
        "--output",
        name,
        metavar="FILE",
        type=click.Path(dir_okay=False, path_type=Path),
        help=help_,
    )


PASSWORD = "GLOST_PASSWORD"
"""The environment variable that holds a password, so that it stands in no list of processes."""


def user(command: Command) -> Command:
    """Add the option that names a user to a store that asks for one."""
    return click.option(
        "--user",
        default="",
        envvar="GLOST_USER",
        metavar="NAME",
        help="The user's name, if the store asks for one.  [default: GLOST_USER]",
    )(command)


def password(of: str) -> str:
    """Return the password of a user, from the environment or asked for; none without a user."""
    if not of:
        return ""
    known = os.environ.get(PASSWORD)
    return known if known is not None else str(click.prompt("Password", hide_input=True, err=True))


def settled(place: Place) -> None:
    """Finish or undo what was cut short where something is about to be opened, and say so."""
    told = settle(place)
    if told:
        click.echo(told, err=True)


def anew(change: Callable[[], Done]) -> Done:
    """Read a collection and change it; once more, and again, if another changed it meanwhile."""
    from glost.record.amending import StaleRecordError  # only commands that write need it

    for _ in range(_TRIES):
        try:
            return change()
        except StaleRecordError:
            continue
    return change()


@contextmanager
def _place(folder: Path) -> Iterator[Path]:
    """Give the folder that is to be opened: the collection's, or that of an edition laid out."""
    name = edition_named()
    if name is None:
        yield folder
        return
    from glost.publish.editions.packing import opened  # few go back to one

    with opened(folder, name) as place:
        yield place


@contextmanager
def snapshot(folder: Path, day: date | None = None) -> Iterator[Snapshot]:
    """Open a collection, showing what is being done while it lasts, on a terminal only."""
    settled(Place.within(folder))
    with _place(folder) as place:
        console = Console(stderr=True)
        if not sys.stderr.isatty():
            yield Snapshot(place, day)
            return
        with console.status("reading") as status:
            yield Snapshot(place, day, lambda what: status.update(Text(visible(what, lines=False))))
