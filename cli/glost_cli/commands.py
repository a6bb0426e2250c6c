"""Every command of ``glost``: the one list of them, and how each is imported when it is called.

`commands.csv` says of every command in which module of `glost_cli` it stands, its name there, and
what it does: the first sentence of its own help, which a test holds it equal to. A start reads that
list and imports no command, so it costs nothing that it does not use.
"""

import csv
from importlib import import_module
from pathlib import Path
from typing import cast

import click


class Commands(click.Group):
    """A group that lists its commands from `commands.csv` and imports one only to run it."""

    def __init__(self, **settings: object) -> None:
        with Path(__file__).with_name("commands.csv").open(encoding="utf-8", newline="") as file:
            self._rows = {row["command"]: row for row in csv.DictReader(file)}
        listed = [click.Command(name, help=row["does"]) for name, row in self._rows.items()]
        super().__init__(commands=listed, **settings)  # type: ignore[arg-type]

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find a command by its name, and import it."""
        name, listed, rest = super().resolve_command(ctx, args)
        return name, None if name is None or listed is None else self.imported(name), rest

    def imported(self, name: str) -> click.Command:
        """Import a command."""
        row = self._rows[name]
        module = import_module(f"glost_cli.{row['module']}")
        return cast(click.Command, getattr(module, row["attribute"]))
