"""Dates as sources give them, read into inclusive day bounds.

Extended Date/Time Format levels 0 to 2: ISO 8601-2:2019 as profiled by the Library of Congress
(Extended Date/Time Format Specification, 2019). Days are numbers, 0001-01-01 being day 1, in the
proleptic Gregorian calendar; see `glost.record.edtf_days`.
"""

from collections.abc import Iterable

from glost.limits import DATE, SHOWN
from glost.record.edtf_days import calendar_day, day_number, from_iso, to_iso
from glost.record.edtf_grammar import malformed, read_single, read_time
from glost.record.edtf_types import DateError, Edtf, Margin
from glost.record.edtf_words import describe

__all__ = [
    "DEFAULT_MARGIN",
    "DateError",
    "Edtf",
    "Margin",
    "calendar_day",
    "day_number",
    "describe",
    "from_iso",
    "hull",
    "overlaps",
    "read",
    "to_iso",
]

DEFAULT_MARGIN = Margin()
"""The widening of approximate dates when a collection sets none."""


def hull(dates: Iterable[Edtf]) -> tuple[int | None, int | None]:
    """Return the first and the last day that any of some dates allows, both inclusive.

    None where one of them is open or unknown at that end, or there is none.
    """
    found = list(dates)
    starts, ends = [date.earliest for date in found], [date.latest for date in found]
    first = None if None in starts else min((s for s in starts if s is not None), default=None)
    last = None if None in ends else max((e for e in ends if e is not None), default=None)
    return first, last


_SET_KINDS = {"[": ("]", "one of"), "{": ("}", "all of")}


def read(text: str, margin_days: int | Margin = DEFAULT_MARGIN) -> Edtf:
    """Read a date of the Extended Date/Time Format.

    Parameters
    ----------
    text
        The date as written: `1908`, `192X`, `1911~`, `1908/..`, `[1667,1668,1670..1672]`.
    margin_days
        Days by which a date marked approximate is widened at either end: one number for all, or
        one each for years, months and days. 0 keeps the bounds as written.

    Returns
    -------
    Edtf
        The date with inclusive day bounds. Open ends are open, unknown ends unknown.

    Raises
    ------
    DateError
        If the text is not of the format, no such day exists, or an interval ends before it starts.
    """
    if len(text) > DATE:
        reason = f"it has {len(text):,} characters"
        raise DateError(text[:SHOWN], reason, f"write at most {DATE:,}, or give each date a row")
    margin = margin_days
    if isinstance(margin, int):
        margin = Margin(margin, margin, margin)
    if "/" in text:
        return _read_interval(text, margin)
    if text[:1] in _SET_KINDS:
        return _read_set(text, margin)
    if "T" in text:
        return read_time(text, margin)
    return read_single(text, text, margin)


def overlaps(a: Edtf, b: Edtf) -> bool:
    """Say whether two dates can share a day.

    Open and unknown ends rule nothing out. Gaps between the members of a set count; gaps left by
    unspecified digits do not.
    """
    if a.kind in ("one of", "all of"):
        return any(overlaps(member, b) for member in a.members)
    if b.kind in ("one of", "all of"):
        return any(overlaps(a, member) for member in b.members)
    return not _after(a.earliest, b.latest) and not _after(b.earliest, a.latest)


def _after(start: int | None, end: int | None) -> bool:
    return start is not None and end is not None and start > end


def _read_interval(text: str, margin: Margin) -> Edtf:
    if text.count("/") > 1:
        raise malformed(text, text)
    first, last = text.split("/")
    if not first and not last:
        raise DateError(text, "both ends are unknown", "give at least one end, or no date at all")
    start, end = (_read_end(part, text, margin) for part in (first, last))
    return _join(text, text, "interval", start, end)


def _read_end(part: str, text: str, margin: Margin) -> Edtf:
    if part == "..":
        return Edtf(part, None, None, open_start=True, open_end=True)
    if part == "":
        return Edtf(part, None, None, unknown_start=True, unknown_end=True)
    if part[0] in "[{" or "T" in part:
        raise malformed(text, text)
    return read_single(part, text, margin)


def _join(text: str, within: str, kind: str, start: Edtf, end: Edtf) -> Edtf:
    if _after(start.earliest, end.latest):
        raise DateError(within, "it ends before it starts", "write the earlier date first")
    qualifiers = f"{start.qualifiers}/{end.qualifiers}"
    return Edtf(
        text,
        start.earliest,
        end.latest,
        kind,
        open_start=start.open_start,
        open_end=end.open_end,
        unknown_start=start.unknown_start,
        unknown_end=end.unknown_end,
        approximate=start.approximate or end.approximate,
        uncertain=start.uncertain or end.uncertain,
        unspecified=start.unspecified or end.unspecified,
        qualifiers="" if qualifiers == "/" else qualifiers,
        margin=max(start.margin, end.margin),
        members=(start, end),
    )


def _read_set(text: str, margin: Margin) -> Edtf:
    closing, kind = _SET_KINDS[text[0]]
    if text[-1] != closing or len(text) < 2:
        raise malformed(text, text)
    if len(text) == 2:
        raise DateError(text, "the set is empty", "write its members, parted by commas")
    parts = text[1:-1].split(",")
    members = tuple(
        _read_member(part, text, margin, first=place == 0, last=place == len(parts) - 1)
        for place, part in enumerate(parts)
    )
    earliest, latest = hull(members)
    return Edtf(
        text,
        earliest,
        latest,
        kind,
        open_start=any(m.open_start for m in members),
        open_end=any(m.open_end for m in members),
        approximate=any(m.approximate for m in members),
        uncertain=any(m.uncertain for m in members),
        unspecified=any(m.unspecified for m in members),
        margin=max(m.margin for m in members),
        members=members,
    )


def _read_member(part: str, text: str, margin: Margin, *, first: bool, last: bool) -> Edtf:
    if not part:
        raise DateError(text, "a member of the set is missing", "take out the spare comma")
    if ".." not in part:
        if part[0] in "[{" or "T" in part:
            raise malformed(text, text)
        return read_single(part, text, margin)
    ends = part.split("..")
    if len(ends) != 2 or ends == ["", ""] or "T" in part:
        raise malformed(text, text)
    if (not ends[0] and not first) or (not ends[1] and not last):
        raise DateError(
            text,
            "only the first member may be open at its start, only the last at its end",
            "write the dates in order, the open one at the outside",
        )
    start, end = (_read_end(end or "..", text, margin) for end in ends)
    return _join(part, text, "range", start, end)
