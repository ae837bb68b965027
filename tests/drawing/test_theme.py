from __future__ import annotations

from itertools import combinations

import pytest

from capturestation.drawing import theme
from capturestation.drawing.theme import Size, time_words, type_px


def light(colour: theme.Colour) -> float:
    """Relative luminance as the web accessibility guidelines 2.1 define it."""
    parts = [value / 255 for value in colour]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return sum(w * p for w, p in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one: theme.Colour, other: theme.Colour) -> float:
    high, low = sorted((light(one), light(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("ink", [theme.INK, theme.INK_SOFT])
@pytest.mark.parametrize("paper", [theme.PAPER, theme.PAPER_SHADE])
def test_words_stand_out_from_their_paper(ink: theme.Colour, paper: theme.Colour) -> None:
    assert contrast(ink, paper) >= 4.5


def test_the_two_sides_colours_stand_out_from_the_paper() -> None:
    for colour in (theme.BLUE, theme.VERMILLION):
        assert contrast(colour, theme.PAPER) >= 3


def test_type_grows_with_the_canvas_and_keeps_its_order() -> None:
    sizes = [type_px(size, 720) for size in Size]

    assert all(one > other for one, other in combinations(sizes, 2))
    assert [type_px(size, 1440) for size in Size] == pytest.approx([2 * px for px in sizes], abs=1)


def test_the_smallest_words_are_a_thirty_third_of_the_shorter_side() -> None:
    assert type_px(Size.WORD, 720) == 22


def test_another_zero_is_named() -> None:
    assert (
        time_words(-50_000_000, "the bottom of the arc") == "0.050 s before the bottom of the arc"
    )
    assert time_words(0, "the bottom of the arc") == "the bottom of the arc"
