"""The command ``glost match``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.alike import KINDS, alike_things, lines_of
from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.report.results.matches import told
from glost.trade.linking.candidates import AGAIN, MET
from glost.trade.linking.estimating import NotStableError
from glost_cli import options, printing
from glost_cli.group import RECKON

PART = RECKON


@click.command()
@click.argument("what", metavar="LIST|KIND")
@click.argument("other", required=False, metavar="[LIST]")
@options.collection
@options.as_of
@options.report
@options.across
@click.option(
    "--again",
    type=click.FloatRange(0, 1, min_open=True),
    help=f"The share of the shorter list expected to stand in the other.  [default: {AGAIN} of a "
    f"list's lines, {MET} of a keeper's things]",
)
@click.option("--estimate", is_flag=True, help="Estimate weights from the lists themselves.")
@click.option("--evidence", is_flag=True, help="Print, under each pair, what is compared.")
def match(
    what: str,
    other: str | None,
    folder: Path,
    as_of: date | None,
    form: str,
    across: Path | None,
    again: float | None,
    estimate: bool,
    evidence: bool,
) -> None:
    """Say which line of a LIST is which of another, or which things of a KIND may be one.

    Words, sizes, numbers and prices change from list to list, and things go by other names with
    other people. Each comparison adds or takes evidence, by weights that stand in a file with
    their reasons, and each pair says why and what would decide it. Nothing is changed: a person
    accepts a pair or does not (`glost review`). What was rejected is not proposed again, and what
    was accepted is shown as known.

    \b
    KIND is one of shapes, treatments, decals, glazes, marks, potteries, plants, kilns, people,
    firms, sources.

    \b
    Examples:
      glost match ot-cat-1906 ot-cat-1909
      glost match shapes --with ../another-collection
    """
    if other is None and what not in KINDS:
        raise click.UsageError(f'"{what}" is no kind; name two lists, or one of {", ".join(KINDS)}')
    if other is not None and across is not None:
        raise click.UsageError("--with looks for things of a kind; name a kind, and no second list")
    with options.snapshot(folder, as_of) as snapshot:
        try:
            if other is not None:
                issues = [find_thing(snapshot.record, each, "source") for each in (what, other)]
                found = lines_of(snapshot, *issues, again=again or AGAIN, estimate=estimate)
            else:
                beside = Snapshot(across, as_of) if across else None
                found = alike_things(snapshot, what, beside, again=again or MET, estimate=estimate)
        except NotStableError as bad:
            raise click.ClickException(str(bad)) from None
        words = [snapshot.words, Snapshot(across, as_of).words if across else snapshot.words]
        made = told(found, words, evidence)
    printing.report(made, form, folder, evidence, "pairs")
