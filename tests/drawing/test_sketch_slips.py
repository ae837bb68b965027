"""Words and degrees on slips of paper."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from capturestation.drawing.sketch_slips import slip_of
from capturestation.records import Shape
from tests.helpers.sketches import LINE, drawing, whole_field

pytestmark = pytest.mark.usefixtures("qapp")


def test_an_angle_tells_its_degrees_and_that_they_are_the_picture_s() -> None:
    slip = slip_of(drawing(Shape.ANGLE, (0.5, 0.2), (0.5, 0.5), (0.7, 0.5)), whole_field())

    assert slip is not None
    assert slip.lines == ("90°", "in the picture")


def test_degrees_are_those_of_pixels_not_of_shares() -> None:
    slip = slip_of(
        drawing(Shape.ANGLE, (0.5, 0.0), (0.5, 0.5), (0.75, 0.0)), whole_field(1600, 800)
    )

    assert slip is not None
    assert slip.lines[0] == "45°"


def test_the_slip_of_an_angle_covers_neither_its_corner_nor_its_ends() -> None:
    field = whole_field()
    made = drawing(Shape.ANGLE, (0.5, 0.2), (0.5, 0.5), (0.7, 0.5))

    slip = slip_of(made, field)

    assert slip is not None
    for point in made.points:
        x, y = field.to_canvas(point)
        assert not slip.rect.adjusted(-2, -2, 2, 2).contains(x, y)


def test_long_words_are_broken_into_lines() -> None:
    words = "turn back to square before the arms pass the hip"

    slip = slip_of(drawing(Shape.TEXT, (0.1, 0.1), words=words), whole_field())

    assert slip is not None
    assert " ".join(slip.lines) == words
    assert max(len(line) for line in slip.lines) <= 24


@given(x=st.floats(-0.2, 1.2), y=st.floats(-0.2, 1.2), scale=st.floats(0.4, 2.0))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_slip_stays_inside_its_picture(x: float, y: float, scale: float) -> None:
    field = whole_field(scale=scale)

    slip = slip_of(drawing(Shape.TEXT, (x, y), words="hold the finish"), field)

    assert slip is not None
    assert slip.rect.left() >= 0
    assert slip.rect.top() >= 0
    assert slip.rect.right() <= 1280
    assert slip.rect.bottom() <= 720


def test_a_line_says_nothing() -> None:
    assert slip_of(LINE, whole_field()) is None
