"""What a hand does on a picture becomes drawings that are kept, altered and taken back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from capturestation.drawing.grid import Side
from capturestation.errors import NotFoundError
from capturestation.library import Library
from capturestation.records import Drawing, LessonId, Pen, Shape, View, new_id
from capturestation.station.keeping import at_once
from capturestation.station.sketching import Kept, Sketcher
from capturestation.station.undo import UndoList
from tests.helpers.library_records import Filled, fill
from tests.helpers.sketches import LINE, at, drawing, whole_field

pytestmark = pytest.mark.usefixtures("qapp")
FACE_ON = View.FACE_ON
CELL = (Side.NOW, View.FACE_ON)


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Library]:
    with Library.open(tmp_path_factory.mktemp("drawn") / "library") as opened:
        yield opened


@pytest.fixture(scope="module")
def swung(library: Library, tmp_path_factory: pytest.TempPathFactory) -> Filled:
    return fill(library, tmp_path_factory.mktemp("originals"))


@pytest.fixture
def filled(library: Library, swung: Filled) -> Filled:
    """The same swing for every test, without what the last one drew."""
    library.save_book(swung.swing.book)
    library.save_lesson(swung.lesson)
    return swung


@pytest.fixture
def steps() -> UndoList:
    return UndoList()


@pytest.fixture
def sketcher(library: Library, filled: Filled, steps: UndoList) -> Sketcher:
    made = Sketcher(library, steps, at_once)
    made.look_at(filled.swing, filled.lesson)
    made.set_fields({view: whole_field() for view in View})
    return made


def drag(sketcher: Sketcher, *places: tuple[float, float], view: View = View.FACE_ON) -> None:
    """Press at the first place, move through all, release at the last."""
    cell = (Side.NOW, view)
    sketcher.press(cell, at(*places[0]))
    for place in places[1:]:
        sketcher.move(cell, at(*place))
    sketcher.release(cell, at(*places[-1]))


def click(sketcher: Sketcher, *place: float) -> None:
    drag(sketcher, (place[0], place[1]))


def kept_with(library: Library, filled: Filled) -> tuple[Drawing, ...]:
    return library.swing(filled.swing.id).book.drawings


def kept_on(library: Library, filled: Filled) -> tuple[Drawing, ...]:
    return library.lesson(filled.lesson.id).drawings


def test_a_line_is_dragged_and_kept_with_the_swing(
    sketcher: Sketcher, library: Library, filled: Filled
) -> None:
    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.2, 0.3), (0.4, 0.1))

    assert kept_with(library, filled)[-1] == LINE
    assert sketcher.shown(FACE_ON)[-1] == LINE
    assert sketcher.chosen == LINE


def test_degrees_are_told_while_an_angle_is_drawn_and_they_are_those_of_pixels(
    sketcher: Sketcher,
) -> None:
    sketcher.set_fields({FACE_ON: whole_field(1600, 800)})
    sketcher.use(Shape.ANGLE)
    click(sketcher, 0.5, 0.0)
    click(sketcher, 0.5, 0.5)
    sketcher.move(CELL, at(0.75, 0.0))

    assert sketcher.degrees == pytest.approx(45.0)


def test_a_text_waits_for_its_words(sketcher: Sketcher, library: Library, filled: Filled) -> None:
    before = kept_with(library, filled)
    sketcher.use(Shape.TEXT)
    click(sketcher, 0.1, 0.75)

    awaited, unchanged = sketcher.awaits_words, kept_with(library, filled) == before
    sketcher.write("  hold it ")

    assert (awaited, sketcher.awaits_words) == (True, False)
    assert unchanged
    assert sketcher.shown(FACE_ON)[-1] == drawing(Shape.TEXT, (0.1, 0.75), words="hold it")


def test_a_text_without_words_is_given_up(sketcher: Sketcher) -> None:
    before = sketcher.shown(FACE_ON)
    sketcher.use(Shape.TEXT)
    click(sketcher, 0.1, 0.75)

    sketcher.write("   ")

    assert sketcher.shown(FACE_ON) == before
    assert not sketcher.awaits_words


def test_every_shape_can_be_taken_back_and_done_again(
    sketcher: Sketcher, steps: UndoList, library: Library, filled: Filled
) -> None:
    before = kept_with(library, filled)
    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.4, 0.1))

    assert steps.undo_words == "draw line"
    steps.undo()
    assert kept_with(library, filled) == before
    assert LINE not in sketcher.shown(FACE_ON)
    assert sketcher.chosen is None
    steps.redo()
    assert kept_with(library, filled) == (*before, LINE)
    assert LINE in sketcher.shown(FACE_ON)


def test_a_whole_drawing_is_moved_by_the_hand(
    sketcher: Sketcher, steps: UndoList, library: Library, filled: Filled
) -> None:
    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.4, 0.1))
    sketcher.leave()
    sketcher.use(None)
    drag(sketcher, (0.25, 0.11), (0.3, 0.2), (0.35, 0.31))

    moved = kept_with(library, filled)[-1]
    assert [(p.x, p.y) for p in moved.points] == [
        pytest.approx((0.2, 0.3)),
        pytest.approx((0.5, 0.3)),
    ]
    assert steps.undo_words == "move line"
    steps.undo()
    assert kept_with(library, filled)[-1] == LINE


def test_a_handle_of_the_chosen_one_is_altered_while_a_tool_is_still_in_the_hand(
    sketcher: Sketcher, library: Library, filled: Filled
) -> None:
    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.4, 0.1))
    count = len(kept_with(library, filled))

    drag(sketcher, (0.4, 0.1), (0.5, 0.5))

    assert len(kept_with(library, filled)) == count
    assert kept_with(library, filled)[-1] == drawing(Shape.LINE, (0.1, 0.1), (0.5, 0.5))


def test_a_drawing_is_seen_moving_before_it_is_let_go(sketcher: Sketcher, steps: UndoList) -> None:
    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.4, 0.1))
    sketcher.press(CELL, at(0.4, 0.1))
    sketcher.move(CELL, at(0.5, 0.5))

    half = drawing(Shape.LINE, (0.1, 0.1), (0.5, 0.5))
    assert sketcher.shown(FACE_ON)[-1] == half
    assert sketcher.chosen_on(FACE_ON) == half
    assert steps.undo_words == "draw line"


def test_the_hand_takes_the_nearest_within_reach_and_nothing_beyond(sketcher: Sketcher) -> None:
    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.4, 0.1))
    sketcher.use(None)

    assert not sketcher.press(CELL, at(0.25, 0.1 + 30 / 720))
    assert sketcher.chosen is None
    assert sketcher.press(CELL, at(0.25, 0.1 + 20 / 720))
    assert sketcher.chosen == LINE


def test_the_chosen_one_is_removed_and_comes_back(
    sketcher: Sketcher, steps: UndoList, library: Library, filled: Filled
) -> None:
    before = kept_with(library, filled)
    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.4, 0.1))
    sketcher.remove()

    assert kept_with(library, filled) == before
    assert sketcher.chosen is None
    steps.undo()
    assert kept_with(library, filled) == (*before, LINE)


def test_what_is_kept_on_the_view_is_there_for_the_next_ball(
    sketcher: Sketcher, library: Library, filled: Filled, steps: UndoList
) -> None:
    before = kept_with(library, filled)
    sketcher.keep_in(Kept.VIEW)
    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.4, 0.1))

    assert kept_on(library, filled) == (LINE,)
    assert kept_with(library, filled) == before
    other = Sketcher(library, steps, at_once)
    other.look_at(filled.swing, library.lesson(filled.lesson.id))
    assert LINE in other.shown(FACE_ON)
    steps.undo()
    assert kept_on(library, filled) == ()


def test_a_chosen_drawing_goes_where_it_is_to_be_kept(
    sketcher: Sketcher, library: Library, filled: Filled, steps: UndoList
) -> None:
    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.4, 0.1))
    sketcher.keep_in(Kept.VIEW)

    assert kept_on(library, filled) == (LINE,)
    assert LINE not in kept_with(library, filled)
    assert sketcher.kept_of_chosen is Kept.VIEW
    steps.undo()
    assert kept_on(library, filled) == ()
    assert kept_with(library, filled)[-1] == LINE


def test_a_pen_is_for_the_next_and_for_the_chosen_one(sketcher: Sketcher, steps: UndoList) -> None:
    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.4, 0.1))
    sketcher.next_pen()

    assert sketcher.shown(FACE_ON)[-1].pen is Pen.SECOND
    steps.undo()
    assert sketcher.shown(FACE_ON)[-1] == LINE
    drag(sketcher, (0.1, 0.5), (0.4, 0.5))
    assert sketcher.shown(FACE_ON)[-1].pen is Pen.SECOND


def test_clear_takes_everything_and_one_step_brings_it_back(
    sketcher: Sketcher, library: Library, filled: Filled, steps: UndoList
) -> None:
    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.4, 0.1))
    sketcher.keep_in(Kept.VIEW)
    drag(sketcher, (0.1, 0.5), (0.4, 0.5), view=View.DOWN_THE_LINE)
    drawn = kept_with(library, filled), kept_on(library, filled)

    sketcher.clear()

    assert (kept_with(library, filled), kept_on(library, filled)) == ((), ())
    assert not sketcher.has_drawings
    steps.undo()
    assert (kept_with(library, filled), kept_on(library, filled)) == drawn


def test_clearing_an_empty_picture_is_no_step(sketcher: Sketcher, steps: UndoList) -> None:
    sketcher.clear()
    words = steps.undo_words

    sketcher.clear()

    assert steps.undo_words == words


def test_a_pointer_that_does_not_draw_is_left_to_others(sketcher: Sketcher) -> None:
    before = sketcher.shown(FACE_ON)

    assert not sketcher.press(CELL, at(0.1, 0.1))
    assert not sketcher.move(CELL, at(0.3, 0.3))
    assert not sketcher.release(CELL, at(0.3, 0.3))
    assert sketcher.shown(FACE_ON) == before


def test_leaving_gives_up_one_thing_at_a_time(sketcher: Sketcher) -> None:
    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.4, 0.1))

    assert (sketcher.leave(), sketcher.chosen, sketcher.is_on) == (True, None, True)
    click(sketcher, 0.6, 0.6)
    sketcher.move(CELL, at(0.7, 0.7))
    assert len(sketcher.shown(FACE_ON)) == 2
    assert (sketcher.leave(), sketcher.shown(FACE_ON)) == (True, (LINE,))
    assert (sketcher.leave(), sketcher.is_on) == (True, False)
    assert not sketcher.leave()


def test_a_step_of_another_swing_changes_that_swing_and_not_the_picture(
    sketcher: Sketcher, library: Library, filled: Filled, steps: UndoList
) -> None:
    before = kept_with(library, filled)
    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.4, 0.1))
    sketcher.look_at(None, None)

    steps.undo()

    assert kept_with(library, filled) == before
    assert sketcher.shown(FACE_ON) == ()


def test_what_can_not_be_written_is_not_shown_and_is_no_step(
    sketcher: Sketcher, library: Library, filled: Filled, steps: UndoList
) -> None:
    other = library.add_lesson(replace(filled.lesson, id=LessonId(new_id())))
    sketcher.look_at(library.swing(filled.swing.id), other)
    library.delete_lesson(other.id)
    sketcher.keep_in(Kept.VIEW)
    sketcher.use(Shape.LINE)

    with pytest.raises(NotFoundError):
        drag(sketcher, (0.1, 0.1), (0.4, 0.1))

    assert LINE not in sketcher.shown(FACE_ON)
    assert steps.undo_words == ""
    assert kept_with(library, filled) == filled.swing.book.drawings


def test_who_looks_is_told_of_each_change(sketcher: Sketcher) -> None:
    told: list[int] = []
    sketcher.changed.tell(lambda: told.append(len(sketcher.shown(FACE_ON))))
    before = len(sketcher.shown(FACE_ON))

    sketcher.use(Shape.LINE)
    drag(sketcher, (0.1, 0.1), (0.2, 0.2), (0.4, 0.1))

    assert told[0] == before
    assert told[-1] == before + 1


def test_the_earlier_swing_s_picture_is_not_drawn_on(sketcher: Sketcher) -> None:
    sketcher.use(Shape.LINE)

    assert not sketcher.press((Side.THEN, FACE_ON), at(0.1, 0.1))
    assert sketcher.shown(FACE_ON) == ()
