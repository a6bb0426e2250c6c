"""The commands of ``glost``: each is a module of `glost_cli.commands` that bears its name.

A module holds one function decorated with ``@click.command``, and `PART`, the heading under which
``glost --help`` lists it. Nothing else names a command: a module that is put there is one. A start
imports none of them: the list of help is read from their text, and one is imported to run it.
"""

import ast
from collections import defaultdict
from functools import cached_property
from importlib import import_module
from pathlib import Path

import click

from glost.record.errors import suggestion

KEEP = "Keep the record"
ASK = "Ask, and see why"
RECKON = "Work out what follows"
SHOW = "Show it, and hand it on"
PARTS = (KEEP, ASK, RECKON, SHOW)
"""The headings of ``glost --help``, in their order."""

FORMER = {
    "begin": "new",
    "handover": "upload",
    "settle": "conflicts",
    "spread": "mean-date",
    "tally": "overview",
    "without": "if-withdrawn",
}
"""What commands were called before; these names still do, and no help lists them."""

_FOLDER = Path(__file__).with_name("commands")


class Commands(click.Group):
    """A group whose commands are the modules of a folder, each imported only to run it."""

    @cached_property
    def _names(self) -> list[str]:
        return sorted(path.stem.replace("_", "-") for path in _FOLDER.glob("[a-z]*.py"))

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of all commands."""
        return self._names

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import a command; None if there is none of that name."""
        cmd_name = FORMER.get(cmd_name, cmd_name)
        if cmd_name not in self._names:
            return None
        module = import_module(f"glost_cli.commands.{_module(cmd_name)}")
        (command,) = (each for each in vars(module).values() if isinstance(each, click.Command))
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find a command by its name; where there is none, the nearest are named."""
        args = [FORMER.get(args[0], args[0]), *args[1:]]
        if args[0] not in self._names and not args[0].startswith("-"):
            nearest = suggestion(args[0], self._names, "glost --help lists the commands")
            ctx.fail(f'there is no command "{args[0]}"; {nearest}')
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List every command with the first sentence of its help, by part."""
        parts: dict[str, list[tuple[str, str]]] = defaultdict(list)
        for name in self._names:
            part, does = _listed((_FOLDER / f"{_module(name)}.py").read_text(encoding="utf-8"))
            parts[part].append((name, does))
        widest = max(map(len, self._names))
        for part in PARTS:
            with formatter.section(part):
                formatter.write_dl([(name.ljust(widest), does) for name, does in parts[part]])


def _module(name: str) -> str:
    return name.replace("-", "_")


def _listed(text: str) -> tuple[str, str]:
    """Return under which heading a module's command stands, and the first sentence of its help."""
    part = does = ""
    for node in ast.parse(text).body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "PART":
            part = globals()[ast.unparse(node.value)]
        if isinstance(node, ast.FunctionDef) and any(map(_commands, node.decorator_list)):
            does = click.Command(None, help=ast.get_docstring(node)).get_short_help_str(1000)
    return part, does


def _commands(decorator: ast.expr) -> bool:
    return ast.unparse(decorator).startswith("click.command(")
