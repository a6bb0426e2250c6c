"""Codes, exceptions and days reckoned for whole columns of readings at once."""

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
import polars as pl

from glost.trade.codes.parts import WORN, CodePart, Condition, Meaning, PartTest
from glost.trade.codes.scheme import CodeScheme

Ints: TypeAlias = npt.NDArray[np.int64]

_BEFORE = np.array([0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334])
_LENGTH = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


def write_code(scheme: CodeScheme) -> pl.Expr:
    """Write the code of every row from the values of its parts."""
    return pl.concat_str(
        [pl.lit(t) if isinstance(t, str) else pl.col(f"value {t.name}") for t in scheme.tokens]
    )


def kept(part: CodePart, scheme: CodeScheme) -> pl.Expr:
    """Say of every row whether the meaning of a part holds, exceptions put before the ordinary.

    Does for columns what `glost.trade.codes.splitting.resolve` does for one code.
    """
    meaning, rivals = pl.col(f"meaning {part.name}"), pl.col(f"rivals {part.name}")
    keep = pl.lit(True)
    for at, exception in enumerate(part.meanings):
        if not exception.only_in:
            continue
        sure, possible = _holds(exception, scheme)
        keep &= (meaning != at) | possible
        if not exception.also:
            ordinary = [i for i, m in enumerate(part.meanings) if not m.only_in]
            concerned = (rivals // (1 << at)) % 2 == 1
            keep &= ~(meaning.is_in(ordinary) & concerned & sure)
    return keep


def _holds(meaning: Meaning, scheme: CodeScheme) -> tuple[pl.Expr, pl.Expr]:
    """Say whether an exception certainly holds, and whether it may."""
    said = [_condition(condition, scheme) for condition in meaning.only_in]
    return pl.any_horizontal([s for s, _ in said]), pl.any_horizontal([p for _, p in said])


def _condition(condition: Condition, scheme: CodeScheme) -> tuple[pl.Expr, pl.Expr]:
    if condition.code:
        code = pl.col("code")
        fits = [code.str.len_chars() == len(condition.code)]
        for at, character in enumerate(condition.code):
            fits.append(code.str.slice(at, 1).is_in([character, WORN]))
        return code == condition.code, pl.all_horizontal(fits)
    said = [_test(test, scheme) for test in condition.tests]
    return pl.all_horizontal([s for s, _ in said]), pl.all_horizontal([p for _, p in said])


def _test(test: PartTest, scheme: CodeScheme) -> tuple[pl.Expr, pl.Expr]:
    if test.part not in {part.name for part in scheme.parts}:
        return pl.lit(False), pl.lit(False)
    value = pl.col(f"value {test.part}")
    meets = value.is_in(sorted(test.values))
    number = value.cast(pl.Int64, strict=False)
    for low, high in test.ranges:
        inside = value.str.contains(r"^[0-9]+$") & number.is_between(low, high).fill_null(False)
        meets |= inside
    return meets, meets | value.str.contains(WORN, literal=True)


def days(pieces: pl.DataFrame, parts: Sequence[str]) -> pl.DataFrame:
    """Add the first and last day, and leave out rows that tell no day of the calendar.

    Does for columns what `glost.trade.codes.splitting.days` does for one code.
    """
    for kind in ("year", "month", "day"):
        columns = [pl.col(f"{kind} {name}") for name in parts]
        pieces = pieces.with_columns(pl.coalesce(columns).alias(kind))
        if kind != "day":
            pieces = pieces.filter(
                pl.all_horizontal([c.is_null() | (c == pl.col(kind)) for c in columns])
            )
    quarter = [pl.col(f"quarter {n}").fill_null(False) for n in parts]
    month_told = [
        pl.col(f"month {n}").is_not_null() & ~pl.col(f"quarter {n}").fill_null(False) for n in parts
    ]
    of_quarter = pl.any_horizontal(quarter) & ~pl.any_horizontal(month_told)
    year = pieces["year"].fill_null(1).to_numpy()
    month = pieces["month"].fill_null(1).to_numpy()
    through = pieces.select(
        pl.when(pl.col("month").is_null()).then(12)
        .when(of_quarter).then(pl.min_horizontal(pl.col("month") + 2, 12))
        .otherwise(pl.col("month"))
    ).to_series().to_numpy()  # fmt: skip
    has_day = pieces["day"].is_not_null().to_numpy() & pieces["month"].is_not_null().to_numpy()
    day = pieces["day"].fill_null(1).to_numpy()
    first = _number(year, month, np.where(has_day, day, 1))
    last = np.where(has_day, first, _number(year, through, _length(year, through)))
    told = pieces["year"].is_not_null()
    pieces = pieces.with_columns(
        pl.Series("earliest", first, dtype=pl.Int64), pl.Series("latest", last, dtype=pl.Int64)
    ).with_columns(
        [pl.when(told).then(pl.col(name)).alias(name) for name in ("earliest", "latest")]
    )
    exists = ~has_day | (day <= _length(year, month)) | ~told.to_numpy()
    return pieces.filter(pl.Series(exists))


def _leap(year: Ints) -> npt.NDArray[np.bool_]:
    return np.asarray((year % 4 == 0) & ((year % 100 != 0) | (year % 400 == 0)), np.bool_)


def _length(year: Ints, month: Ints) -> Ints:
    return np.asarray(_LENGTH[month - 1] + ((month == 2) & _leap(year)), np.int64)


def _number(year: Ints, month: Ints, day: Ints) -> Ints:
    """Return day numbers; see `glost.record.edtf_days.day_number`."""
    before = year - 1
    leaps = before // 4 - before // 100 + before // 400
    past = _BEFORE[month - 1] + ((month > 2) & _leap(year))
    return np.asarray(365 * before + leaps + past + day, np.int64)
