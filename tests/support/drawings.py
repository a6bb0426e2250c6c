"""Every kind of picture, drawn of made-up tables."""

from xml.etree import ElementTree

from glost.publish.pictures.kinds.assortment import Mark, MatrixCell, MatrixTable, assortment_matrix
from glost.publish.pictures.kinds.crossings import CrossingArc, Crossings, crossing_picture
from glost.publish.pictures.kinds.family import family_tree
from glost.publish.pictures.kinds.kiln import DrawnZone, Strip, ZonePlan, kiln_plan
from glost.publish.pictures.kinds.plant import CapacityStep, Firing, firing_history
from glost.publish.pictures.kinds.production import Production, production_chart
from glost.publish.pictures.kinds.runs import Runs, run_chart
from glost.publish.pictures.model import Bar, Basis, DatedExhibit, Heading, Life
from glost.publish.pictures.picture import Drawing
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


def pictures() -> dict[str, Drawing]:
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


def texts(svg: str) -> list[str]:
    """Return the lines of type of a sheet, as whoever searches or copies it meets them."""
    return [each.text or "" for each in ElementTree.fromstring(svg).iter(f"{SVG}text")]
