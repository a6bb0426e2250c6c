"""What lists offered in a shape, how two assortments differ, and articles by lists or shapes."""

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from rdflib import URIRef

from glost.report.things.said import Said
from glost.report.tree import (
    Cell,
    Column,
    Ground,
    Group,
    Part,
    Report,
    Row,
    Rule,
    Section,
    Statement,
    Table,
)
from glost.trade.assortments.compare import ArticleStanding, ComparedSide, Comparison
from glost.trade.assortments.counts import read_count
from glost.trade.assortments.forms import WareClass
from glost.trade.assortments.judging import Judgement
from glost.trade.assortments.lists import Article, Lists
from glost.trade.assortments.matrix import Matrix, MatrixColumn
from glost.trade.assortments.shape import AssortmentResult, Sizes, claims_of
from glost.verdicts import Verdict

_NOT_SEEN = Rule("No list on record offers it, and none is stated complete")
_SET_SIDE_BY_SIDE = Rule(
    "Set side by side, article by article; lost, gained or absent only by a list stated complete, "
    "no source saying otherwise"
)
_DOZEN = Rule("What potters' counts mean", "common practice")
_JUDGED = Rule("Lines go by when they were brought in; glost ask first-to-offer gives the reasons")
_FORMS = (
    *(Column("form", "form", "thing"), Column("class", "class")),
    *(Column("trade_sizes", "trade sizes"), Column("counts", "counts")),
    *(Column("measured", "measured"), Column("lists", "lists")),
    *(Column("first_line", "first line"), Column("last_line", "last line")),
    Column("only_here", "", "verdict", True),
)
_ARTICLES = (
    *(Column("first", "", "thing", True), Column("second", "", "thing", True)),
    *(Column("form", "form"), Column("trade_size", "trade size"), Column("variant", "variant")),
    *(Column("standing", "standing"), Column("remark", "remark")),
)
_CELLS = (
    *(Column("form", "form", "thing"), Column("class", "class")),
    *(Column("trade_size", "trade size"), Column("variant", "variant")),
    *(Column("shape", "shape", "thing"), Column("list", "list", "thing")),
    *(Column("years", "years"), Column("status", "status")),
)


def told(found: AssortmentResult, said: Said) -> Report:
    """Tell what lists offered in a shape.

    Returns
    -------
    Report
        Sections ``lists``, ``changes`` from each to the next and from the line before, and
        ``forms`` with their sizes and which line had each first and last.
    """
    if not found.assortments:
        nothing = Statement(("No list on record offers anything in it.",), (_NOT_SEEN,))
        return Report(str(found.shape), found.name, (nothing,))
    changes = [
        _steps(title, some, said)
        for title, some in (
            ("From each list to the next", found.changes),
            ("From the line before, all lists of either taken together", found.before),
        )
        if some
    ]
    sections = [
        Section("lists", "What lists offered", (_lists(found, said),)),
        Section("changes", "What changed", tuple(changes)),
        Section("forms", "In which forms and sizes", (_sizes(found, said), *_keys(found))),
    ]
    return Report(str(found.shape), found.name, sections=tuple(s for s in sections if s.parts))


def _lists(found: AssortmentResult, said: Said) -> Table:
    classes = [ware for ware in WareClass if any(counts[ware] for counts in found.classes)]
    columns = (
        *(Column("list", "list", "thing"), Column("year", "year", "date")),
        *(Column("stated_complete", "stated complete", "verdict"),),
        *(Column("articles", "articles", "number"), Column("items", "items", "number")),
        *(Column(str(ware), str(ware), "number") for ware in classes),
    )
    rows = tuple(
        Row(
            (said.ref(each.list), each.years, str(each.complete), len(each.articles),
             len(each.offers), *(counts[ware] for ware in classes)),
            said.passages(claims_of(each)),
        )
        for each, counts in zip(found.assortments, found.classes, strict=True)
    )  # fmt: skip
    return Table(columns, rows)


def _steps(title: str, changes: Sequence[Comparison], said: Said) -> Table:
    columns = (
        *(Column("from", "from", "thing"), Column("to", "to", "thing")),
        *(Column(str(standing), str(standing), "number") for standing in ArticleStanding),
        *(Column("reduction", "reduction"), Column("both_complete", "both complete", "verdict")),
    )
    rows = tuple(
        Row(
            (_named(said, each, each.first), _named(said, each, each.second),
             *(each.count(standing) or None for standing in ArticleStanding),
             _changed(each.reduction),
             "yes" if each.comparable else "no"),
            _grounds(said, each),
        )
        for each in changes
    )  # fmt: skip
    return Table(columns, rows, (title,))


def _grounds(said: Said, each: Comparison) -> tuple[Ground, ...]:
    claims = [claim for change in each.changes for claim in change.claims]
    return (*said.passages(claims), _SET_SIDE_BY_SIDE)


def _named(said: Said, change: Comparison, side: ComparedSide) -> Cell:
    """Name a side by its list if the two are of one shape, else by its shape."""
    if change.first.shape == change.second.shape:
        return said.ref(side.assortments[0].list)
    return said.ref(side.shape)


def _changed(value: Fraction | None) -> str:
    if value is not None and value < 0:
        return f"grew {per_cent(-value)}"
    return per_cent(value)


def per_cent(value: Fraction | None) -> str:
    """Write a number of per cent; nothing for None."""
    return "" if value is None else f"{float(value):.1f} %"


def _sizes(found: AssortmentResult, said: Said) -> Table:
    rows = tuple(_form(said, each, len(found.assortments)) for each in found.sizes)
    return Table(_FORMS, rows)


def _form(said: Said, each: Sizes, total: int) -> Row:
    star = "" if each.alone is None else "**" if each.alone.verdict == Verdict.YES else "*"
    counts = [text if read_count(text) else f"{text} (?)" for text in each.counts]
    return Row(
        ((said.ref(each.form), star), str(each.ware), ", ".join(each.trade), ", ".join(counts),
         ", ".join(each.measured), f"{len(each.offered)} of {total}", _lines(said, each.first),
         _lines(said, each.last), str(each.alone.verdict) if each.alone else None),
        (*said.passages(each.claims), _JUDGED),
    )  # fmt: skip


def _lines(said: Said, found: tuple[Judgement, ...]) -> str:
    names = ((said.ref(one.shape).text, one.verdict == Verdict.YES) for one in found)
    return " or ".join(name if sure else f"{name}?" for name, sure in names)


def _keys(found: AssortmentResult) -> Iterator[Group]:
    """Tell how to read the table of forms."""
    keys = []
    if any(each.alone for each in found.sizes):
        text = (
            "** No other shape of the pottery had it, by complete lists or statements; * none is "
            "known to have had it. Lines go by when they were brought in; ? marks what is not "
            "certain: glost ask first-to-offer gives the reasons."
        )
        keys.append(Statement((text,), (_JUDGED,)))
    if any(each.counts for each in found.sizes):
        keys.append(Statement(("Of 36s, 36 pieces go to the potter's dozen.",), (_DOZEN,)))
    if keys:
        yield Group(tuple(keys))


# -- comparisons -----------------------------------------------------------------------------------


def compared(found: Comparison, said: Said) -> Report:
    """Tell how two assortments differ.

    Returns
    -------
    Report
        Sections ``articles``, a table of how each stands, and ``sums``.
    """
    sides = (("The first", found.first), ("The second", found.second))
    lead = tuple(
        Statement((_side(said, side),), (*_side_grounds(said, side), _SET_SIDE_BY_SIDE),
                  _name=(name,))
        for name, side in sides
    )  # fmt: skip
    rows = tuple(
        Row(
            (said.ref(found.first.shape), said.ref(found.second.shape),
             said.ref(c.article.form), c.article.size, c.article.variant, str(c.standing),
             c.remark),
            said.passages(c.claims) or (_NOT_SEEN,),
        )
        for c in found.changes
    )  # fmt: skip
    sums = [Statement((text,), (_SET_SIDE_BY_SIDE,)) for text in _sums(found)]
    if found.sharing:
        shared = "The two shapes are said to share flatware."
        sums.append(Statement((shared,), said.passages(found.sharing)))
    one, two = said.ref(found.first.shape).text, said.ref(found.second.shape).text
    sections = (
        Section("articles", "Article by article", (Table(_ARTICLES, rows),)),
        Section("sums", "Taken together", (Group(tuple(sums)),)),
    )
    heading = one if one == two else f"{one} and {two}"
    return Report("", heading, lead, sections)


def _side(said: Said, side: ComparedSide) -> str:
    names = [
        f"{said.ref(each.list).text} ({each.years or 'undated'}, stated complete: {each.complete})"
        for each in side.assortments
    ]
    of = "forms" if side.by_form else "articles"
    return f"{said.ref(side.shape).text}, {len(side.articles)} {of} in {'; '.join(names)}"


def _side_grounds(said: Said, side: ComparedSide) -> tuple[Ground, ...]:
    return said.passages(c for each in side.assortments for c in claims_of(each))


def _sums(found: Comparison) -> Iterator[str]:
    counts = [f"{found.count(s)} {s}" for s in ArticleStanding if found.count(s)]
    yield f"{'; '.join(counts)}."
    jaccard = "" if found.jaccard is None else f"{float(found.jaccard):.3f}"
    yield (
        f"In both: {per_cent(found.share_of_first)} of the first, "
        f"{per_cent(found.share_of_second)} of the second; {jaccard} of all (Jaccard)."
    )
    sure = "each has a list stated complete" if found.comparable else "as far as these lists show"
    if found.reduction is not None:
        way = "smaller" if found.reduction >= 0 else "larger"
        yield f"The second is {per_cent(abs(found.reduction))} {way}; {sure}."


# -- matrices --------------------------------------------------------------------------------------

MatrixPart = tuple[Matrix, Sequence[MatrixColumn]]
"""A matrix, and those of its columns that are told."""


def matrix(parts: Sequence[MatrixPart], names: Iterable[str], said: Said) -> Report:
    """Set articles against lists or shapes, a column for each."""
    tables: list[Part] = []
    for (found, columns), name in zip(parts, names, strict=True):
        heads = (
            Column(f"column_{at}", _head(said, column)) for at, column in enumerate(columns, 1)
        )
        rows = tuple(
            Row(
                (named(said, article), *(str(found.cells[article, c].status) for c in columns)),
                said.passages(x for c in columns for x in found.cells[article, c].claims)
                or (_NOT_SEEN,),
            )
            for article in found.articles
        )
        tables.append(Table((Column("article", "article"), *heads), rows, (name,) * bool(name)))
    return Report("", "Articles", sections=(Section("matrix", "What each had", tuple(tables)),))


def cells(parts: Sequence[MatrixPart], lists: Lists, said: Said) -> Report:
    """Tell the same a cell a row, for programs."""
    rows = tuple(
        Row(
            (
                said.ref(article.form), str(lists.forms.class_of(article.form)), article.size,
                article.variant, said.ref(column.shape),
                said.ref(column.list) if column.list else None, column.years,
                str(found.cells[article, column].status),
            ),
            said.passages(found.cells[article, column].claims) or (_NOT_SEEN,),
        )
        for found, columns in parts
        for article in found.articles
        for column in columns
    )  # fmt: skip
    table = Table(_CELLS, rows)
    return Report("", "Articles", sections=(Section("matrix", "What each had", (table,)),))


def _head(said: Said, column: MatrixColumn) -> str:
    if column.list is None:
        return said.ref(column.shape).text
    return f"{str(column.list).rsplit('/', 1)[-1]} {column.years}".strip()


def named(said: Said, article: Article) -> str:
    """Name an article by its form, trade size and variant."""
    return f"{said.ref(URIRef(article.form)).text} {article.which}".strip()
