"""Readings and days in words."""

from rdflib import Graph

from glost.record.dates import calendar_day, to_iso
from glost.record.edtf_days import month_length
from glost.record.wording import label
from glost.trade.codes.scheme import Reading


def days_in_words(earliest: int | None, latest: int | None) -> str:
    """Write a first and last day, both inclusive, as a year, a month, a day or two days.

    Years and months are written as in EDTF: ``1917``, ``1917-03``; days and months parted by
    ``/``.
    """
    if earliest is None or latest is None:
        return ""
    if earliest == latest:
        return to_iso(earliest)
    first, last = calendar_day(earliest), calendar_day(latest)
    whole_months = first[2] == 1 and last[2] == month_length(last[0], last[1])
    whole_years = whole_months and first[1] == 1 and last[1] == 12
    if whole_years:
        texts = (f"{first[0]:04d}", f"{last[0]:04d}")
    elif whole_months:
        texts = (f"{first[0]:04d}-{first[1]:02d}", f"{last[0]:04d}-{last[1]:02d}")
    else:
        texts = (to_iso(earliest), to_iso(latest))
    return texts[0] if texts[0] == texts[1] else "/".join(texts)


def reading_in_words(reading: Reading, graph: Graph) -> str:
    """Say what a reading tells: ``shape Tamsin, running number 311``.

    Parameters
    ----------
    reading
        The reading.
    graph
        What is believed, with the vocabulary.
    """
    told = []
    for part in reading.parts:
        kind = label(part.meaning.tells, graph)
        if part.meaning.thing is not None:
            told.append(f"{kind} {label(part.meaning.thing, graph)}")
        elif part.year is None and part.month is None and part.day is None:
            told.append(f"{kind} {part.value}")
    span = days_in_words(reading.earliest, reading.latest)
    return ", ".join([*([span] if span else []), *told])
