"""The timeline and the lineage one walks; recordings by stretch; labels of many things."""

import csv
import re
from html import unescape
from pathlib import Path

import pytest

from desks import Desk, words
from glost.record.record import read

WEND = Path(__file__).resolve().parents[2] / "examples" / "wend-valley" / "tables"


def table(name: str) -> list[dict[str, str]]:
    with (WEND / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def bars(opened: Desk, address: str) -> list[str]:
    """Return where the names of a timeline lead."""
    page = opened.get(address).text
    return re.findall(r'<th scope="row"><a href="/thing/([^"?]+)', page)


def moves(opened: Desk, address: str) -> dict[str, str]:
    page = opened.get(address).text
    found = re.findall(r'<a href="([^"]+)" data-move="(\w+)"', page)
    return {name: unescape(href) for href, name in found}


def test_things_are_narrowed_by_maker_group_and_form(large: Desk) -> None:
    every = bars(large, "/timeline")
    assert len(every) == len(set(every)) > 15
    of_orrin = {f"shape/{r['shape']}" for r in table("shapes") if r["pottery"] == "orrin"}
    assert set(bars(large, "/timeline?maker=orrin")) == set(every) & of_orrin
    group = bars(large, "/timeline?group=war-lines")
    assert set(group) == {"shape/tamsin", "shape/wicket", "shape/fennick"}
    formed = {
        f"shape/{r['shape']}"
        for name in ("pieces", "assortments", "articles")
        for r in table(name)
        if r["form"] == "teapot" and r["shape"]
    }
    assert set(bars(large, "/timeline?form=teapot")) == set(every) & formed < set(every)
    for bad in ("maker=nobody", "group=nothing", "form=nothing", "kind=nothing"):
        assert large.get(f"/timeline?{bad}").status_code == 404, bad


def test_it_zooms_and_moves_and_shows_only_what_may_have_run_then(large: Desk) -> None:
    assert "shape/tamsin" in bars(large, "/timeline?from=1910&to=1911")
    early = bars(large, "/timeline?from=1890&to=1899")
    assert "shape/alder" in early and "shape/octavine" not in early
    at = moves(large, "/timeline?kind=marks&from=1900&to=1919")
    assert at["Nearer"].endswith("from=1905&to=1914") and at["Wider"].endswith("from=1890&to=1929")
    assert at["Earlier"].endswith("from=1890&to=1909") and at["Later"].endswith("from=1910&to=1929")
    assert all("kind=marks" in each for each in at.values()) and "from" not in at["All"]
    assert "Nearer" not in moves(large, "/timeline?from=1904&to=1907"), "four years are the least"
    for bad in ("from=x", "from=1910&to=1900", "from=-5&to=1900"):
        assert large.get(f"/timeline?{bad}").status_code == 400, bad


def test_a_bar_is_solid_only_where_it_certainly_ran(large: Desk) -> None:
    page = large.get("/timeline?from=1900&to=1999&maker=haskett").text
    row = next(r for r in re.findall(r"(?s)<tr>.*?</tr>", page) if "shape/wicket" in r)
    (own,) = (r for r in table("shapes") if r["shape"] == "wicket")
    assert (own["begin"], own["end"]) == ("1908", "1920")
    (solid,) = re.findall(r'class="did" x="([\d.]+)" width="([\d.]+)"', row)
    (pale,) = re.findall(r'class="may" x="([\d.]+)" width="([\d.]+)"', row)
    # A hundred years are a thousand wide: a year is ten.
    assert float(pale[0]) == pytest.approx(80, abs=0.2)
    assert float(pale[1]) == pytest.approx(130, abs=0.3)
    assert float(solid[0]) == pytest.approx(90, abs=0.2)
    assert float(solid[1]) == pytest.approx(110, abs=0.3)


def test_one_walks_from_a_shape_to_its_model_and_on_and_back(large: Desk) -> None:
    page = large.get("/lineage/shape/moraine").text
    model = next(
        unescape(h) for h in re.findall(r'class="walk" href="([^"]+)"', page) if "bretelle" in h
    )
    there = large.get(model)
    assert there.status_code == 200 and '<a href="/lineage/shape/moraine">' in there.text
    assert "What came of it" in words(there.text) and "Moraine" in words(there.text)
    assert re.search(r'href="/claim/\w+"', page), "what it rests on is a step away"
    assert large.get("/lineage/shape/nothing").status_code == 404


def test_stretches_of_a_recording_are_shown_and_a_row_entered_from_one(small: Desk) -> None:
    heard = {"cell-source": "tape", "cell-title": "[Tape]", "cell-kind": "recording", "do": "save"}
    assert small.post("/enter/sources", heard).status_code == 303
    assert "/recording/tape" in small.get("/pages").text
    address = "/recording/tape?table=shapes"
    form = small.form(address)
    assert form["cell-source"] == "tape"
    form |= {
        "cell-shape": "birch",
        "cell-name": "Birch",
        "cell-region": "t=6:43,7:05",
        "do": "again",
    }
    saved = small.post(address, form)
    assert saved.headers["location"].startswith("/recording/tape?table=shapes&saved=1&again=1")
    again = small.get(saved.headers["location"])
    assert "6:43 to 7:05" in words(again.text) and 'aria-label="1 stretch on record"' in again.text
    record = read(small.folder)
    (claim,) = (c for c in record.claims if str(c.passage.source).endswith("/tape")
                and c.origin.table == "shapes")  # fmt: skip
    assert claim.passage.region == "t=06:43,07:05", "minutes are two digits wide"
    bad = small.post(address, {**form, "cell-region": "t=9,3", "do": "save"})
    assert bad.status_code == 400
    assert small.get("/recording/nothing").status_code == 404


def test_labels_are_ticked_and_made_together(large: Desk) -> None:
    page = large.get("/labels?kind=piece&only=tamsin").text
    ticked = re.findall(r'name="of" value="([^"]+)"', page)
    assert 3 < len(ticked) < len(table("pieces")) and all(t.startswith("piece/") for t in ticked)
    made = large.get("/labels?" + "&".join(f"of={each}" for each in ticked[:3])).text
    assert made.count('class="qr"') == 3 and all(each in made for each in ticked[:3])
    everything = large.get("/labels?kind=shape&all=1").text
    assert everything.count(" checked> ") >= len({r["shape"] for r in table("shapes")})
    assert large.get("/labels?kind=nothing").status_code == 404
