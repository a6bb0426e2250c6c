"""What the commands on kilns and plants share: what is assumed."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from glost.report.results import plain
from glost.trade.kilns.assumptions import AssumptionError, Assumptions, assumptions, usual
from glost_cli import printing

Command = TypeVar("Command", bound=Callable[..., Any])


def assume(command: Command) -> Command:
    """Add the options that set assumptions and list them."""
    command = click.option(
        "--assume",
        "settings",
        multiple=True,
        metavar="NAME=LOW..HIGH",
        help="Assume otherwise for want of a source; --assumptions lists the names.",
    )(command)
    return click.option(
        "--assumptions",
        is_flag=True,
        is_eager=True,
        expose_value=False,
        callback=_list_assumptions,
        help="List what is assumed where no source gives a figure, and end.",
    )(command)


def _list_assumptions(ctx: click.Context, _: click.Parameter, asked: bool) -> None:
    if asked:
        rows = [
            (name, f"{each.low}..{each.high} {each.unit}", each.what, each.ground)
            for name, each in sorted(usual().items())
        ]
        made = plain.table("Assumed", ("name", "range", "what", "ground"), rows, "The assumptions")
        printing.report(made, "text", Path())
        ctx.exit()


def settled(settings: tuple[str, ...]) -> Assumptions:
    """Read what is to be assumed, as the option gives it."""
    try:
        return assumptions(*settings)
    except AssumptionError as bad:
        raise click.BadParameter(str(bad), param_hint="--assume") from None
