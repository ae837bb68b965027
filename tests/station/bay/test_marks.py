"""Ends of sticks are marked in their order, taken up again, moved and taken away."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.records import Point, View
from capturestation.station.bay.marks import ALONG, CROSSED, End, Marks

FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
SPOTS = [Point(x=0.2, y=0.7), Point(x=0.8, y=0.7), Point(x=0.5, y=0.6), Point(x=0.5, y=0.9)]


def marked(view: View, ends: tuple[End, ...] = CROSSED) -> Marks:
    marks = Marks(ends)
    for at, _end in zip(SPOTS, ends, strict=False):
        marks.press(view, at)
    return marks


def test_presses_mark_the_ends_of_each_picture_in_their_order() -> None:
    marks = Marks(CROSSED)
    asked = []
    for view in (BEHIND, FACE_ON):
        for at in SPOTS:
            asked.append(marks.first_lacking((FACE_ON, BEHIND)))
            marks.press(view, at)

    assert asked == [(FACE_ON, End.REAR)] * 5 + [(FACE_ON, end) for end in CROSSED[1:]]
    assert marks.first_lacking((FACE_ON, BEHIND)) is None
    assert list(marks.of(BEHIND).values()) == SPOTS
    assert marks.press(FACE_ON, Point(x=0.1, y=0.1)) is False
    assert marks.count == 8


def test_a_press_on_a_mark_takes_it_up_and_it_follows_inside_the_picture() -> None:
    marks = marked(FACE_ON)
    marks.press(FACE_ON, Point(x=0.205, y=0.71))
    marks.move(Point(x=-0.4, y=0.5))

    assert marks.held == (FACE_ON, End.REAR)
    assert marks.of(FACE_ON)[End.REAR] == Point(x=0.0, y=0.5)
    assert marks.count == 4


def test_the_last_one_is_taken_away_first_and_the_one_before_can_be_moved() -> None:
    marks = marked(FACE_ON, ALONG)
    heard = []
    marks.changed.tell(lambda: heard.append(marks.count))
    backs = [marks.take_back()]
    held = marks.held
    marks.nudge(0.1, -0.1)
    moved = marks.of(FACE_ON)[End.REAR]
    backs += [marks.take_back(), marks.take_back()]

    assert backs == [True, True, False]
    assert held == (FACE_ON, End.REAR)
    assert (moved.x, moved.y) == pytest.approx((0.3, 0.6))
    assert heard == [1, 1, 0]


def test_pixels_are_those_of_the_recordings_and_missing_ones_are_nan() -> None:
    marks = marked(FACE_ON, ALONG)

    pixels = marks.pixels(FACE_ON, (1280, 720))
    nothing = marks.pixels(BEHIND, (1280, 720))

    assert pixels == pytest.approx(np.array([[255.5, 503.5], [1023.5, 503.5]]))
    assert np.isnan(nothing).all()
    assert marks.whole((FACE_ON, BEHIND)) == (FACE_ON,)
