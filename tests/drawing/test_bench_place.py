"""Where a picture stands in its field, and the way back from a pixel."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.drawing.bench_place import (
    LEAST_ZOOM,
    MOST_ZOOM,
    FieldPlace,
    Framing,
    fit_of,
)
from capturestation.drawing.placing import Picture, middle
from capturestation.drawing.rect import Rect
from capturestation.records import Box, Point

RECT = Rect(left=40, top=30, width=320, height=180)
WHOLE = FieldPlace(rect=RECT, width_px=160, height_px=90, fit=2.0)
shares = st.floats(-0.2, 1.2)
framings = st.builds(
    Framing,
    zoom=st.floats(LEAST_ZOOM, MOST_ZOOM),
    x=st.floats(0, 1),
    y=st.floats(0, 1),
    is_flipped=st.booleans(),
    turn_deg=st.floats(-180, 180),
)


def placed(framing: Framing) -> FieldPlace:
    return FieldPlace(rect=RECT, width_px=160, height_px=90, fit=2.0, framing=framing)


def test_a_picture_that_fits_fills_its_field() -> None:
    corners = [WHOLE.to_screen(Point(x=x, y=y)) for x, y in ((0, 0), (1, 1))]

    assert corners == [(40, 30), (360, 210)]


@given(framings, shares, shares)
def test_the_way_back_is_exact(framing: Framing, x: float, y: float) -> None:
    place = placed(framing)

    back = place.to_picture(*place.to_screen(Point(x=x, y=y)))

    assert (back.x, back.y) == pytest.approx((x, y), abs=1e-9)


@given(framings, shares, shares, st.floats(1, 4))
def test_zooming_leaves_what_is_under_the_pointer(
    framing: Framing, x: float, y: float, times: float
) -> None:
    about = Point(x=min(max(x, 0.3), 0.7), y=min(max(y, 0.3), 0.7))
    before = placed(framing).to_screen(about)

    zoomed = framing.zoomed(times, about)

    assert placed(zoomed).to_screen(about) == pytest.approx(before, abs=1e-6)


def test_a_flipped_picture_has_left_on_the_right() -> None:
    place = placed(Framing(is_flipped=True))

    assert place.to_screen(Point(x=0, y=0)) == pytest.approx((360, 30))


def test_a_quarter_turn_is_clockwise() -> None:
    place = placed(Framing(turn_deg=90, zoom=0.5))

    assert place.to_screen(Point(x=0.5, y=0)) == pytest.approx((200 + 45, 120))


def test_a_picture_can_not_be_lost() -> None:
    framing = Framing().at(99.0, -99.0)

    assert (framing.x, framing.y) == (1.25, -0.25)


def test_zoom_stays_within_its_limits() -> None:
    point = Point(x=0.5, y=0.5)

    assert Framing().zoomed(1000, point).zoom == MOST_ZOOM
    assert Framing().zoomed(0.001, point).zoom == LEAST_ZOOM


@pytest.mark.parametrize(("turn", "sideways"), [(0, False), (90, True), (-90, True), (170, False)])
def test_a_turned_picture_knows_whether_it_lies_on_its_side(turn: float, sideways: bool) -> None:
    assert Framing(turn_deg=turn).is_sideways is sideways


def test_four_quarter_turns_are_none() -> None:
    framing = Framing()
    for _ in range(4):
        framing = framing.turned(90)

    assert framing == Framing()


def test_what_has_to_be_seen_is_as_large_as_fits() -> None:
    picture = Picture(width_px=1280, height_px=720, box=middle(0.5))
    everything = Picture(width_px=1280, height_px=720, box=Box(left=0, top=0, right=1, bottom=1))
    field = Rect(left=0, top=0, width=640, height=720)

    assert fit_of(picture, field) == 1.0
    assert fit_of(everything, field) == 0.5
