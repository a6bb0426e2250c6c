"""Every kind of picture: the same every time, in words too, within the sheet."""

import io
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image

from drawings import MADE, SVG, bars, life, matrix, pictures, texts
from glost.publish.pictures.kinds.assortment import MatrixTable, assortment_matrix
from glost.publish.pictures.kinds.crossings import Crossings, crossing_picture
from glost.publish.pictures.kinds.family import family_tree
from glost.publish.pictures.kinds.plant import Firing, firing_history
from glost.publish.pictures.kinds.runs import Runs, run_chart
from glost.publish.pictures.model import Bar, Life
from glost.publish.pictures.style import LONG, SHORT
from glost.record.dates import day_number
from large_family import large_family


@pytest.mark.parametrize("kind", MADE)
def test_svg_and_png_are_the_same_every_time(kind: str) -> None:
    again = pictures()[kind]
    assert MADE[kind].svg() == again.svg()
    assert MADE[kind].png(dpi=50) == again.png(dpi=50)


@pytest.mark.parametrize("kind", MADE)
def test_svg_stands_alone_with_title_and_description_and_no_date(kind: str) -> None:
    picture = MADE[kind]
    text = picture.svg()
    root = ElementTree.fromstring(text)
    assert text.startswith("<svg ")
    assert root.get("role") == "graphics-document"
    assert [child.tag for child in root][:2] == [f"{SVG}title", f"{SVG}desc"]
    assert root[0].text == picture.title == root.get("aria-label")
    assert root[1].text == picture.words.summary
    assert not re.search(r"<metadata|<script|\d{4}-\d\d-\d\dT|href=\"http", text)


@pytest.mark.parametrize("kind", MADE)
def test_every_row_in_words_says_what_it_rests_on(kind: str) -> None:
    words = MADE[kind].words
    assert words.columns[-2:] == ("rests on", "claims")
    assert words.rows
    for row in words.rows:
        assert len(row) == len(words.columns)
        assert "reckoned" in row or row[-1].startswith("https://example.org/claim/")


@pytest.mark.parametrize("kind", MADE)
def test_a_sheet_fits_a4_and_letter_whole_or_reduced(kind: str) -> None:
    root = ElementTree.fromstring(MADE[kind].svg())
    wide, high = (float((root.get(side) or "").removesuffix("pt")) for side in ("width", "height"))
    scale = max(
        1.0, wide / (LONG if wide > high else SHORT), high / (SHORT if wide > high else LONG)
    )
    assert scale < 1.25


@pytest.mark.parametrize("kind", MADE)
def test_nothing_touches_the_edge_of_the_sheet(kind: str) -> None:
    picture = Image.open(io.BytesIO(MADE[kind].png(dpi=72))).convert("L")
    wide, high = picture.size
    inner = picture.point(lambda light: 255 if light < 250 else 0).getbbox()
    assert inner is not None
    assert inner[0] >= 8 and inner[1] >= 8 and inner[2] <= wide - 8 and inner[3] <= high - 4


def test_many_bars_go_on_several_sheets_each_with_its_number(tmp_path: Path) -> None:
    picture = run_chart(Runs("Shapes", bars(130)))
    assert len(picture.sheets) > 2
    files = picture.write(tmp_path / "runs.svg")
    assert [file.name for file in files] == [
        f"runs-{at + 1}.svg" for at in range(len(picture.sheets))
    ]
    titles = [ElementTree.fromstring(file.read_text("utf-8"))[0].text for file in files]
    assert titles == [f"Shapes, sheet {at + 1} of {len(files)}" for at in range(len(files))]
    for at in range(len(files)):
        root = ElementTree.fromstring(picture.svg(at))
        assert float((root.get("height") or "").removesuffix("pt")) <= LONG


def test_wide_and_long_matrices_are_parted_by_rows_and_columns() -> None:
    picture = assortment_matrix(matrix(70, 40))
    assert len(picture.sheets) == 4
    seen = set()
    for sheet in range(len(picture.sheets)):
        seen |= set(texts(picture.svg(sheet)))
    assert {f"nappy {at}" for at in range(70)} | {f"Shape {at}" for at in range(40)} <= seen


def test_pictures_of_nothing_are_still_pictures() -> None:
    for picture in (
        run_chart(Runs("No shapes", ())),
        family_tree(large_family(0)),
        assortment_matrix(MatrixTable("No articles", (), (), ())),
        crossing_picture(Crossings("No crossings", (), ())),
        firing_history(Firing("No kilns", ())),
    ):
        assert picture.svg().startswith("<svg ")


def test_only_svg_and_png_are_written(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=r'"runs.pdf" must end in .svg or .png'):
        MADE["runs"].write(tmp_path / "runs.pdf")
    assert MADE["runs"].write(tmp_path / "RUNS.PNG")[0].read_bytes().startswith(b"\x89PNG")


def test_what_is_certain_possible_and_disputed_differs_without_colour() -> None:
    """The same bar, drawn three ways, differs in grey by more than one dot in fifty."""
    drawn = []
    for lived in (
        Life(life(1900, 1900).begin, life(1920, 1920).end),
        Life((day_number(1900, 1, 1), day_number(1920, 1, 1)), life(1920, 1920).end),
        Life((day_number(1900, 1, 1), day_number(1920, 1, 1)), life(1920, 1920).end, True),
    ):
        picture = run_chart(Runs("A", (Bar("x", lived),)))
        grey = Image.open(io.BytesIO(picture.png(dpi=100))).convert("L")
        row = [grey.getpixel((x, y)) for x in range(400, 800) for y in range(70, 110)]
        drawn.append(row)
    for one, other in ((0, 1), (1, 2), (0, 2)):
        pairs = zip(drawn[one], drawn[other], strict=True)
        assert sum(abs(a - b) > 40 for a, b in pairs) > len(drawn[0]) // 50
