from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.drawing.placing import MOST_ENLARGED, Picture, middle, place
from capturestation.drawing.rect import Rect
from capturestation.records import Box

WHOLE = Box(left=0.0, top=0.0, right=1.0, bottom=1.0)

sizes = st.integers(48, 2000)
fields = st.builds(
    lambda left, top, width, height: Rect(
        left=2 * left, top=2 * top, width=2 * width, height=2 * height
    ),
    *(st.integers(0, 300), st.integers(0, 300), st.integers(50, 500), st.integers(50, 500)),
)
boxes = st.builds(
    lambda left, top, width, height: Box(
        left=left, top=top, right=min(left + width, 1.0), bottom=min(top + height, 1.0)
    ),
    *(st.floats(0.0, 0.7), st.floats(0.0, 0.7), st.floats(0.2, 1.0), st.floats(0.2, 1.0)),
)
pictures = st.builds(
    lambda width, height, box: Picture(width_px=width, height_px=height, box=box),
    *(sizes, sizes, boxes),
)


@given(pictures, fields)
def test_what_has_to_be_seen_is_whole_inside_the_field_and_keeps_its_shape(
    picture: Picture, rect: Rect
) -> None:
    placed = place(picture, rect)

    source, target, box = placed.source, placed.target, picture.box
    assert min(source.left, source.top) >= 0
    assert source.right <= picture.width_px
    assert source.bottom <= picture.height_px
    assert source.left <= box.left * picture.width_px + 1
    assert source.top <= box.top * picture.height_px + 1
    assert source.right >= box.right * picture.width_px - 1
    assert source.bottom >= box.bottom * picture.height_px - 1
    assert (rect.left, rect.top) <= (target.left, target.top)
    assert target.right <= rect.right
    assert target.bottom <= rect.bottom
    assert {v % 2 for v in (target.left, target.top, target.width, target.height)} == {0}
    stretched = target.width * source.height - target.height * source.width
    pixel = 2.0 + target.height / source.height
    assert abs(stretched) <= pixel * (source.width + source.height)


@given(pictures, fields)
def test_it_is_as_large_as_fits_but_never_enlarged_beyond_its_detail(
    picture: Picture, rect: Rect
) -> None:
    placed = place(picture, rect)

    scale = max(
        (placed.target.width - 2) / placed.source.width,
        (placed.target.height - 2) / placed.source.height,
    )
    fits = [rect.width / picture.box_px[0], rect.height / picture.box_px[1]]
    whole = min(rect.width / picture.width_px, rect.height / picture.height_px)
    limit = min(*fits, max(MOST_ENLARGED, whole))
    assert scale <= limit * (1 + 1 / min(placed.source.width, placed.source.height))
    fills = placed.target.width >= rect.width - 2 or placed.target.height >= rect.height - 2
    assert fills or limit == MOST_ENLARGED


def test_a_cut_is_made_in_both_directions_about_the_swing() -> None:
    picture = Picture(
        width_px=1280, height_px=720, box=Box(left=0.25, top=0.1, right=0.75, bottom=0.9)
    )

    placed = place(picture, Rect(left=10, top=20, width=320, height=400))

    assert placed.source == Rect(left=320, top=0, width=640, height=720)
    assert placed.target == Rect(left=10, top=20, width=320, height=360)
    assert (placed.width_share, placed.height_share) == (0.5, 1.0)
    assert placed.is_cut


def test_room_beside_the_swing_shows_more_of_the_picture_up_to_its_edge() -> None:
    picture = Picture(
        width_px=1280, height_px=720, box=Box(left=0.0, top=0.5, right=0.25, bottom=1.0)
    )

    placed = place(picture, Rect(left=0, top=0, width=400, height=360))

    assert placed.source == Rect(left=0, top=360, width=400, height=360)
    assert (placed.target.width, placed.target.height) == (400, 360)


def test_a_wide_picture_fills_an_upright_field_up_to_the_share_that_is_kept() -> None:
    picture = Picture(width_px=1280, height_px=720, box=middle(0.6))

    placed = place(picture, Rect(left=0, top=0, width=300, height=480))

    assert placed.source == Rect(left=256, top=0, width=768, height=720)
    assert (placed.target.width, placed.target.height) == (300, 282)
    assert placed.width_share == pytest.approx(0.6)


def test_an_upright_picture_is_shown_whole() -> None:
    picture = Picture(width_px=720, height_px=1280, box=WHOLE)

    placed = place(picture, Rect(left=0, top=0, width=616, height=508))

    assert placed.source == Rect(left=0, top=0, width=720, height=1280)
    assert not placed.is_cut


def test_a_small_picture_still_fills_its_field() -> None:
    picture = Picture(width_px=160, height_px=90, box=middle(0.5))

    placed = place(picture, Rect(left=0, top=0, width=640, height=360))

    assert placed.source == Rect(left=0, top=0, width=160, height=90)
    assert (placed.target.width, placed.target.height) == (640, 360)
