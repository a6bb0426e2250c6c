"""Every kind of picture: the same every time, in words too, within the sheet."""

import io
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image

from glost.publish.pictures.kinds.assortment import Mark, MatrixCell, MatrixTable, assortment_matrix
from glost.publish.pictures.kinds.crossings import CrossingArc, Crossings, crossing_picture
from glost.publish.pictures.kinds.family import family_tree
from glost.publish.pictures.kinds.kiln import DrawnZone, Strip, ZonePlan, kiln_plan
from glost.publish.pictures.kinds.plant import CapacityStep, Firing, firing_history
from glost.publish.pictures.kinds.production import Production, production_chart
from glost.publish.pictures.kinds.runs import Runs, run_chart
from glost.publish.pictures.model import Bar, Basis, DatedExhibit, Heading, Life
from glost.publish.pictures.picture import Picture
from glost.publish.pictures.style import LONG, SHORT
from glost.record.dates import day_number
from large_family import large_family

SVG = "{http://www.w3.org/2000/svg}"


def life(first: int, last: int, *, disputed: bool = False) -> Life:
    return Life(
        (day_number(first, 1, 1), day_number(first, 12, 31)),
        (day_number(last, 1, 1), day_number(last, 12, 31)),
        disputed,
    )


def basis(name: str) -> Basis:
    return Basis((f"https://example.org/claim/{name}",), (f"List, p. {name}",))


def bars(count: int) -> tuple[Bar, ...]:
    made = []
    for at in range(count):
        shown = DatedExhibit(
            f"piece {at}", (day_number(1905, 1, 1), day_number(1906, 1, 1)), "piece"
        )
        lived = life(1900 + at % 20, 1925 + at % 9, disputed=at % 7 == 0) if at % 5 else Life()
        name = f"Shape <{at}> & Co."
        made.append(Bar(name, lived, f"Pottery {at // 9}", "plain", (shown,), "", basis(str(at))))
    return tuple(made)


def matrix(rows: int, columns: int) -> MatrixTable:
    marks = list(Mark)
    return MatrixTable(
        "Articles",
        tuple(
            Heading(f"nappy {at}", "Hollow ware" if at > 8 else "Flatware") for at in range(rows)
        ),
        tuple(Heading(f"Shape {at}", f"Pottery {at // 6}") for at in range(columns)),
        tuple(
            MatrixCell(row, column, marks[(row + column) % 5], "", basis(f"{row}.{column}"))
            for row in range(rows)
            for column in range(columns)
            if row != 3
        ),
    )


def pictures() -> dict[str, Picture]:
    shapes = tuple(Heading(f"Shape {at}", "A" if at < 4 else "B") for at in range(8))
    crossed = (
        CrossingArc(0, 3, 4, 4, ("shared flatware",), basis("a")),
        CrossingArc(3, 0, 1, 0, (), basis("b")),
        CrossingArc(7, 2, 2, 1, ("reissued",), basis("c")),
    )
    zones = (
        DrawnZone("preheating zone", 36.576, "120 ft", "", basis("z")),
        DrawnZone("firing zone", 21.336, "70 ft", "1215 C", basis("z")),
        DrawnZone("cooling zone", 30.48, "100 ft", "", basis("z")),
    )
    kilns = (
        Bar("No. 1", life(1899, 1925), "bisque", "bottle kiln", basis=basis("k")),
        Bar("No. 2", life(1912, 1931, disputed=True), "glost", "bottle kiln", basis=basis("l")),
    )
    steps = (
        CapacityStep("bisque", 1899, 1910, 1, 1, 300.0, 800.0, 0, basis("k")),
        CapacityStep("bisque", 1911, 1925, 1, 2, None, None, 2, basis("k")),
    )
    years = tuple(range(1900, 1921))
    return {
        "runs": run_chart(Runs("Shapes", bars(25), "A note.")),
        "family": family_tree(large_family(24)),
        "matrix": assortment_matrix(matrix(20, 8)),
        "crossings": crossing_picture(Crossings("Crossings", shapes, crossed)),
        "kiln": kiln_plan(
            ZonePlan("A kiln", (Strip("Blueprint", 85.344, "280 ft", zones, basis("y")),))
        ),
        "plant": firing_history(Firing("A plant", kilns, steps, "dozen a day", ("as usual",))),
        "production": production_chart(
            Production(
                "Production",
                years,
                tuple(at % 5 for at in years),
                tuple(at % 5 + 1 for at in years),
                tuple(basis(str(at)) for at in years),
                tuple(at % 7 / 3 for at in years),
                2,
            )
        ),
    }


MADE = pictures()


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
    assert root.get("role") == "img"
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
        comments = set(re.findall(r"<!-- (.*?) -->", picture.svg(sheet)))
        seen |= comments
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
