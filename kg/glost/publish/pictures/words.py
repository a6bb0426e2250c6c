"""Pictures in words: a summary and a table of the same data, for every kind of picture."""

from collections.abc import Iterable

from glost.publish.pictures.model import Bar, Basis, Days, Exhibit, Family, Life, Runs, together
from glost.publish.pictures.picture import Words
from glost.record.dates import to_iso
from glost.trade.lineage import relations


def rests_on(basis: Basis) -> str:
    """Say on how many claims and passages a picture rests."""
    if not basis.claims:
        return ""
    claims, passages = len(basis.claims), len(basis.passages)
    return (
        f"Rests on {claims} claim{'' if claims == 1 else 's'}, "
        f"{passages} passage{'' if passages == 1 else 's'}; the table beside this picture "
        "names them."
    )


def between(days: Days) -> str:
    """Say between which days something happened: ``1908-01-01/1908-12-31``, an end open as ``..``.

    One day stands alone; nothing known is empty.
    """
    first, last = days
    if first is None and last is None:
        return ""
    if first == last and first is not None:
        return to_iso(first)
    return f"{'..' if first is None else to_iso(first)}/{'..' if last is None else to_iso(last)}"


def basis_cells(basis: Basis) -> tuple[str, str]:
    """Return the last two cells of every row: passages, and claims."""
    return " | ".join(basis.passages), " ".join(basis.claims)


_BASIS = ("rests on", "claims")


def runs_in_words(chart: Runs) -> Words:
    """Tell a chart of runs."""
    columns = ("group", "name", "note", "began", "ended", "certainly", "standing", "shown by")
    rows = tuple(
        (
            bar.group,
            bar.name,
            bar.note,
            between(bar.life.begin),
            between(bar.life.end),
            between(bar.life.certain or (None, None)),
            standing(bar.life),
            _shown(bar.exhibits),
            *basis_cells(bar.basis + together(each.basis for each in bar.exhibits)),
        )
        for bar in chart.bars
    )
    disputed = [bar.name for bar in chart.bars if bar.life.disputed]
    summary = f"A chart of {len(chart.bars)} runs along a time axis. {_extent(chart.bars)}"
    if disputed:
        summary += f" Disputed: {', '.join(disputed)}."
    return Words(summary.strip(), (*columns, *_BASIS), rows)


def standing(life: Life) -> str:
    """Say how a life stands: ``disputed``, ``dated``, ``partly dated`` or ``undated``."""
    if life.disputed:
        return "disputed"
    if not life.known:
        return "undated"
    return "dated" if life.certain else "partly dated"


def _shown(exhibits: Iterable[Exhibit]) -> str:
    return "; ".join(f"{each.name} ({between(each.when)})" for each in exhibits)


def _extent(bars: Iterable[Bar]) -> str:
    known = [day for bar in bars for day in (*bar.life.begin, *bar.life.end) if day is not None]
    if not known:
        return "None of them is dated."
    return f"It runs from {to_iso(min(known))} to {to_iso(max(known))}."


def family_in_words(family: Family) -> Words:
    """Tell a family: a row for each member, then a row for each tie."""
    columns = ("member", "lane", "relation", "other", "certainty", "began", "ended", "standing")
    names = [member.name for member in family.members]
    rows = [
        (
            member.name,
            family.lanes[member.lane].name,
            member.note,
            "",
            "",
            between(member.life.begin),
            between(member.life.end),
            standing(member.life),
            *basis_cells(member.basis),
        )
        for member in family.members
    ]
    lanes = [lane.name for lane in family.lanes]
    for among, ties in ((names, family.ties), (lanes, family.successions)):
        for tie in ties:
            says = relations()[tie.relation].says
            fate = "disputed" if tie.disputed else ""
            ends = (among[tie.later], "", says, among[tie.earlier])
            rows.append((*ends, tie.certainty, "", "", fate, *basis_cells(tie.basis)))
    count = len(family.ties) + len(family.successions)
    summary = (
        f"A family of {len(names)} on a time axis, in {len(lanes)} "
        f"lane{'' if len(lanes) == 1 else 's'}, with {count} tie{'' if count == 1 else 's'}."
    )
    told = [f"{row[0]} {row[2]} {row[3]}" for row in rows[len(names) :]]
    summary += f" {'; '.join(told)}." if told else ""
    return Words(summary, (*columns, *_BASIS), tuple(rows))
