"""Inks that stay apart to every eye, faces with every letter."""

import sys
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from pyparsing import ParserElement

from glost.publish.pictures import lettering, raster, style
from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.lettering import fit, width, wrap
from glost.publish.pictures.style import LABEL
from glost.trade.lineage import relations

VISIONS = {
    "usual": [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
    "protanopia": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deuteranopia": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "tritanopia": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
}
"""What linear RGB becomes: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A physiologically-
based model for simulation of color vision deficiency", IEEE TVCG 15(6), 2009, severity 1.0. The
first two verified in a stored copy, the third from memory."""

XYZ = [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750],
       [0.0193339, 0.1191920, 0.9503041]]  # fmt: skip
"""sRGB to XYZ under D65: IEC 61966-2-1; from memory."""


def linear(ink: str) -> NDArray[np.float64]:
    parts = np.array([int(ink[at : at + 2], 16) / 255 for at in (1, 3, 5)])
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def lab(rgb: NDArray[np.float64]) -> NDArray[np.float64]:
    xyz = np.array(XYZ) @ np.clip(rgb, 0, 1) / np.array([0.95047, 1.0, 1.08883])
    f = np.where(xyz > 0.008856, np.cbrt(xyz), 7.787 * xyz + 16 / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def contrast(ink: str, paper: str) -> float:
    """Return the contrast ratio of W3C, Web Content Accessibility Guidelines 2.1."""
    light = sorted(
        float(linear(each) @ np.array([0.2126, 0.7152, 0.0722])) for each in (ink, paper)
    )
    return (light[1] + 0.05) / (light[0] + 0.05)


@pytest.mark.parametrize("vision", VISIONS)
@pytest.mark.parametrize("screen", ["light", "dark"])
def test_inks_of_ties_stay_apart(vision: str, screen: str) -> None:
    inks = style.RELATION_INK
    if screen == "dark":
        inks = {key: style.DARK[ink] for key, ink in inks.items()}
    seen = {key: lab(np.array(VISIONS[vision]) @ linear(ink)) for key, ink in inks.items()}
    for one, other in combinations(seen, 2):
        assert np.linalg.norm(seen[one] - seen[other]) > 15, (one, other)


def test_every_tie_that_is_drawn_has_an_ink_and_a_letter_of_its_own() -> None:
    drawn = [relation for key, relation in relations().items() if key != "work"]
    assert {relation.key for relation in drawn} == set(style.RELATION_INK)
    assert len({relation.letter for relation in drawn}) == len(drawn)


def test_type_and_lines_stand_out_from_the_paper() -> None:
    """WCAG 2.1 asks 4.5 to 1 of text (1.4.3) and 3 to 1 of what a graphic needs (1.4.11)."""
    for paper in (style.PAPER, style.BAND):
        for ink in (style.INK, style.QUIET, style.RUST):
            assert contrast(ink, paper) >= 4.5
            assert contrast(style.DARK[ink], style.DARK[paper]) >= 4.5
        for ink in (*style.RELATION_INK.values(), style.COBALT):
            assert contrast(ink, paper) >= 3
            assert contrast(style.DARK[ink], style.DARK[paper]) >= 3


def test_solid_and_hatched_are_told_apart_in_grey() -> None:
    assert contrast(style.COBALT, style.PALE) >= 4.5
    assert contrast(style.DARK[style.COBALT], style.DARK[style.PALE]) >= 4.5


def test_a_face_with_every_letter_is_chosen() -> None:
    assert style.face("Faïencerie", 8, title=True).get_file().endswith("STIXGeneralBol.ttf")
    assert style.face("Fayence", 8).get_file().endswith("DejaVuSans.ttf")
    assert style.face("新", 8, bold=True).get_file().endswith("LastResortHE-Regular.ttf")


def test_texts_are_measured_cut_and_broken_to_fit() -> None:
    assert width("ww", 8) == pytest.approx(2 * width("w", 8), rel=0.01)
    assert width("Alder", 16) == pytest.approx(2 * width("Alder", 8), rel=0.01)
    assert fit("Alder", 8, 500) == "Alder"
    cut = fit("A very long name of a shape", 8, 60)
    assert cut.endswith("…") and width(cut, 8) <= 60
    lines = wrap("Pottery of the Upper Valley and of Incomprehensibilities", 8, 70)
    assert all(width(line, 8) <= 70 for line in lines)
    assert len(lines) > 2


def test_a_long_text_is_measured_a_few_times_only(monkeypatch: pytest.MonkeyPatch) -> None:
    measured: list[str] = []

    def counted(text: str, *of: object) -> float:
        measured.append(text)
        return width(text, *of)  # type: ignore[arg-type]

    monkeypatch.setattr(lettering, "width", counted)
    cut = fit("Alder of the valley " * 250, 8, 200)
    assert len(measured) <= 12
    assert max(map(len, measured)) < 200
    assert cut.endswith("…") and width(cut, 8) <= 200
    longer = ("Alder of the valley " * 250)[: len(cut) + 1]
    assert width(longer + "…", 8) > 200


@given(st.text("ilWm ,é", max_size=60), st.floats(1, 200))
def test_what_fits_is_the_longest_beginning_that_does(text: str, room: float) -> None:
    cuts = [text] if width(text, 8) <= room else []
    cuts += [text[:n].rstrip(" ,;:") + "…" for n in range(len(text), 0, -1)]
    expected = next((cut for cut in cuts if width(cut, 8) <= room), "")
    assert width(fit(text, 8, room), 8) == pytest.approx(width(expected, 8), abs=0.01)


def test_nothing_is_set_beyond_the_sheet() -> None:
    sheet = Canvas(200, 100)
    for align in ("left", "center", "right"):
        sheet.text(60, 20, "Alder of the valley " * 250, align=align)  # type: ignore[arg-type]
    rooms = [140, 120, 60]
    set_ = [each.text for part in sheet.parts for each in part.drawn]  # type: ignore[union-attr]
    assert all(width(text, LABEL) <= room for text, room in zip(set_, rooms, strict=True))
    assert all(set_)


def test_a_picture_leaves_the_parsers_of_queries_as_they_are() -> None:
    assert raster.__name__ in sys.modules
    assert not ParserElement._packratEnabled, "SPARQL is read three times as slowly"
