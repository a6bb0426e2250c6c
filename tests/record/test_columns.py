"""What columns hold is what the claims' statements say."""

from collections import Counter
from pathlib import Path

import pytest

from glost.names import GLOST
from glost.record.columns import columns, literal
from glost.record.record import read
from glost.record.sequence import ClaimSequence
from glost.record.tables import tables
from shelf import write

EXAMPLE = Path(__file__).parents[2] / "examples" / "wend-valley"
ALL = frozenset(c.property for table in tables().values() for c in table.giving)


def by_columns(claims: ClaimSequence, properties: frozenset[str]) -> Counter[tuple[object, ...]]:
    found = columns(claims, properties)
    assert set(found) == properties
    return Counter((name, *row) for name, frame in found.items() for row in frame.rows())


def by_statements(claims: ClaimSequence, properties: frozenset[str]) -> Counter[tuple[object, ...]]:
    return Counter(
        (str(p), str(s), str(o), literal(o), at)
        for at, claim in enumerate(claims)
        for s, p, o in claim.statements
        if str(p) in properties
    )


def test_every_property_of_the_example() -> None:
    claims = read(EXAMPLE).claims
    expected = by_statements(claims, ALL)
    assert len(expected) > 10_000
    assert by_columns(claims, ALL) == expected


@pytest.mark.parametrize(
    "name", ["feature", "ofShape", "date", "form", "tradeSize", "offersArticle"]
)
def test_cells_to_be_quoted_many_values_and_trig(tmp_path: Path, name: str) -> None:
    folder = write(tmp_path / "c")
    (folder / "odd.trig").write_text(
        "@prefix prov: <http://www.w3.org/ns/prov#> .\n@prefix glost: <https://w3id.org/glost/ontology#> .\n"
        "<claim/odd> prov:hadPrimarySource <source/letter> .\n"
        "<claim/odd> { <piece/p9> a glost:Piece ; glost:feature 'nick', 'Delle'@de, 4.50 ; glost:ofShape <shape/alder> }\n",
        encoding="utf-8",
    )
    table = "catalogue,shape,form,trade_size,item,price,per,locator\n"
    rows = table + "cat1908,alder,teapot,36 s / 2,,4.80,dozen,p. 4\ncat1908,alder,teapot,36s,,,,\n"
    (folder / "tables" / "assortments.csv").write_text(rows, encoding="utf-8")
    claims = read(folder).claims
    only = frozenset([str(GLOST[name])])
    assert by_columns(claims, only) == by_statements(claims, only)
    assert {at for *_, at in by_columns(claims, only)} if name != "date" else True
