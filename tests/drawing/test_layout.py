from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.drawing.layout import (
    Layout,
    LayoutName,
    Rect,
    Side,
    column,
    layout_of,
    place,
)
from capturestation.records import View

FOUR = {"then face-on", "now face-on", "then down-the-line", "now down-the-line"}
FIELDS = {
    "both-angles": {"now face-on", "now down-the-line"},
    "then-and-now": {"then face-on", "now face-on"},
    "all-four": FOUR,
}


def rects(layout: Layout) -> list[Rect]:
    strip = layout.strip
    fields = [rect for spot in layout.fields for rect in (spot.rect, spot.caption)]
    return [*fields, strip.title, strip.readout, strip.bar, strip.words]


@pytest.mark.parametrize("name", list(LayoutName))
@pytest.mark.parametrize("short_side_px", [180, 360, 720, 1080])
@pytest.mark.parametrize("tall", [False, True])
def test_everything_stands_on_even_pixels_inside_the_canvas_and_apart(
    name: LayoutName, short_side_px: int, tall: bool
) -> None:
    layout = layout_of(name, short_side_px=short_side_px, tall_pictures=tall)

    for rect in rects(layout):
        assert {v % 2 for v in (rect.left, rect.top, rect.width, rect.height)} == {0}
        assert rect.left >= 0
        assert rect.top >= 0
        assert rect.right <= layout.width_px
        assert rect.bottom <= layout.height_px
    for one, other in combinations(rects(layout), 2):
        beside = one.right <= other.left or other.right <= one.left
        assert beside or one.bottom <= other.top or other.bottom <= one.top


@pytest.mark.parametrize("name", list(LayoutName))
def test_each_layout_shows_its_own_fields(name: LayoutName) -> None:
    layout = layout_of(name)

    assert {spot.name for spot in layout.fields} == FIELDS[name.removesuffix("-upright")]
    assert (layout.width_px < layout.height_px) == name.is_upright
    assert sorted((layout.width_px, layout.height_px)) == [720, 1280]


@pytest.mark.parametrize("name", list(LayoutName))
def test_the_fields_of_a_layout_are_of_one_size(name: LayoutName) -> None:
    layout = layout_of(name)

    assert len({(spot.rect.width, spot.rect.height) for spot in layout.fields}) == 1


def test_the_earlier_swing_stands_before_today() -> None:
    then, now = layout_of(LayoutName.THEN_AND_NOW, [View.DOWN_THE_LINE]).fields

    assert (then.side, now.side) == (Side.THEN, Side.NOW)
    assert then.rect.right < now.rect.left
    assert then.view is now.view is View.DOWN_THE_LINE


@pytest.mark.parametrize("size", [(1280, 720), (720, 1280)])
def test_four_pictures_stand_so_that_they_are_larger_than_the_other_way(
    size: tuple[int, int],
) -> None:
    tall = size[0] < size[1]

    heights = [
        place(*size, layout_of(LayoutName.ALL_FOUR, tall_pictures=how).fields[0].rect)
        for how in (tall, not tall)
    ]

    chosen, other = (placed.target.width * placed.target.height for placed in heights)
    assert chosen > other


def test_a_layout_of_two_views_needs_two() -> None:
    with pytest.raises(ValueError, match="needs 2 views"):
        layout_of(LayoutName.ALL_FOUR, [View.FACE_ON])


def test_a_field_that_is_not_there_is_a_key_error() -> None:
    with pytest.raises(KeyError, match="then face-on"):
        layout_of(LayoutName.BOTH_ANGLES).field("then face-on")


sizes = st.integers(48, 2000)
fields = st.builds(
    lambda left, top, width, height: Rect(
        left=2 * left, top=2 * top, width=2 * width, height=2 * height
    ),
    *(st.integers(0, 300), st.integers(0, 300), st.integers(50, 500), st.integers(50, 500)),
)


@given(sizes, sizes, fields, st.floats(0.3, 1.0), st.floats(0.0, 1.0))
def test_a_picture_keeps_its_shape_its_height_and_the_stated_share_of_its_width(
    width_px: int, height_px: int, rect: Rect, keep_width: float, about_x: float
) -> None:
    placed = place(width_px, height_px, rect, keep_width=keep_width, about_x=about_x)

    source, target = placed.source, placed.target
    assert (source.top, source.height) == (0, height_px)
    assert source.left >= 0
    assert source.right <= width_px
    assert source.width >= keep_width * width_px - 1
    assert rect.left <= target.left
    assert rect.top <= target.top
    assert target.right <= rect.right
    assert target.bottom <= rect.bottom
    assert {v % 2 for v in (target.left, target.top, target.width, target.height)} == {0}
    stretched = target.width * source.height - target.height * source.width
    pixel = 1.0 + target.height / source.height
    assert abs(stretched) <= pixel * (source.width + source.height)


def test_a_wide_picture_fills_an_upright_field_up_to_the_share_that_is_kept() -> None:
    rect = Rect(left=0, top=0, width=300, height=480)

    placed = place(1280, 720, rect, keep_width=0.6)

    assert placed.source == Rect(left=256, top=0, width=768, height=720)
    assert (placed.target.width, placed.target.height) == (300, 282)
    assert placed.said == "60% of its width shown"


def test_an_upright_picture_is_shown_whole() -> None:
    placed = place(720, 1280, Rect(left=0, top=0, width=616, height=508))

    assert placed.source == Rect(left=0, top=0, width=720, height=1280)
    assert placed.said == ""


def test_the_cut_is_made_about_the_golfer_and_stays_inside() -> None:
    rect = Rect(left=0, top=0, width=616, height=508)

    lefts = [place(1280, 720, rect, about_x=x).source.left for x in (0.0, 0.4, 1.0)]

    assert lefts == [0, 512 - 436, 1280 - 873]


def test_a_time_keeps_its_place_on_the_bar() -> None:
    bar = Rect(left=16, top=0, width=1248, height=34)

    columns = [column(bar, at_ns, -1000, 1000) for at_ns in (-5000, -1000, 0, 1000, 5000)]

    assert columns == [33, 33, 640, 1247, 1247]
