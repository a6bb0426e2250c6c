"""Reading very many codes: those that differ in nothing that matters are read once.

A part that merely runs on tells neither a thing nor a day, so that codes whose other parts are
written alike are read alike. The characters of each part are cut out of all codes together, one
code of each set is read as `CodeScheme.decode` reads it, and what runs on is put in its place.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import reduce

import polars as pl

from glost.trade.codes.parts import DAY, MONTH, QUARTER, WORN, YEAR, CodeError, CodePart, Meaning
from glost.trade.codes.scheme import CodeScheme, Reading
from glost.trade.codes.splitting import Cut

_SCHEMA = {"at": pl.UInt32, "code": pl.String, "alike": pl.Int64}
_NEVER = pl.lit(False)


@dataclass(frozen=True, slots=True)
class ManyDecoded:
    """The readings of many codes.

    Attributes
    ----------
    readings
        A row for each reading, sorted by ``at``, ``alike`` and ``code``: ``at``, the place of the
        code in what was given, from 0; ``code``, what it is taken for; ``alike``, the place in
        `alike` of a reading that is the same but for parts that run on.
    alike
        Readings: the scheme, the things and days told, and the claims for them.
    too_worn
        Places of codes that are too worn to be read, in order.
    """

    readings: pl.DataFrame
    alike: tuple[Reading, ...]
    too_worn: tuple[int, ...]


def decode_many(codes: Sequence[str] | pl.Series, schemes: Iterable[CodeScheme]) -> ManyDecoded:
    """Read many codes by every scheme.

    Parameters
    ----------
    codes
        The codes, worn characters written ``?``. Spaces around them are not part of them.
    schemes
        The schemes to try.

    Returns
    -------
    ManyDecoded
        The same readings as `glost.trade.codes.decode` gives of each.
    """
    texts = pl.Series("text", codes, dtype=pl.String).str.strip_chars()
    distinct = texts.unique(maintain_order=True).to_frame()
    by_length = distinct.with_columns(pl.col("text").str.len_chars().alias("length"))
    worn, alike = [texts.clear()], list[Reading]()
    found = [pl.DataFrame(schema={"text": pl.String, "code": pl.String, "alike": pl.Int64})]
    for (length,), some in by_length.group_by("length", maintain_order=True):
        for scheme in schemes:
            for cut in scheme.cuts(int(str(length))):
                readings, too_worn = _read(scheme, cut, some, alike)
                found.append(readings)
                worn.append(too_worn)
    unread = pl.concat(worn).unique().to_frame()
    given = texts.to_frame().with_row_index("at")
    readings = given.join(pl.concat(found).join(unread, on="text", how="anti"), on="text")
    places = given.join(unread, on="text", how="semi")["at"].sort().to_list()
    return ManyDecoded(
        readings.select(*_SCHEMA).sort("at", "alike", "code"), tuple(alike), tuple(places)
    )


def _read(
    scheme: CodeScheme, cut: Cut, codes: pl.DataFrame, alike: list[Reading]
) -> tuple[pl.DataFrame, pl.Series]:
    """Read codes by one scheme, cut in one way; `alike` gets a reading of each set of codes."""
    laid = _laid(scheme, cut, codes)
    keys = laid.columns[1:]
    sets = laid.group_by(keys, maintain_order=True).agg(pl.col("text").first().alias("first"))
    rows, worn = [], []
    for at, text in enumerate(sets["first"]):
        try:
            some = scheme.decode(text, cuts=(cut,))
        except CodeError:
            worn.append(at)
            continue
        for reading in some:
            rows.append((at, len(alike), *(part.value for part in reading.parts)))
            alike.append(reading)
    values = {f"value {at}": pl.String for at in range(len(scheme.parts))}
    read = pl.DataFrame(rows, {"set": pl.UInt32, "alike": pl.Int64, **values}, orient="row").lazy()
    placed = laid.lazy().join(sets.lazy().with_row_index("set"), on=keys)
    readings = placed.join(read, on="set").select("text", _code(scheme, cut), "alike").collect()
    too_worn = placed.filter(pl.col("set").is_in(worn)).select("text").collect()["text"]
    return readings, too_worn


def _laid(scheme: CodeScheme, cut: Cut, codes: pl.DataFrame) -> pl.DataFrame:
    """Return the codes a pattern may fit, with all that decides how they are read."""
    text, fits = pl.col("text"), [pl.lit(True)]
    keys: list[pl.Expr] = []
    for token, (start, end) in zip(scheme.tokens, cut, strict=True):
        piece = text.str.slice(start, end - start)
        if isinstance(token, str):
            fits += [
                text.str.slice(start + at, 1).is_in([sign, WORN]) for at, sign in enumerate(token)
            ]
        elif _runs_on(token):
            written = [_written(meaning, piece) for meaning in token.counted]
            fits.append(pl.any_horizontal(written or [_NEVER]))
            keys += written
        else:
            fits.append(piece.str.contains(WORN, literal=True) | _known(token, piece))
            keys.append(piece)
    keys.append(pl.when(_excepted(scheme, cut)).then(text).otherwise(pl.lit("")))
    named = [key.alias(f"key {at}") for at, key in enumerate(keys)]
    return codes.lazy().filter(pl.all_horizontal(fits)).select("text", *named).collect()


def _runs_on(part: CodePart) -> bool:
    """Say whether a part has no table and tells no date, so that any figures will do."""
    return not part.table and all(m.tells not in (YEAR, QUARTER, MONTH, DAY) for m in part.counted)


def _known(part: CodePart, piece: pl.Expr) -> pl.Expr:
    counted = [_written(meaning, piece) for meaning in part.counted]
    return pl.any_horizontal([piece.is_in(sorted(part.table)), *counted])


def _written(meaning: Meaning, piece: pl.Expr) -> pl.Expr:
    """Say whether a piece is written as a counted meaning is."""
    digits = meaning.digits
    assert digits is not None
    signs, most = "A-Z" if digits.letters else "0-9", "" if digits.most is None else digits.most
    return piece.str.contains(rf"^[{signs}{WORN}]{{{digits.least},{most}}}$")


def _excepted(scheme: CodeScheme, cut: Cut) -> pl.Expr:
    """Say whether what runs on in a code may decide whether an exception holds in it."""
    at = {
        part.name: pl.col("text").str.slice(start, end - start)
        for part, (start, end) in zip(scheme.tokens, cut, strict=True)
        if isinstance(part, CodePart) and _runs_on(part)
    }
    return reduce(pl.Expr.__or__, _deciding(scheme, at), _NEVER)


def _deciding(scheme: CodeScheme, running: dict[str, pl.Expr]) -> Iterator[pl.Expr]:
    conditions = {c for part in scheme.parts for m in part.meanings for c in m.only_in}
    for condition in conditions if running else ():
        if condition.code:
            signs = [f"[{sign}{WORN}]" if sign not in "^]\\-" else "." for sign in condition.code]
            yield pl.col("text").str.contains(f"^{''.join(signs)}$")
        for test in condition.tests:
            if (piece := running.get(test.part)) is not None:
                yield piece.str.contains(WORN, literal=True) | piece.is_in(sorted(test.values))
                for low, high in test.ranges:
                    yield piece.cast(pl.Int64, strict=False).is_between(low, high).fill_null(True)


def _code(scheme: CodeScheme, cut: Cut) -> pl.Expr:
    """Write what codes are taken for: what runs on as it stands, the rest as it was read."""
    written, at = [], 0
    for token, (start, end) in zip(scheme.tokens, cut, strict=True):
        if isinstance(token, str):
            written.append(pl.lit(token))
            continue
        running = _runs_on(token)
        piece = pl.col("text").str.slice(start, end - start)
        written.append(piece if running else pl.col(f"value {at}"))
        at += 1
    return pl.concat_str(written).alias("code")
