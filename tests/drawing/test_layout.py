from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.drawing.grid import Side
from capturestation.drawing.layout import Layout, LayoutName, column, layout_of
from capturestation.drawing.placing import MOST_ENLARGED, Picture, middle, place
from capturestation.drawing.rect import Rect
from capturestation.records import Box, View

FOUR = {"then face-on", "now face-on", "then down-the-line", "now down-the-line"}
FIELDS = {
    "both-angles": {"now face-on", "now down-the-line"},
    "then-and-now": {"then face-on", "now face-on"},
    "all-four": FOUR,
}
SWINGS = {
    View.FACE_ON: Picture(
        width_px=1280, height_px=720, box=Box(left=0.21, top=0.09, right=0.79, bottom=0.98)
    ),
    View.DOWN_THE_LINE: Picture(
        width_px=1280, height_px=720, box=Box(left=0.28, top=0.0, right=0.65, bottom=1.0)
    ),
}
boxes = st.builds(
    lambda left, top, width, height: Box(
        left=left, top=top, right=left + width, bottom=top + height
    ),
    *(st.floats(0.0, 0.4), st.floats(0.0, 0.3), st.floats(0.2, 0.6), st.floats(0.5, 0.7)),
)


def rects(layout: Layout) -> list[Rect]:
    strip = layout.strip
    fields = [rect for spot in layout.fields for rect in (spot.rect, spot.caption)]
    return [*fields, strip.title, strip.readout, strip.bar, strip.words]


def assert_apart_and_inside(layout: Layout) -> None:
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
@pytest.mark.parametrize("short_side_px", [180, 360, 720, 1080])
@pytest.mark.parametrize("size", [(1280, 720), (720, 1280)])
def test_everything_stands_on_even_pixels_inside_the_canvas_and_apart(
    name: LayoutName, short_side_px: int, size: tuple[int, int]
) -> None:
    picture = Picture(width_px=size[0], height_px=size[1], box=middle())

    layout = layout_of(name, short_side_px=short_side_px, pictures=dict.fromkeys(View, picture))

    assert_apart_and_inside(layout)


@pytest.mark.parametrize("name", list(LayoutName))
def test_each_layout_shows_its_own_fields(name: LayoutName) -> None:
    layout = layout_of(name)

    assert {spot.name for spot in layout.fields} == FIELDS[name.removesuffix("-upright")]
    assert (layout.width_px < layout.height_px) == name.is_upright
    assert sorted((layout.width_px, layout.height_px)) == [720, 1280]


@pytest.mark.parametrize("name", list(LayoutName))
def test_both_swings_of_a_view_have_fields_of_one_size(name: LayoutName) -> None:
    layout = layout_of(name, pictures=SWINGS)

    for view in {spot.view for spot in layout.fields}:
        fields = [spot.rect for spot in layout.fields if spot.view is view]
        assert len({(rect.width, rect.height) for rect in fields}) == 1


def test_the_earlier_swing_stands_before_today() -> None:
    then, now = layout_of(LayoutName.THEN_AND_NOW, [View.DOWN_THE_LINE]).fields

    assert (then.side, now.side) == (Side.THEN, Side.NOW)
    assert then.rect.right < now.rect.left
    assert then.view is now.view is View.DOWN_THE_LINE


def test_each_arrangement_is_the_one_that_shows_the_swing_largest() -> None:
    """A wide canvas has room for a row of four; an upright one for a swing in each row."""
    wide = layout_of(LayoutName.ALL_FOUR, pictures=SWINGS)
    upright = layout_of(LayoutName.ALL_FOUR_UPRIGHT, pictures=SWINGS)

    assert len({spot.rect.top for spot in wide.fields}) == 1
    assert [spot.name for spot in upright.fields] == [
        "then face-on",
        "then down-the-line",
        "now face-on",
        "now down-the-line",
    ]
    assert upright.fields[0].rect.top == upright.fields[1].rect.top


def test_whole_wide_pictures_stand_in_two_rows_and_upright_ones_in_one() -> None:
    whole = Box(left=0, top=0, right=1, bottom=1)

    rows = [
        len({spot.rect.top for spot in layout_of(LayoutName.ALL_FOUR, pictures=of).fields})
        for of in (
            dict.fromkeys(View, Picture(width_px=1280, height_px=720, box=whole)),
            dict.fromkeys(View, Picture(width_px=720, height_px=1280, box=whole)),
        )
    ]

    assert rows == [2, 1]


def test_room_that_the_pictures_leave_makes_the_held_name_larger() -> None:
    full = layout_of(LayoutName.THEN_AND_NOW, pictures=SWINGS)
    roomy = layout_of(LayoutName.ALL_FOUR, pictures=SWINGS)

    assert roomy.strip.title.height > 1.5 * full.strip.title.height


@given(st.sampled_from(LayoutName), boxes, boxes)
def test_golfers_beside_each_other_are_equally_high_and_every_field_is_filled(
    name: LayoutName, face_on: Box, line: Box
) -> None:
    of = {
        View.FACE_ON: Picture(width_px=1280, height_px=720, box=face_on),
        View.DOWN_THE_LINE: Picture(width_px=1920, height_px=1080, box=line),
    }

    layout = layout_of(name, pictures=of)

    assert_apart_and_inside(layout)
    heights = []
    for spot in layout.fields:
        placed = place(of[spot.view], spot.rect)
        scale = placed.target.height / placed.source.height
        heights.append(scale * of[spot.view].box_px[1])
        is_full = placed.target.height >= spot.rect.height - 2
        assert is_full or scale == pytest.approx(MOST_ENLARGED, rel=0.02)
    if len({spot.rect.top for spot in layout.fields}) == 1:
        assert max(heights) - min(heights) < 0.02 * max(heights) + 4


@pytest.mark.parametrize("name", list(LayoutName))
def test_of_one_view_a_layout_shows_that_one(name: LayoutName) -> None:
    layout = layout_of(name, [View.DOWN_THE_LINE], pictures=SWINGS)

    alone = name.removesuffix("-upright") == "both-angles"
    sides = ["now"] if alone else ["then", "now"]
    assert [spot.name for spot in layout.fields] == [f"{side} down-the-line" for side in sides]
    assert_apart_and_inside(layout)


@pytest.mark.parametrize("views", [[], [View.FACE_ON, View.FACE_ON]])
def test_a_layout_of_no_view_or_of_one_twice_is_refused(views: list[View]) -> None:
    with pytest.raises(ValueError, match="one view or more"):
        layout_of(LayoutName.ALL_FOUR, views)


def test_a_field_that_is_not_there_is_a_key_error() -> None:
    with pytest.raises(KeyError, match="then face-on"):
        layout_of(LayoutName.BOTH_ANGLES).field("then face-on")


def test_a_time_keeps_its_place_on_the_bar() -> None:
    bar = Rect(left=16, top=0, width=1248, height=34)

    columns = [column(bar, at_ns, -1000, 1000) for at_ns in (-5000, -1000, 0, 1000, 5000)]

    assert columns == [33, 33, 640, 1247, 1247]
