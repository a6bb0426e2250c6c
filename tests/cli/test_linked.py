"""What the commands that show and explain say of links, read off rows of `links.csv`."""

from pathlib import Path

import pytest

from commands import glost_ends

EXAMPLE = str(Path(__file__).resolve().parents[2] / "examples" / "wend-valley")

pytestmark = pytest.mark.usefixtures("keeping_examples")


@pytest.fixture
def glost(capsys: pytest.CaptureFixture[str]):  # type: ignore[no-untyped-def]
    def run(*words: str) -> tuple[int, str, str]:
        return (glost_ends(*words, "-c", EXAMPLE), *capsys.readouterr())

    return run


@pytest.mark.parametrize(
    ("statement", "rests_on"),
    [
        (("plant/sl-w", "continues", "plant/hk-w"), "Wend Valley Courier, 5 March 1921, col. 3"),
        (("decal/ferry-rose-vauclin", "not the same", "decal/ferry-rose"), "sheet 2"),
        (("decal/ferry-rose", "not-the-same", "decal/ferry-rose-vauclin"), "sheet 2"),
    ],
)
def test_why_two_things_are_linked(glost, statement: tuple[str, ...], rests_on: str) -> None:  # type: ignore[no-untyped-def]
    code, out, _ = glost("why", *statement)
    assert code == 0
    assert rests_on in out and "tables/links.csv row" in out


@pytest.mark.parametrize("kind", ["same", "continues"])
def test_no_link_is_made_up(glost, kind: str) -> None:  # type: ignore[no-untyped-def]
    """The later plant continues the earlier one, not the other way round, and is not the same."""
    code, out, err = glost("why", "plant/hk-w", kind, "plant/sl-w")
    assert (code, out) == (1, "")
    assert f"no link of the two says: {kind}" in err


def test_a_concept_is_no_property(glost) -> None:  # type: ignore[no-untyped-def]
    code, _, err = glost("why", "plant/sl-w", "plate", "plant/hk-w")
    assert code == 1 and 'there is no property "plate"' in err


def test_a_thing_is_shown_with_what_it_was_compared_with(glost) -> None:  # type: ignore[no-untyped-def]
    code, out, _ = glost("show", "plant/sl-w")
    assert code == 0
    assert "Links to other things" in out and "The Haskett buildings under a new name." in out
    assert "1 other thing names it; see --named." in out  # its kiln; the link stands above
