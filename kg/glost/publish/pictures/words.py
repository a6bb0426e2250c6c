"""Pictures in words: a summary and a table of the same data, for every kind of picture."""

from collections import Counter
from collections.abc import Iterable

from glost.publish.pictures.counts import Crossings, Firing, Mark, Matrix, Plan, Production
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


def matrix_in_words(matrix: Matrix) -> Words:
    """Tell a matrix: a row for each cell that says more than that nothing was seen."""
    columns = ("group", "article", "column group", "column", "says", "note")
    rows = tuple(
        (
            matrix.rows[cell.row].group,
            matrix.rows[cell.row].name,
            matrix.columns[cell.column].group,
            matrix.columns[cell.column].name,
            str(cell.mark),
            cell.text,
            *basis_cells(cell.basis),
        )
        for cell in sorted(matrix.cells, key=lambda cell: (cell.row, cell.column))
        if cell.mark != Mark.NOT_SEEN
    )
    counts = Counter(cell.mark for cell in matrix.cells)
    counts[Mark.NOT_SEEN] = len(matrix.rows) * len(matrix.columns) - sum(
        count for mark, count in counts.items() if mark != Mark.NOT_SEEN
    )
    told = ", ".join(f"{counts[mark]} {mark}" for mark in Mark if counts[mark])
    summary = f"A matrix of {len(matrix.rows)} articles and {len(matrix.columns)} columns"
    return Words(f"{summary}: {told}." if told else f"{summary}.", (*columns, *_BASIS), rows)


def crossings_in_words(crossings: Crossings) -> Words:
    """Tell crossings: a row for each pair of shapes."""
    columns = ("home", "seen on", "treatments", "explained", "explanations")
    names = [shape.name for shape in crossings.shapes]
    rows = tuple(
        (
            names[each.home],
            names[each.seen],
            str(each.count),
            str(each.explained),
            "; ".join(each.explanations),
            *basis_cells(each.basis),
        )
        for each in crossings.crossings
    )
    count = sum(each.count for each in crossings.crossings)
    explained = sum(each.explained for each in crossings.crossings)
    summary = (
        f"{count} crossings of treatments between {len(names)} shapes, of which {explained} "
        "have an explanation. "
    )
    summary += "; ".join(f"{row[0]} on {row[1]}: {row[2]}" for row in rows)
    return Words(summary.strip(), (*columns, *_BASIS), rows)


def plan_in_words(plan: Plan) -> Words:
    """Tell a kiln's zones: a row for each overall length, each zone, and what is left."""
    columns = ("source", "what", "as written", "metres", "remark")
    rows = []
    for strip in plan.strips:
        total = sum(zone.metres for zone in strip.zones)
        if strip.metres is not None:
            cells = (strip.source, "overall", strip.written, f"{strip.metres:.3f}", "")
            rows.append((*cells, *basis_cells(strip.basis)))
        for zone in strip.zones:
            cells = (strip.source, zone.name, zone.written, f"{zone.metres:.3f}", zone.remark)
            rows.append((*cells, *basis_cells(zone.basis)))
        if strip.metres is not None and strip.zones:
            left = strip.metres - total
            what = "accounted for by no zone" if left >= 0 else "more than the overall length"
            cells = (strip.source, what, "", f"{abs(left):.3f}", "reckoned")
            rows.append((*cells, "", ""))
    sources = len(plan.strips)
    summary = f"A kiln's zones to scale, as {sources} source{'' if sources == 1 else 's'} give it: "
    summary += "; ".join(f"{row[1]} {row[2] or row[3] + ' m'}" for row in rows)
    return Words(summary + ".", (*columns, *_BASIS), tuple(rows))


def production_in_words(production: Production) -> Words:
    """Tell production through time: a row for each year."""
    pieces = production.pieces or (0.0,) * len(production.years)
    rows = tuple(
        (str(year), str(certain), str(possible), f"{weight:.3f}", *basis_cells(basis))
        for year, certain, possible, weight, basis in zip(
            production.years,
            production.certain,
            production.possible,
            pieces,
            production.bases,
            strict=True,
        )
    )
    most = max(production.certain, default=0)
    peak = [year for year, n in zip(production.years, production.certain, strict=True) if n == most]
    summary = f"How many {production.of} were in production in each year, {rows[0][0]} to "
    summary += f"{rows[-1][0]}; at most {most} certainly, in {_years(peak)}."
    if production.pieces:
        spread = f"{sum(production.pieces):,.1f}".removesuffix(".0")
        summary += f" Dated pieces spread over these years: {spread}."
    columns = ("year", "certainly", "possibly", "pieces by aoristic weight")
    return Words(summary, (*columns, *_BASIS), rows)


def _years(years: list[int]) -> str:
    """Name years, those that follow one another as a span: ``1908, 1913 to 1915``."""
    spans: list[list[int]] = []
    for year in years:
        if spans and year == spans[-1][-1] + 1:
            spans[-1].append(year)
        else:
            spans.append([year])
    return ", ".join(str(s[0]) if len(s) == 1 else f"{s[0]} to {s[-1]}" for s in spans)


def firing_in_words(firing: Firing) -> Words:
    """Tell a plant's firing history: a row for each kiln, then for each span of capacity."""
    columns = ("what", "kind", "firing", "began or from", "ended or to", "standing", "came to")
    rows = [
        (
            kiln.name,
            kiln.note,
            kiln.group,
            between(kiln.life.begin),
            between(kiln.life.end),
            standing(kiln.life),
            "",
            *basis_cells(kiln.basis),
        )
        for kiln in firing.kilns
    ]
    for step in firing.capacity:
        open_above = step.possible is None
        kilns = f"{step.certain} {'or more' if open_above else f'to {step.possible}'} kilns"
        if step.left_out:
            kilns += f", {step.left_out} left out"
        low = f"{step.low or 0:,.0f}"
        value = (
            f"at least {low} {firing.unit}"
            if open_above
            else f"{low} to {step.high or 0:,.0f} {firing.unit}"
        )
        value = "" if step.high is None else value
        years = (str(step.first), str(step.last))
        cells = ("capacity", kilns, step.firing, *years, "reckoned", value)
        rows.append((*cells, *basis_cells(step.basis)))
    summary = f"{firing.number} along a time axis. {_extent(firing.kilns)}"
    if firing.assumptions:
        summary += f" Assumed: {'; '.join(firing.assumptions)}."
    return Words(summary, (*columns, *_BASIS), tuple(rows))
