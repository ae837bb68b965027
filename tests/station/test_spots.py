"""Ball, corners and stance: pointed out, found, taken over from the ball before, and taken back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from capturestation.drawing.grid import Side
from capturestation.errors import CancelledError, NotFoundError
from capturestation.library import Library
from capturestation.records import (
    PLACE_SPOTS,
    STANCE_SPOTS,
    MarkSource,
    Point,
    Quiet,
    Spot,
    SpotMark,
    StopAfter,
    Swing,
    View,
)
from capturestation.station.keeping import at_once
from capturestation.station.spots import Spots, find_balls, proposed_for
from capturestation.station.undo import UndoList
from tests.helpers.station_library import Filled

FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
NOW = (Side.NOW, FACE_ON)
BALL = Spot.BALL
HERE, THERE = Point(x=0.5, y=0.9), Point(x=0.55, y=0.88)
BALL_PX = (86, 82)


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        yield opened


@pytest.fixture
def steps() -> UndoList:
    return UndoList()


@pytest.fixture
def spots(library: Library, filled: Filled, steps: UndoList) -> Spots:
    made = Spots(library, steps, at_once)
    made.look_at(library.swing(filled.today.id), library.swing(filled.best.id))
    return made


def hand(at: Point = HERE, spot: Spot = BALL, view: View = FACE_ON) -> SpotMark:
    return SpotMark(view=view, spot=spot, at=at)


def kept(library: Library, swing: Swing) -> tuple[SpotMark, ...]:
    return library.swing(swing.id).book.spots


def test_a_spot_is_pointed_out_where_the_pointer_goes_up_and_taken_back(
    spots: Spots, library: Library, filled: Filled, steps: UndoList
) -> None:
    spots.want(Side.NOW, BALL)
    taken = [spots.press(NOW, THERE), spots.move(NOW, HERE), spots.release(NOW, HERE)]

    assert taken == [True] * 3
    assert kept(library, filled.today) == (hand(),)
    assert spots.of(Side.NOW, FACE_ON) == {BALL: HERE}
    assert steps.undo_words == "point out the ball"
    steps.undo()
    assert kept(library, filled.today) == ()
    assert spots.of(Side.NOW, FACE_ON) == {}
    steps.redo()
    assert kept(library, filled.today) == (hand(),)


def test_pointing_again_moves_it_and_taking_back_moves_it_there_again(
    spots: Spots, library: Library, filled: Filled, steps: UndoList
) -> None:
    spots.point_out(Side.NOW, FACE_ON, BALL, HERE)
    spots.point_out(Side.NOW, FACE_ON, BALL, THERE)

    assert kept(library, filled.today) == (hand(THERE),)
    steps.undo()
    assert kept(library, filled.today) == (hand(HERE),)


def test_a_picture_in_which_nothing_is_asked_for_is_left_to_others(
    spots: Spots, library: Library, filled: Filled
) -> None:
    assert not spots.press(NOW, HERE)
    spots.want(Side.THEN, BALL)
    assert not spots.press(NOW, HERE)
    assert not spots.release(NOW, HERE)
    assert kept(library, filled.today) == ()


def test_what_is_missing_is_asked_for_in_turn_in_both_swings(spots: Spots) -> None:
    seen = []
    for _ in range(7):
        spots.want_next()
        seen.append(spots.wanted)

    asked = [(side, spot) for spot in PLACE_SPOTS for side in Side]
    assert seen == [*asked, None]


def test_the_next_is_asked_for_once_every_shown_angle_has_this_one(spots: Spots) -> None:
    spots.want_next()
    asked = [spots.wanted]
    for view in (FACE_ON, BEHIND):
        spots.press((Side.NOW, view), HERE)
        spots.release((Side.NOW, view), HERE)
        asked.append(spots.wanted)
    spots.views = (FACE_ON,)
    spots.press((Side.THEN, FACE_ON), HERE)
    spots.release((Side.THEN, FACE_ON), HERE)
    asked.append(spots.wanted)

    assert asked == [
        (Side.NOW, BALL),
        (Side.NOW, BALL),
        (Side.THEN, BALL),
        (Side.NOW, Spot.MAT_CORNER),
    ]


def test_the_stance_is_asked_for_by_itself_and_begins_anew_from_the_place(spots: Spots) -> None:
    spots.want_next()
    asked = []
    for _ in range(7):
        spots.want_next(STANCE_SPOTS)
        asked.append(spots.wanted)

    assert asked == [*((side, spot) for spot in STANCE_SPOTS for side in Side), None]


def test_where_nothing_is_missing_the_ball_can_be_put_right(spots: Spots) -> None:
    spots.views = (FACE_ON,)
    for side in Side:
        for spot in Spot:
            spots.point_out(side, FACE_ON, spot, HERE)

    spots.want_next()
    spots.press(NOW, THERE)
    spots.release(NOW, THERE)

    assert spots.of(Side.NOW, FACE_ON)[BALL] == THERE
    assert spots.wanted == (Side.NOW, BALL)
    spots.want_next()
    assert spots.wanted is None


def test_without_an_earlier_swing_only_today_s_is_asked_for(
    spots: Spots, library: Library, filled: Filled
) -> None:
    spots.want(Side.THEN, BALL)
    spots.look_at(library.swing(filled.today.id), None)

    assert spots.wanted is None
    spots.want(Side.THEN, BALL)
    assert spots.wanted is None
    assert spots.placing(FACE_ON) is None


def test_a_spot_in_both_lays_the_pictures_over_one_another(spots: Spots) -> None:
    spots.point_out(Side.NOW, FACE_ON, BALL, HERE)
    before = spots.placing(FACE_ON)
    spots.point_out(Side.THEN, FACE_ON, BALL, THERE)

    after = spots.placing(FACE_ON)
    assert before is not None
    assert after is not None
    assert before.by == ()
    assert after.by == (BALL,)
    assert after.said == "Laid over by ball alone, as large as filmed."


def test_a_hand_s_place_that_is_forgotten_lets_the_found_one_count(
    spots: Spots, library: Library, filled: Filled, steps: UndoList
) -> None:
    found = replace(hand(THERE), source=MarkSource.FOUND)
    library.change_book(filled.today.id, lambda book: replace(book, spots=(found, hand())))
    spots.look_at(library.swing(filled.today.id), None)

    spots.forget(Side.NOW, FACE_ON, BALL)

    assert spots.of(Side.NOW, FACE_ON) == {BALL: THERE}
    steps.undo()
    assert spots.of(Side.NOW, FACE_ON) == {BALL: HERE}
    assert set(kept(library, filled.today)) == {found, hand()}


def test_forgetting_what_no_hand_said_is_no_step(spots: Spots, steps: UndoList) -> None:
    spots.forget(Side.NOW, FACE_ON, BALL)

    assert steps.undo_words == ""


def test_what_the_swing_before_said_is_proposed_and_taken_over_in_one_step(
    spots: Spots, library: Library, filled: Filled, steps: UndoList
) -> None:
    feet = (hand(HERE, Spot.LEAD_FOOT), hand(THERE, Spot.TRAIL_FOOT, BEHIND))
    known = replace(hand(THERE), source=MarkSource.FOUND)
    before = library.change_book(filled.best.id, lambda book: replace(book, spots=(hand(), *feet)))
    now = library.change_book(filled.today.id, lambda book: replace(book, spots=(known,)))
    spots.look_at(now, before)

    proposed = proposed_for(now, library.swings(now.book.lesson_id))
    spots.accept(Side.NOW, proposed)

    assert proposed == feet
    assert set(kept(library, filled.today)) == {known, *feet}
    steps.undo()
    assert kept(library, filled.today) == (known,)


def test_nothing_is_proposed_from_a_later_swing_another_lesson_or_another_camera(
    library: Library, filled: Filled
) -> None:
    early, late = library.swing(filled.best.id), library.swing(filled.today.id)
    late = replace(late, book=replace(late.book, spots=(hand(),)))
    moved = replace(
        early.facts,
        recordings=tuple(replace(r, width_px=r.width_px * 2) for r in early.facts.recordings),
    )
    marked = replace(early, facts=moved, book=replace(early.book, spots=(hand(),)))

    assert proposed_for(early, [early, late]) == ()
    assert proposed_for(late, [marked]) == ()
    bare = replace(late, book=replace(late.book, spots=()))
    assert proposed_for(bare, [marked]) == ()


def test_the_ball_is_found_where_it_lies_and_a_hand_s_place_stays(
    library: Library, filled: Filled
) -> None:
    library.change_book(filled.today.id, lambda book: replace(book, spots=(hand(HERE),)))

    swing = find_balls(library, library.swing(filled.today.id), Quiet())

    found = {m.view: m for m in swing.book.spots if m.source is MarkSource.FOUND}
    assert set(found) == {FACE_ON, BEHIND}
    for view, mark in found.items():
        recording = swing.recording(view)
        assert recording is not None
        x_px = mark.at.x * recording.width_px - 0.5
        y_px = mark.at.y * recording.height_px - 0.5
        assert (x_px, y_px) == pytest.approx(BALL_PX, abs=0.2)
    assert hand(HERE) in swing.book.spots
    again = find_balls(library, swing, Quiet())
    assert again.book.spots == swing.book.spots


def test_a_search_that_is_stopped_changes_nothing(library: Library, filled: Filled) -> None:
    before = library.swing(filled.today.id)

    with pytest.raises(CancelledError):
        find_balls(library, before, StopAfter(0.4))

    assert library.swing(filled.today.id) == before


def test_what_can_not_be_written_is_not_shown(
    spots: Spots, library: Library, filled: Filled, steps: UndoList
) -> None:
    library.delete_swing(filled.today.id)

    with pytest.raises(NotFoundError):
        spots.point_out(Side.NOW, FACE_ON, BALL, HERE)

    assert spots.of(Side.NOW, FACE_ON) == {}
    assert steps.undo_words == ""
