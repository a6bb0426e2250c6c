"""The command ``glost review``."""

from collections import Counter
from datetime import date
from pathlib import Path

import click
from rich.text import Text

from glost.answer.alike import KINDS, alike_things, lines_of
from glost.answer.review import (
    PairAnswer,
    Reviewed,
    ReviewedThing,
    ReviewPair,
    Sitting,
    candidates,
    entered,
)
from glost.answer.review_sheet import read_back, sheet
from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.record.entering import take_out
from glost.record.files import write_whole
from glost.record.record import Record
from glost.words.english import count
from glost_cli import options, printing
from glost_cli.group import KEEP

PART = KEEP

_KEYS = {"y": PairAnswer.YES, "n": PairAnswer.NO, "l": PairAnswer.LATER}
_MOST = 4
"""So many claims about a thing are printed; the sheet and the desk show all."""


@click.command()
@click.argument("what", metavar="LIST|KIND")
@click.argument("other", required=False, metavar="[LIST]")
@options.collection
@click.option("--by", required=True, help="Who reviews.")
@click.option(
    "--on",
    type=options.Day(),
    metavar="DAY",
    default=None,
    help="The day of the review.  [default: today]",
)
@click.option(
    "--source",
    default="",
    help="Id of the source that the answers rest on.  [default: the comparison itself]",
)
@options.across
@click.option(
    "--sheet",
    "target",
    metavar="FILE.csv",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write the pairs as a spreadsheet to fill in, and ask nothing.",
)
@click.option(
    "--read",
    "filled",
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Read a spreadsheet that was filled in (CSV or Excel), and enter its answers.",
)
def review(
    what: str,
    other: str | None,
    folder: Path,
    by: str,
    on: date | None,
    source: str,
    across: Path | None,
    target: Path | None,
    filled: Path | None,
) -> None:
    """Look at pairs that may be one, the most uncertain first, and say yes, no or later.

    Pairs are those of `glost match`. Each answer becomes a row of tables/links.csv, with who gave
    it, when, and what speaks for it; nothing is made one. What is answered no is not proposed
    again. Answers rest on a source: the comparison itself, unless --source names another.

    \b
    KIND is one of shapes, treatments, decals, glazes, marks, potteries, plants, kilns, people,
    firms, sources.

    \b
    Examples:
      glost review shapes --with ../another-collection --by "E. Marsh"
      glost review ot-cat-1906 ot-cat-1909 --by "E. Marsh" --sheet pairs.csv
      glost review ot-cat-1906 ot-cat-1909 --by "E. Marsh" --read pairs.csv
    """
    if other is None and what not in KINDS:
        raise click.UsageError(f'"{what}" is no kind; name two lists, or one of {", ".join(KINDS)}')
    if other is not None and across is not None:
        raise click.UsageError("--with looks for things of a kind; name a kind, and no second list")
    if target is not None and filled is not None:
        raise click.UsageError("--sheet writes and --read reads; give one of them")
    sitting = Sitting(by, (on or date.today()).isoformat(), source)
    with options.snapshot(folder) as snapshot:
        if filled is not None:
            _read(snapshot.record, filled, sitting)
            return
        found = _candidates(snapshot, what, other, across)
    if target is not None:
        write_whole(target, sheet(found))
        click.echo(f"Wrote {count(len(found), 'pair')} to {target}. Fill in the column answer.")
    else:
        _ask(snapshot, found, sitting)


def _candidates(
    snapshot: Snapshot, what: str, other: str | None, across: Path | None
) -> tuple[ReviewPair, ...]:
    beside = Snapshot(across) if across else None
    if other is not None:
        issues = [find_thing(snapshot.record, each, "source") for each in (what, other)]
        return candidates(lines_of(snapshot, issues[0], issues[1]), snapshot)
    return candidates(alike_things(snapshot, what, beside), snapshot, beside)


def _both(pair: ReviewPair) -> tuple[ReviewedThing, ReviewedThing]:
    return pair.one, pair.other


def _read(record: Record, path: Path, sitting: Sitting) -> None:
    found = read_back(record, path, sitting)
    if found.said:
        entered(record, found.said, sitting)
    _count(Counter(each.answer for each in found.said), found.empty, found.known)


def _count(answers: Counter[PairAnswer], left: int, known: int = 0) -> None:
    told = ", ".join(f"{answers[each]} {each}" for each in _KEYS.values())
    again = f"; {known} on record already" if known else ""
    click.echo(f"Entered {told}{again}; {count(left, 'pair')} left unanswered.")


def _ask(snapshot: Snapshot, found: tuple[ReviewPair, ...], sitting: Sitting) -> None:
    """Ask of each pair, and enter each answer at once, so that nothing is lost."""
    answers: Counter[PairAnswer] = Counter()
    record, left = snapshot.record, len(found)
    last: tuple[PairAnswer, tuple[str, ...]] | None = None
    at = 0
    while at < len(found):
        _show(found[at], at, len(found))
        key = click.prompt(
            "Is it one? yes, no, later, undo the last, quit",
            type=click.Choice([*_KEYS, "u", "q"], case_sensitive=False),
            show_choices=True,
        )
        if key == "q":
            break
        if key == "u":
            if last is None:
                click.echo("There is nothing to undo.")
                continue
            record = take_out(record, last[1])
            answers[last[0]] -= 1
            at, left, last = at - 1, left + 1, None
            continue
        record, last = _entered(record, found[at], _KEYS[key], sitting)
        answers[_KEYS[key]] += 1
        at, left = at + 1, left - 1
    _count(answers, left)


def _entered(
    record: Record, pair: ReviewPair, answer: PairAnswer, sitting: Sitting
) -> tuple[Record, tuple[PairAnswer, tuple[str, ...]]]:
    said = Reviewed(pair.match.one, pair.match.other, answer, pair.why)
    made = entered(record, [said], sitting)
    links = tuple(
        name for name in made.ids if (claim := made.record.claim(name)) is not None
        and claim.origin.table == "links"
    )  # fmt: skip
    return made.record, (answer, links)


def _show(pair: ReviewPair, at: int, of: int) -> None:
    console = printing.console()
    console.print()
    head = f"{at + 1} of {of}: {pair.one.name} = {pair.other.name}? {pair.match.probability:.2f}"
    console.print(Text(head, style="bold"))
    for reason in pair.match.reasons:
        values = " / ".join(each for each in (reason.one, reason.other) if each)
        console.print(Text(f"  {reason.bits:+.1f}  {reason.column}: {reason.meaning} ({values})"))
    for subject in _both(pair):
        console.print(Text(f"  {subject.name} <{subject.iri}>", style="bold"))
        for line in subject.says[:_MOST]:
            console.print(Text(f"    {line}"))
        if len(subject.says) > _MOST:
            console.print(Text(f"    and {len(subject.says) - _MOST} more", style="dim"))
        for picture in subject.pictures[:_MOST]:
            place = f"#{picture.region}" if picture.region else ""
            console.print(Text(f"    {subject.folder / picture.file}{place}", style="dim"))
    if pair.match.deciding:
        console.print(Text(f"  Would decide: {', '.join(pair.match.deciding)}."))
