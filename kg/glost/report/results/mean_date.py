"""What the dates of a group of pieces come to."""

from glost.answer.group import PieceGroup
from glost.report.things.said import Said
from glost.report.tree import Column, Group, Part, Report, Row, Rule, Section, Statement, Table

_MEAN = Rule("Of each shape the middle of the years it may have run, weighed by its pieces",
             "S. South, 1977")  # fmt: skip
_SPREAD = Rule("Each piece shared out over the days between its limits", "J. H. Ratcliffe, 2000")
_TYPES = (
    *(Column("shape", "shape"), Column("pieces", "pieces", "number")),
    *(Column("from", "from", "date"), Column("to", "to", "date")),
    Column("middle", "middle", "number"),
)
_PERIODS = (
    *(Column("from", "from", "date"), Column("to", "to", "date")),
    *(Column("weight", "weight"), Column("possible", "possible", "number")),
)


def told(found: PieceGroup, said: Said) -> Report:
    """Tell the mean of the dates of pieces, and their spread over the years.

    Returns
    -------
    Report
        Sections ``mean``, with the shapes it goes by, and ``spread``, a table of years.
    """
    mean: list[Part] = []
    if found.mean is None:
        text = "No mean date: no shape of these pieces is dated at both ends."
    else:
        text = f"We reckon a mean ceramic date of {found.mean:.1f}."
        rows = tuple(
            Row((t.shape, t.count, str(t.first), str(t.last), round(t.median, 1)),
                (*said.passages(t.claims), _MEAN))
            for t in found.types
        )  # fmt: skip
        mean.append(Table(_TYPES, rows, ("Goes by",)))
    mean.insert(0, Group((Statement((text,), (_MEAN,)),)))
    if found.without_type:
        out = f"Left out of the mean: {', '.join(found.without_type)}."
        mean.append(Group((Statement((out,), (_MEAN,)),)))
    periods = tuple(
        Row((str(each.first), str(each.last), f"{each.weight:.3f}", each.possible),
            (*said.passages(each.claims), _SPREAD))
        for each in found.periods
    )  # fmt: skip
    many = [f"The group has {found.pieces:,} pieces."]
    if found.without_limits:
        left = len(found.without_limits)
        many.append(f"Left out of the spread, for a limit is missing: {left} of {found.pieces}.")
    counted = Group(tuple(Statement((line,), (_SPREAD,)) for line in many))
    sections = (
        Section("mean", "Mean date", tuple(mean)),
        Section("spread", "Spread over the years", (Table(_PERIODS, periods), counted)),
    )
    return Report("", "A group of pieces", sections=sections)
