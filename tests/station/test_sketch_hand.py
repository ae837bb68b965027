"""How each shape is drawn by a hand, and how a finished one is altered."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from capturestation.records import Drawing, Pen, Point, Shape, View
from capturestation.station.sketch_hand import Draft, Grip, handle_at
from tests.helpers.sketches import LINE, at, drawing, whole_field

FIELD = whole_field()
Place = tuple[float, float]


def begun(shape: Shape, *first: float) -> Draft:
    draft = Draft(view=View.FACE_ON, shape=shape, pen=Pen.FIRST, tip=at(*first))
    draft.press(at(*first))
    return draft


def stroke(draft: Draft, *places: Place) -> tuple[Point, ...] | None:
    """The hand, down already, moves through all of these and goes up at the last."""
    for place in places[:-1]:
        draft.move(at(*place), FIELD)
    return draft.release(at(*places[-1]), FIELD)


def click(draft: Draft, *place: float) -> tuple[Point, ...] | None:
    draft.press(at(*place))
    return draft.release(at(*place), FIELD)


def test_a_line_is_dragged() -> None:
    draft = begun(Shape.LINE, 0.1, 0.1)

    assert stroke(draft, (0.2, 0.3), (0.4, 0.1)) == LINE.points


def test_a_line_is_clicked_and_seen_on_the_way() -> None:
    draft = begun(Shape.LINE, 0.1, 0.1)
    first = draft.release(at(0.1, 0.1), FIELD)
    draft.move(at(0.3, 0.2), FIELD)
    seen = draft.preview

    assert first is None
    assert seen == drawing(Shape.LINE, (0.1, 0.1), (0.3, 0.2))
    assert click(draft, 0.4, 0.1) == LINE.points


@pytest.mark.parametrize(
    "way", [[(0.5, 0.2)], [(0.5, 0.3), (0.5, 0.5)]], ids=["clicked", "dragged"]
)
def test_an_angle_is_three_clicks_or_a_drag_and_a_click(way: Sequence[Place]) -> None:
    draft = begun(Shape.ANGLE, 0.5, 0.2)
    answers = [stroke(draft, *way)]
    if len(draft.points) == 1:
        answers.append(click(draft, 0.5, 0.5))
    seen = draft.preview
    answers.append(click(draft, 0.7, 0.5))

    assert answers[:-1] == [None] * (len(answers) - 1)
    assert answers[-1] == (at(0.5, 0.2), at(0.5, 0.5), at(0.7, 0.5))
    assert seen is None or seen.shape is Shape.LINE


def test_an_ellipse_fills_the_rectangle_that_was_dragged() -> None:
    assert stroke(begun(Shape.ELLIPSE, 0.3, 0.6), (0.1, 0.3)) == (at(0.3, 0.6), at(0.1, 0.3))


def test_a_free_line_is_kept_with_few_points() -> None:
    along = [(0.1 + n / 200, 0.2) for n in range(60)]
    down = [(0.395, 0.2 + n / 200) for n in range(60)]

    points = stroke(begun(Shape.FREE, *along[0]), *along, *down)

    assert points == (at(0.1, 0.2), at(0.395, 0.2), at(0.395, 0.495))


def test_a_plumb_line_and_a_text_go_where_the_hand_lets_go() -> None:
    for shape in (Shape.PLUMB, Shape.TEXT):
        assert stroke(begun(shape, 0.2, 0.2), (0.3, 0.3), (0.5, 0.8)) == (at(0.5, 0.8),)


@pytest.mark.parametrize(
    ("shape", "answer"), [(Shape.LINE, None), (Shape.ELLIPSE, None), (Shape.FREE, ())]
)
def test_a_click_alone_finishes_none_of_these(
    shape: Shape, answer: tuple[Point, ...] | None
) -> None:
    assert stroke(begun(shape, 0.3, 0.3), (0.3, 0.3)) == answer


@pytest.mark.parametrize("shape", Shape)
def test_every_shape_is_seen_while_it_is_drawn(shape: Shape) -> None:
    draft = begun(shape, 0.3, 0.3)
    draft.move(at(0.5, 0.6), FIELD)

    seen = draft.preview

    assert seen is not None
    assert seen.points[-1] == at(0.5, 0.6)


def test_a_held_point_moves_alone_and_a_held_drawing_whole() -> None:
    handle = Grip(drawing=LINE, handle=1, start=at(0.4, 0.1), now=LINE)
    whole = Grip(drawing=LINE, handle=None, start=at(0.2, 0.1), now=LINE)

    handle.move(at(0.5, 0.5))
    whole.move(at(0.3, 0.4))

    assert _places(handle.now) == pytest.approx([0.1, 0.1, 0.5, 0.5])
    assert _places(whole.now) == pytest.approx([0.2, 0.4, 0.5, 0.4])


def _places(made: Drawing) -> list[float]:
    return [value for point in made.points for value in (point.x, point.y)]


def test_the_nearest_handle_within_reach_is_meant() -> None:
    assert handle_at(LINE, FIELD, at(0.39, 0.1), 22) == 1
    assert handle_at(LINE, FIELD, at(0.11, 0.1), 22) == 0
    assert handle_at(LINE, FIELD, at(0.25, 0.1), 22) is None
