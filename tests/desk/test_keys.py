"""A blueprint is entered with fewer keys than in a spreadsheet, and reads back as it was entered."""

import csv
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from desks import Desk, desk
from glost.record.starting import begin
from glost.record.tables import tables
from keys import at_the_desk, fields, in_a_spreadsheet

SHEET = Path(__file__).resolve().parents[2] / "examples/wend-valley/images/ot-bp-1923.png"
ON = {"source": "bp", "locator": "sheet 2"}
ZONES = (("preheating", "140 ft", "176,262,426,44"), ("firing", "66 ft", "602,262,201,44"),
         ("slow cooling", "98 ft", "803,262,299,44"))  # fmt: skip
BLUEPRINT = {
    "potteries": [{"name": "Orrin & Tasker Pottery Company", **ON, "region": "xywh=510,90,280,30"}],
    "firms": [
        {"name": "Hallam-Voss Kiln Company", "place": "Port Ansell", **ON, "region": "xywh=840,575,350,60"}
    ],
    "plants": [
        {"plant": "p4", "pottery": "Orrin & Tasker Pottery Company", "number": "4", **ON, "region": "xywh=735,45,200,40"}
    ],
    "kilns": [
        {"kiln": "a", "plant": "p4", "kind": "car tunnel", "firing": "bisque", "length": "348 ft",
         "height": "6 ft 8 in", "width": "5 ft 4 in", "cars": "58", "builder": "Hallam-Voss Kiln Company",
         **ON, "region": "xywh=130,214,1060,30"}
    ],
    "kiln_zones": [
        {"kiln": "a", "zone": zone, "order": str(at), "length": length, **ON, "region": f"xywh={box}"}
        for at, (zone, length, box) in enumerate(ZONES, 1)
    ],
}  # fmt: skip


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    folder = tmp_path_factory.mktemp("blueprint") / "shelf"
    begin(folder, "My shelf", "https://example.org/my/")
    (folder / "images").mkdir(exist_ok=True)
    shutil.copy(SHEET, folder / "images/bp.png")
    source = 'source,title,kind,image\nbp,"Tunnel kiln, sheet 2",blueprint,bp.png\n'
    (folder / "tables/sources.csv").write_text(source, encoding="utf-8")
    with desk(folder) as opened:
        yield opened


def rows(opened: Desk, table: str) -> list[dict[str, str]]:
    text = (opened.folder / "tables" / f"{table}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def test_a_blueprint_takes_half_the_keys_of_a_spreadsheet(empty: Desk) -> None:
    here, there, regions = 0, 0, 0
    for table, some in BLUEPRINT.items():
        here += at_the_desk(empty, "/page/bp.png", table, some)
        columns = [column.name for column in tables()[table].real]
        # There a thing has to be named by an id of one's own.
        named = [{columns[0]: "hallam-voss", **row} for row in some]
        there += in_a_spreadsheet(columns, named)
        regions += sum(len(row["region"]) for row in some)
    assert here < (there - regions), "with the regions drawn there too"
    assert 2 * here < there
    assert [row["pottery"] for row in rows(empty, "potteries")] == ["orrin-tasker-pottery-company"]
    assert rows(empty, "plants")[0]["pottery"] == "orrin-tasker-pottery-company"
    (kiln,) = rows(empty, "kilns")
    assert (kiln["plant"], kiln["kind"], kiln["builder"]) == (
        "p4",
        "car-tunnel",
        "hallam-voss-kiln-company",
    )
    zones = [
        (z["kiln"], z["zone"], z["order"], z["length"], z["region"])
        for z in rows(empty, "kiln_zones")
    ]
    assert zones == [
        ("a", zone.replace(" ", "-"), str(at), length, f"xywh={box}")
        for at, (zone, length, box) in enumerate(ZONES, 1)
    ]  # fmt: skip


def test_a_form_begins_with_the_one_kiln_of_the_page_and_the_cell_one_types_in(empty: Desk) -> None:
    shown, begins = fields(empty.get("/page/bp.png?table=kiln_zones").text)
    assert shown["kiln"] == "a" and begins == "zone" and shown["source"] == "bp"
    shown, begins = fields(empty.get("/page/bp.png?table=kilns").text)
    assert not shown["plant"] and begins == "kiln", "what need not be named is not guessed"


def test_an_id_is_made_of_a_name_that_nothing_bears(empty: Desk) -> None:
    again = {"cell-name": "Hallam-Voss Kiln Company", "cell-source": "bp", "do": "save"}
    refused = empty.post("/enter/firms", again)
    assert refused.status_code == 400, "whether it is the same firm is for a person to say"
    assert len(rows(empty, "firms")) == 1
    other = again | {"cell-name": "Déch & Sons"}
    assert empty.post("/enter/firms", other).status_code == 303
    assert rows(empty, "firms")[-1]["firm"] == "dech-sons"
    offers = empty.get("/cell?table=kilns&column=builder&text=").text
    taken = re.findall(r'data-take="([^"]*)"', offers)
    assert taken[:2] == ["dech-sons", "hallam-voss-kiln-company"], "the last entered comes first"
