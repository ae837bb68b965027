"""Where drawings lie on a canvas, how far a place is from them, and the degrees of an angle."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from capturestation.drawing.rect import Rect
from capturestation.drawing.sketch_lines import (
    SketchField,
    angle_deg,
    away_px,
    handles,
    moved,
    on_canvas,
    stroke,
    thinned,
)
from capturestation.records import Drawing, Point, Shape
from tests.helpers.sketches import ONE_OF_EACH, at, drawing, whole_field

coordinates = st.floats(-1000, 1000)
places = st.tuples(coordinates, coordinates)


@given(
    corner=places,
    first=st.floats(0, 360),
    angle=st.floats(0, 180),
    legs=st.tuples(*[st.floats(5, 500)] * 2),
)
def test_an_angle_is_the_one_that_was_laid_out(
    corner: tuple[float, float], first: float, angle: float, legs: tuple[float, float]
) -> None:
    three = np.array(
        [
            _at(corner, first, legs[0]),
            corner,
            _at(corner, first + angle, legs[1]),
        ]
    )

    assert angle_deg(three) == pytest.approx(angle, abs=1e-6)
    assert angle_deg(three[::-1]) == pytest.approx(angle, abs=1e-6)
    assert angle_deg(three * (-1, 1)) == pytest.approx(angle, abs=1e-6)


def _at(corner: tuple[float, float], deg: float, px: float) -> tuple[float, float]:
    turn = math.radians(deg)
    return corner[0] + px * math.cos(turn), corner[1] + px * math.sin(turn)


def test_an_angle_without_a_leg_is_none() -> None:
    assert angle_deg(np.array([[1.0, 1.0], [1.0, 1.0], [5.0, 1.0]])) == 0.0


@given(line=st.lists(places, min_size=1, max_size=6), place=places)
def test_nothing_on_a_line_is_nearer_than_it_says_and_something_is_as_near(
    line: list[tuple[float, float]], place: tuple[float, float]
) -> None:
    points = np.array(line)
    filled = np.vstack([np.linspace(a, b, 200) for a, b in pairwise(points)] or [points])

    off = away_px(points, place)

    nearest = np.linalg.norm(filled - place, axis=1).min()
    longest = np.linalg.norm(np.diff(points, axis=0), axis=1).max() if len(points) > 1 else 0.0
    assert off <= nearest + 1e-6
    assert nearest <= off + longest / 199 + 1e-6


def test_an_ellipse_fills_the_rectangle_between_its_corners() -> None:
    line = stroke(drawing(Shape.ELLIPSE, (0.25, 0.5), (0.75, 1.0)), whole_field(400, 200))

    assert line.min(axis=0) == pytest.approx((100, 100))
    assert line.max(axis=0) == pytest.approx((300, 200))
    assert line[0] == pytest.approx(line[-1])
    round_it = ((line - (200, 150)) / (100, 50)) ** 2
    assert round_it.sum(axis=1) == pytest.approx(np.ones(len(line)))


def test_a_plumb_line_is_upright_on_the_canvas_though_the_picture_is_turned() -> None:
    bounds = Rect(left=10, top=20, width=300, height=200)
    turned = SketchField(to_canvas=lambda p: (200 - 100 * p.y, 30 + 100 * p.x), bounds=bounds)

    line = stroke(drawing(Shape.PLUMB, (0.3, 0.6)), turned)

    assert line.tolist() == [[140.0, 20.0], [140.0, 220.0]]


@example(steps=[(0.0, 0.03125), (0.0, 1.4325187498034467e-14)], off_px=1.0)
@given(
    steps=st.lists(st.tuples(*[st.floats(-0.05, 0.05)] * 2), min_size=1, max_size=60),
    off_px=st.floats(0.5, 10),
)
def test_a_thinned_line_stays_as_near_as_asked_and_keeps_its_ends(
    steps: list[tuple[float, float]], off_px: float
) -> None:
    walk = np.cumsum([(0.5, 0.5), *steps], axis=0)
    points = [Point(x=float(x), y=float(y)) for x, y in walk]
    field = whole_field()

    kept = thinned(points, field, off_px)

    assert set(kept) <= set(points)
    assert (kept[0], kept[-1]) == (points[0], points[-1])
    line = on_canvas(kept, field)
    assert max(away_px(line, field.to_canvas(p)) for p in points) <= off_px + 0.01


def test_a_straight_line_is_thinned_to_its_ends() -> None:
    points = [at(0.1 + n / 100, 0.3) for n in range(40)]

    assert thinned(points, whole_field(), 1.0) == (points[0], points[-1])


@given(st.sampled_from(ONE_OF_EACH), st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))
def test_a_moved_drawing_keeps_its_form(made: Drawing, dx: float, dy: float) -> None:
    before = np.array([(p.x, p.y) for p in made.points])

    after = np.array([(p.x, p.y) for p in moved(made, (dx, dy))])

    assert after - before == pytest.approx(np.full_like(before, 1) * (dx, dy))


@pytest.mark.parametrize(
    ("shape", "count"),
    [
        (Shape.LINE, 2),
        (Shape.ANGLE, 3),
        (Shape.ELLIPSE, 2),
        (Shape.FREE, 0),
        (Shape.TEXT, 1),
        (Shape.PLUMB, 1),
    ],
)
def test_each_point_that_means_something_is_a_handle(shape: Shape, count: int) -> None:
    made = next(one for one in ONE_OF_EACH if one.shape is shape)

    assert len(handles(made, whole_field())) == count
