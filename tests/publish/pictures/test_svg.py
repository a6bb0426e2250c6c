"""Sheets as SVG: real type, ways to things, dark screens, and the same as the sheet of dots."""

import re
from xml.etree import ElementTree

import pytest

from drawings import MADE, SVG, basis, life, texts
from glost.publish.pictures import style
from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.kinds.kiln import DrawnZone, Strip, ZonePlan, kiln_plan
from glost.publish.pictures.kinds.plant import CapacityStep, Firing, firing_history
from glost.publish.pictures.lettering import width
from glost.publish.pictures.model import Bar
from glost.publish.pictures.raster import figure
from glost.publish.pictures.svg import dark, svg
from glost.publish.pictures.timeline import heights


def drawn(canvas: Canvas, **more: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg(canvas, "A sheet", "What it shows", **more))  # type: ignore[arg-type]


@pytest.mark.parametrize("kind", MADE)
def test_type_is_text_that_takes_the_room_it_was_measured_to(kind: str) -> None:
    root = ElementTree.fromstring(MADE[kind].svg())
    set_ = list(root.iter(f"{SVG}text"))
    assert MADE[kind].title in " ".join(each.text or "" for each in set_)
    for each in set_:
        if len(each.text or "") > 1:
            assert each.get("lengthAdjust") == "spacingAndGlyphs"
            assert float(each.get("textLength") or 0) > 0


@pytest.mark.parametrize("kind", MADE)
def test_every_ink_changes_on_a_dark_screen_and_stands_for_itself_on_paper(kind: str) -> None:
    text = MADE[kind].svg()
    root = ElementTree.fromstring(text)
    sheet = root.find(f"{SVG}style")
    assert sheet is not None and sheet.text is not None
    assert sheet.text.startswith("@media screen and (prefers-color-scheme:dark){")
    rules = dict(re.findall(r"\.glost-sheet \.([fs]\d+)\{(?:fill|stroke):(#\w+)\}", sheet.text))
    seen = set()
    for each in root.iter():
        for what in ("fill", "stroke"):
            ink = each.get(what, "none")
            if ink.startswith("#"):
                name = next(c for c in (each.get("class") or "").split() if c[0] == what[0])
                assert rules[name] == style.DARK[ink]
                seen.add(ink)
    assert style.PAPER in seen and len(seen) > 2


def test_dark_inks_are_given_for_every_ink_there_is() -> None:
    """A picture in an ink without one would fail; every ink of the style has one."""
    inks = {
        v for v in vars(style).values() if isinstance(v, str) and re.fullmatch("#[0-9a-f]{6}", v)
    }
    assert len(inks) == 9
    assert inks | set(style.RELATION_INK.values()) == set(style.DARK)
    canvas = Canvas(50, 50)
    canvas.dot(9, 9, 4, fill="#123456")
    with pytest.raises(KeyError, match="#123456"):
        drawn(canvas)


def test_a_sheet_in_a_page_takes_its_dark_inks_from_the_page() -> None:
    """A page that lets no style stand in it has them in its own style sheet."""
    canvas = Canvas(50, 50)
    canvas.dot(9, 9, 4, fill=style.COBALT)
    alone, inside = drawn(canvas), drawn(canvas, mark="1")
    assert alone.find(f"{SVG}style") is not None and inside.find(f"{SVG}style") is None
    (name,) = next(iter(inside.iter(f"{SVG}circle"))).get("class", "").split()
    assert f".glost-sheet .{name}{{fill:{style.DARK[style.COBALT]}}}" in dark()


def test_a_part_leads_to_its_thing_and_says_what_it_shows() -> None:
    canvas = Canvas(100, 40)
    with canvas.part("https://example.org/shape/alder", "Alder: 1908 & on. List <3>"):
        canvas.text(10, 10, "Alder")
    with canvas.part(told="No thing"):
        canvas.line([(0, 0), (9, 9)])
    with canvas.part("https://example.org/shape/nowhere"):
        canvas.text(10, 30, "Birch")
    canvas.text(60, 10, "plain")
    ways = {"https://example.org/shape/alder": "../shape/alder.html"}
    root = ElementTree.fromstring(svg(canvas, "A", "b", ways.get))
    (link,) = root.iter(f"{SVG}a")
    assert link.get("href") == "../shape/alder.html"
    assert [each.text for each in link] == ["Alder: 1908 & on. List <3>", "Alder"]
    groups = list(root.iter(f"{SVG}g"))
    assert [[each.text for each in group][:1] for group in groups] == [["No thing"], ["Birch"]]
    alone = drawn(canvas)
    assert len(list(alone.iter(f"{SVG}a"))) == 2


def test_two_sheets_on_a_page_share_no_identifier() -> None:
    canvas = Canvas(50, 50)
    canvas.box(0, 0, 20, 20, fill=style.PALE, ink=style.COBALT, hatch="//////")
    canvas.box(0, 25, 20, 20, fill=style.PALE, ink=style.COBALT, hatch="//////")
    canvas.box(25, 25, 20, 20, fill=style.BLUSH, ink=style.RUST, hatch="xxxxxx")
    one, other = drawn(canvas, mark="1"), drawn(canvas, mark="2")
    names = [{each.get("id") for each in root.iter(f"{SVG}pattern")} for root in (one, other)]
    assert [len(each) for each in names] == [2, 2] and not names[0] & names[1]
    used = {each.get("fill") for each in one.iter() if "url" in (each.get("fill") or "")}
    assert used == {f"url(#{name})" for name in names[0]}


def test_type_with_a_halo_clears_what_lies_behind_it() -> None:
    canvas = Canvas(100, 20)
    canvas.line([(0, 10), (100, 10)])
    canvas.text(20, 10, "Alder", halo=style.BAND)
    (text,) = drawn(canvas).iter(f"{SVG}text")
    assert (text.get("stroke"), text.get("paint-order")) == (style.BAND, "stroke")


def test_dots_and_svg_set_the_same_type_at_the_same_place() -> None:
    canvas = Canvas(200, 100)
    canvas.text(20, 30, "Alder", 8)
    canvas.text(180, 50, "Birch", 8, align="right", bold=True)
    (one, other) = drawn(canvas).iter(f"{SVG}text")
    set_ = figure(canvas).axes[0].texts
    assert [each.get_text() for each in set_] == [one.text, other.text] == ["Alder", "Birch"]
    assert [each.get("text-anchor") for each in (one, other)] == [None, "end"]
    assert float(other.get("textLength") or 0) == pytest.approx(width("Birch", 8, True), abs=0.01)
    # Capitals are 0.73 of the size high in the face that is measured: their middle is at y.
    assert float(one.get("y") or 0) - 30 == pytest.approx(0.73 * 8 / 2, abs=0.2)


@pytest.mark.parametrize(
    ("most", "lines", "expected"),
    [
        (6807, 4, [0, 2000, 4000, 6000]),
        (9, 6, [0, 2, 4, 6, 8]),
        (5, 6, [0, 1, 2, 3, 4, 5]),
        (0.4, 6, [0, 0.1, 0.2, 0.3, 0.4]),
        (12_000_000, 4, [0, 5_000_000, 10_000_000]),
    ],
)
def test_heights_of_a_scale_are_round(most: float, lines: int, expected: list[float]) -> None:
    assert heights(most, lines) == pytest.approx(expected)


def test_a_length_that_no_zone_explains_carries_its_figure() -> None:
    zones = tuple(
        DrawnZone(name, feet * 0.3048, f"{feet} ft", "", basis("z"))
        for name, feet in (("preheating zone", 100), ("firing zone", 60))
    )
    whole = kiln_plan(ZonePlan("A kiln", (Strip("Sheet 1", 200 * 0.3048, "200 ft", zones),)))
    said = texts(whole.svg())
    assert "unexplained" in said and "40 ft (12.2 m)" in said
    assert [row[1:4] for row in whole.words.rows][-1] == ("unexplained", "40 ft (12.2 m)", "12.192")
    full = kiln_plan(ZonePlan("A kiln", (Strip("Sheet 1", 160 * 0.3048, "160 ft", zones),)))
    assert "unexplained" not in texts(full.svg())
    bare = kiln_plan(ZonePlan("A kiln", (Strip("Gazette", 200 * 0.3048, "200 ft", ()),)))
    assert "unexplained" not in texts(bare.svg())


def test_capacity_is_whole_to_the_least_and_hatched_to_the_most() -> None:
    step = CapacityStep("bisque", 1899, 1910, 1, 1, 300.0, 800.0, 0, basis("k"))
    bars = (Bar("No. 1", life(1899, 1910), "bisque", "bottle kiln", basis=basis("k")),)
    root = ElementTree.fromstring(firing_history(Firing("P", bars, (step,), "dozen a day")).svg())
    group = next(
        each
        for each in root.iter(f"{SVG}g")
        if (each[0].text or "").startswith("bisque, 1899–1910: 300 to 800 dozen a day")
    )
    pale, hatch, solid = list(group.iter(f"{SVG}rect"))
    assert (pale.get("fill"), solid.get("fill")) == (style.PALE, style.COBALT)
    assert (hatch.get("fill") or "").startswith("url(#")
    high, low = (float(each.get("height") or 0) for each in (pale, solid))
    assert high / low == pytest.approx(500 / 300, rel=0.01)
    assert {"0", "200", "400", "600", "800"} <= set(texts(ElementTree.tostring(root, "unicode")))
