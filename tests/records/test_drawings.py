"""What is drawn on a picture has the points and words that its shape needs, or is refused."""

from __future__ import annotations

import pytest
from hypothesis import given

from capturestation.records import (
    Drawing,
    LessonId,
    Point,
    Shape,
    Spot,
    SpotMark,
    StudentId,
    SwingBook,
    SwingId,
    View,
    from_plain,
    to_plain,
)
from tests.helpers.record_strategies import drawings

HERE = Point(x=0.5, y=0.25)


@given(drawings())
def test_a_drawing_comes_back_from_its_plain_form(drawn: Drawing) -> None:
    assert from_plain(Drawing, to_plain(drawn)) == drawn


@pytest.mark.parametrize(
    ("shape", "count"),
    [(Shape.LINE, 1), (Shape.ANGLE, 2), (Shape.ELLIPSE, 3), (Shape.FREE, 1), (Shape.PLUMB, 2)],
)
def test_a_shape_with_another_number_of_points_is_refused(shape: Shape, count: int) -> None:
    with pytest.raises(ValueError, match=f"a {shape} has .* points, got {count}"):
        Drawing(view=View.FACE_ON, shape=shape, points=(HERE,) * count)


def test_a_text_without_words_is_refused() -> None:
    with pytest.raises(ValueError, match="a text has words"):
        Drawing(view=View.FACE_ON, shape=Shape.TEXT, points=(HERE,), words="  ")


def test_words_on_a_line_are_refused() -> None:
    with pytest.raises(ValueError, match="nothing else has"):
        Drawing(view=View.FACE_ON, shape=Shape.LINE, points=(HERE, HERE), words="slide")


@pytest.mark.parametrize("wrong", [float("nan"), float("inf")])
def test_a_place_that_is_no_number_is_refused(wrong: float) -> None:
    with pytest.raises(ValueError, match="two finite shares"):
        Point(x=wrong, y=0.5)


def test_a_spot_pointed_out_twice_in_one_view_by_a_hand_is_refused() -> None:
    ball = SpotMark(view=View.FACE_ON, spot=Spot.BALL, at=HERE)

    with pytest.raises(ValueError, match="one place for each spot"):
        SwingBook(
            id=SwingId("a"),
            student_id=StudentId("b"),
            lesson_id=LessonId("c"),
            club="7 iron",
            spots=(ball, ball),
        )
