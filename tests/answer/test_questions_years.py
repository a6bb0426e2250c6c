"""Plain years beside dates: the hull of what the sources give, and nothing where an end is open."""

import pytest
from rdflib import Graph, Literal, URIRef

from glost.answer.years import reckon
from glost.names import EDTF, GLOST
from glost.record.dates import Margin

BEGIN = URIRef("https://example.org/shelf/shape/alder#begin")


def years(*dates: str, margin: Margin | None = None) -> tuple[int | None, int | None]:
    facts = Graph()
    for text in dates:
        facts.add((BEGIN, GLOST.date, Literal(text, datatype=EDTF)))
    size = len(facts)
    found = reckon(facts) if margin is None else reckon(facts, margin)
    assert len(facts) == size
    first, last = (found.value(BEGIN, p) for p in (GLOST.earliestYear, GLOST.latestYear))
    assert len(found) == (first is not None) + (last is not None)
    return (
        None if first is None else int(str(first)),
        None if last is None else int(str(last)),
    )


@pytest.mark.parametrize(
    ("dates", "expected"),
    [
        (["1908"], (1908, 1908)),
        (["192X"], (1920, 1929)),
        (["1915/1918-06"], (1915, 1918)),
        (["1920/.."], (1920, None)),
        (["../1920"], (None, 1920)),
        (["1920/"], (1920, None)),
        (["1908", "1911"], (1908, 1911)),
        (["1908", "1920/.."], (1908, None)),
        (["1908?"], (1908, 1908)),
        (["not a date"], (None, None)),
        (["not a date", "1908"], (1908, 1908)),
    ],
)
def test_years_are_inclusive_and_the_hull_of_all_dates(
    dates: list[str], expected: tuple[int | None, int | None]
) -> None:
    assert years(*dates) == expected


def test_an_approximate_date_is_widened_by_the_collections_margin() -> None:
    assert years("1911~", margin=Margin(year=365 * 3)) == (1908, 1914)
    assert years("1911~", margin=Margin(year=0)) == (1911, 1911)
