"""Reading very many codes at once: the same readings as one by one, column by column.

Each scheme's pattern is laid over all codes of one length at a time. The characters of a part are
cut out of all of them together, each distinct piece is looked up once, and the outcomes are joined.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import polars as pl

from glost.trade.codes.columns import days, kept, write_code
from glost.trade.codes.parts import (
    DAY,
    LIMIT,
    MONTH,
    QUARTER,
    WORN,
    YEAR,
    CodePart,
    Meaning,
    PartReading,
)
from glost.trade.codes.scheme import CodeScheme
from glost.trade.codes.splitting import choices, ways

_OPTION = {
    "text": pl.String, "value": pl.String, "meaning": pl.Int64, "rivals": pl.Int64,
    "year": pl.Int64, "month": pl.Int64, "day": pl.Int64, "quarter": pl.Boolean,
}  # fmt: skip
_NOTHING = pl.DataFrame(
    schema={
        "text": pl.String, "scheme": pl.String, "pattern": pl.String, "code": pl.String,
        "earliest": pl.Int64, "latest": pl.Int64, "in_force": pl.String,
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class DecodedTable:
    """The readings of many codes.

    Attributes
    ----------
    readings
        A row for each reading: ``at``, the place of the code in what was given, from 0;
        ``scheme``, its IRI, and ``pattern``; ``code``, what the code is taken for; ``earliest``
        and ``latest`` day, both inclusive, as in `glost.record.dates`; ``in_force``; and a column
        for every kind of thing told (``shape``, ``plant``), with its IRI. Sorted by ``at``,
        ``scheme``, ``pattern`` and ``code``.
    too_worn
        Places of codes that are too worn to be read.
    """

    readings: pl.DataFrame
    too_worn: tuple[int, ...]


def decode_all(codes: Sequence[str] | pl.Series, schemes: Iterable[CodeScheme]) -> DecodedTable:
    """Read many codes by every scheme.

    Parameters
    ----------
    codes
        The codes, worn characters written ``?``. Spaces around them are not part of them.
    schemes
        The schemes to try.

    Returns
    -------
    Batch
        The same readings as `glost.trade.codes.decode` gives of each. The claims under a reading
        are those of the same code decoded by itself.
    """
    texts = pl.Series("text", codes, dtype=pl.String).str.strip_chars()
    given = texts.to_frame().with_row_index("at")
    distinct = texts.unique().sort().to_frame()
    distinct = distinct.with_columns(pl.col("text").str.len_chars().alias("length"))
    found, worn = [], [pl.Series([], dtype=pl.String)]
    for scheme in schemes:
        for pieces in _laid(scheme, distinct):
            readable, too_worn = _looked_up(scheme, pieces)
            worn.append(too_worn)
            found.append(_read(scheme, readable))
    unread = pl.concat(worn).unique().to_frame("text")
    readings = pl.concat([_NOTHING, *found], how="diagonal").join(unread, on="text", how="anti")
    readings = given.join(readings, on="text").drop("text")
    places = given.join(unread, on="text", how="semi")["at"].sort().to_list()
    return DecodedTable(readings.sort("at", "scheme", "pattern", "code"), tuple(places))


def _laid(scheme: CodeScheme, distinct: pl.DataFrame) -> Iterator[pl.DataFrame]:
    """Yield, for every layout of the pattern, the codes it fits with their parts cut out."""
    for length, codes in distinct.group_by("length", maintain_order=True):
        for widths in _layouts(scheme.tokens, int(str(length[0]))):
            pieces = _cut(scheme, widths, codes)
            if pieces.height:
                yield pieces


def _layouts(tokens: Sequence[CodePart | str], length: int) -> Iterator[tuple[int, ...]]:
    """Yield the widths of all parts for every way a pattern may fill a length."""
    if not tokens:
        if length == 0:
            yield ()
        return
    first, rest = tokens[0], tokens[1:]
    if isinstance(first, str):
        if len(first) <= length:
            yield from _layouts(rest, length - len(first))
        return
    for width in first.widths(length):
        for further in _layouts(rest, length - width):
            yield (width, *further)


def _cut(scheme: CodeScheme, widths: tuple[int, ...], codes: pl.DataFrame) -> pl.DataFrame:
    at, part = 0, iter(widths)
    columns, fits = [], pl.lit(True)
    for token in scheme.tokens:
        if isinstance(token, str):
            for character in token:
                fits &= pl.col("text").str.slice(at, 1).is_in([character, WORN])
                at += 1
        else:
            width = next(part)
            columns.append(pl.col("text").str.slice(at, width).alias(f"text {token.name}"))
            at += width
    return codes.filter(fits).select("text", *columns)


def _looked_up(scheme: CodeScheme, pieces: pl.DataFrame) -> tuple[pl.DataFrame, pl.Series]:
    """Join what each part may be, leaving out and telling the codes that are too worn."""
    options = []
    together = pl.lit(1, pl.Int64)
    for part in scheme.parts:
        cut = pieces[f"text {part.name}"].unique()
        options.append(_options(part, cut))
        counted = _ways(part, cut).rename(
            {"text": f"text {part.name}", "ways": f"ways {part.name}"}
        )
        pieces = pieces.join(counted, on=f"text {part.name}")
        together = pl.min_horizontal(together * pl.col(f"ways {part.name}"), pl.lit(LIMIT + 1))
    worn = pieces.filter(together > LIMIT)["text"].unique()
    pieces = pieces.filter(together <= LIMIT)
    for part, option in zip(scheme.parts, options, strict=True):
        named = option.rename({name: f"{name} {part.name}" for name in option.columns})
        pieces = pieces.join(named, on=f"text {part.name}")
    return pieces, worn


def _runs_on(part: CodePart) -> bool:
    """Say whether a part has no table and tells no date, so that any figures will do."""
    return not part.table and all(m.tells not in (YEAR, QUARTER, MONTH, DAY) for m in part.counted)


def _fitting(meaning: Meaning) -> pl.Expr:
    digits = meaning.digits
    assert digits is not None
    signs = "A-Z" if digits.letters else "0-9"
    most = "" if digits.most is None else digits.most
    return pl.col("text").str.contains(rf"^[{signs}{WORN}]{{{digits.least},{most}}}$")


def _ways(part: CodePart, cut: pl.Series) -> pl.DataFrame:
    frame = cut.to_frame("text")
    if _runs_on(part):
        fits = pl.any_horizontal([_fitting(meaning) for meaning in part.counted] or [pl.lit(False)])
        return frame.with_columns(fits.cast(pl.Int64).alias("ways")).filter(pl.col("ways") > 0)
    counted = [ways(part, text) for text in cut]
    return frame.with_columns(pl.Series("ways", counted, dtype=pl.Int64)).filter(pl.col("ways") > 0)


def _options(part: CodePart, cut: pl.Series) -> pl.DataFrame:
    """Return every value each piece may be, with its meaning and what that tells.

    ``meaning`` is the meaning's place in the part, and ``rivals`` says, bit by bit, which meanings
    of the same value are exceptions.
    """
    if _runs_on(part):
        every = [at for at, m in enumerate(part.counted) if m.only_in]
        frames = [pl.DataFrame(schema=_OPTION)]
        for at, meaning in enumerate(part.meanings):
            fits = cut.to_frame("text").filter(_fitting(meaning))
            told = {"value": pl.col("text"), "meaning": pl.lit(at), "rivals": pl.lit(_bits(every))}
            frames.append(fits.with_columns(**told))
        return pl.concat(frames, how="diagonal_relaxed").select(*_OPTION)
    place = {id(meaning): at for at, meaning in enumerate(part.meanings)}
    rows = []
    for text in cut:
        if not 0 < ways(part, text) <= LIMIT:
            continue
        for value, meanings in choices(part, text):
            rivals = _bits(place[id(m)] for m, _ in meanings if m.only_in)
            for meaning, number in meanings:
                read = PartReading(part.name, text, value, meaning, number)
                rows.append(
                    (text, value, place[id(meaning)], rivals, read.year, read.month, read.day,
                     meaning.tells == QUARTER)
                )  # fmt: skip
    return pl.DataFrame(rows, schema=_OPTION, orient="row")


def _bits(places: Iterable[int]) -> int:
    return sum(1 << place for place in places)


def _read(scheme: CodeScheme, pieces: pl.DataFrame) -> pl.DataFrame:
    pieces = pieces.with_columns(write_code(scheme).alias("code"))
    for part in scheme.parts:
        if any(meaning.only_in for meaning in part.meanings):
            pieces = pieces.filter(kept(part, scheme))
    pieces = days(pieces, [part.name for part in scheme.parts])
    told: dict[str, list[pl.Expr]] = {}
    for part in scheme.parts:
        for kind in sorted({m.tells for m in part.meanings if m.thing is not None}):
            things = {
                at: str(m.thing)
                for at, m in enumerate(part.meanings)
                if m.thing is not None and m.tells == kind
            }
            column = pl.col(f"meaning {part.name}").replace_strict(
                list(things), list(things.values()), default=None, return_dtype=pl.String
            )
            told.setdefault(kind.rsplit("/", 1)[-1], []).append(column)
    return pieces.select(
        "text",
        pl.lit(str(scheme.iri)).alias("scheme"),
        pl.lit(scheme.pattern).alias("pattern"),
        "code", "earliest", "latest",
        _force(scheme).alias("in_force"),
        *(pl.coalesce(columns).alias(kind) for kind, columns in told.items()),
    )  # fmt: skip


def _force(scheme: CodeScheme) -> pl.Expr:
    """Say of every reading whether its scheme was in use; see `CodeScheme.in_force`."""
    first, last = pl.col("earliest"), pl.col("latest")
    begin, end = scheme.begin, scheme.end
    never = pl.lit(False)
    over = (last < begin[0]) if begin[0] is not None else never
    over = over | ((first > end[1]) if end[1] is not None else never)
    sure = (first >= begin[1]) if begin[1] is not None else never
    sure = sure & ((last <= end[0]) if end[0] is not None else never)
    return (
        pl.when(first.is_null()).then(pl.lit(""))
        .when(over).then(pl.lit("no"))
        .when(sure).then(pl.lit("certainly"))
        .otherwise(pl.lit("possibly"))
    )  # fmt: skip
