"""What stands on the Bench, without any window."""

from __future__ import annotations

from dataclasses import replace

import pytest

from capturestation.drawing.grid import Side
from capturestation.errors import ComparisonRefusedError
from capturestation.records import Box, Moment, Point, View, hand_mark
from capturestation.station.bench.state import (
    LEAST_OPACITY,
    MOST_OPACITY,
    Arrangement,
    BenchState,
)
from capturestation.station.laying import Nudge
from tests.helpers.seen_swings import MS, even_frames, seen_swing, then_swing

FACE, LINE = View.FACE_ON, View.DOWN_THE_LINE


@pytest.fixture
def state() -> BenchState:
    made = BenchState()
    made.open_now(seen_swing())
    return made


def test_both_angles_of_a_swing_stand_side_by_side(state: BenchState) -> None:
    assert state.rows[0] == (((Side.NOW, FACE), (Side.NOW, LINE)),)


def test_one_angle_alone_is_a_whole_bench() -> None:
    state = BenchState()
    state.open_now(seen_swing(frames={LINE: even_frames()}))
    state.next_angle()

    assert state.rows[0] == (((Side.NOW, LINE),),)
    assert state.apart_ns(Side.NOW) is None


def test_the_earlier_swing_stands_before_today(state: BenchState) -> None:
    state.open_then(then_swing())

    assert state.rows[1] == (
        ((Side.THEN, FACE), (Side.NOW, FACE), (Side.THEN, LINE), (Side.NOW, LINE)),
    )


def test_laid_over_it_takes_no_field_of_its_own(state: BenchState) -> None:
    state.open_then(then_swing())
    state.arrange(Arrangement.OVER)

    assert state.rows[0] == (((Side.NOW, FACE), (Side.NOW, LINE)),)


def test_angles_are_gone_through_and_come_back_to_all(state: BenchState) -> None:
    seen = []
    for _ in range(3):
        state.next_angle()
        seen.append(state.alone)

    assert seen == [FACE, LINE, None]


def test_both_stand_at_the_same_moment(state: BenchState) -> None:
    state.open_then(then_swing(shift_ms=-20))
    state.transport.drag(-250 * MS)

    assert state.at_ns(Side.THEN) == -270 * MS


def test_at_one_moment_both_run_at_real_speed(state: BenchState) -> None:
    state.open_then(then_swing(shift_ms=-20))
    state.match(Moment.IMPACT)
    state.transport.drag(-250 * MS)

    assert state.at_ns(Side.THEN) == -250 * MS


def test_a_moment_that_one_has_not_is_refused_and_nothing_changes(state: BenchState) -> None:
    state.open_then(then_swing())
    before = state.time_map

    with pytest.raises(ComparisonRefusedError):
        state.match(Moment.FINISH)

    assert state.match_at is None
    assert state.time_map == before


def test_a_nudge_in_time_is_the_earlier_swing_s_own(state: BenchState) -> None:
    state.open_then(then_swing(shift_ms=0))
    state.set_nudge_ns(7 * MS)

    assert state.at_ns(Side.THEN) - state.at_ns(Side.NOW) == 7 * MS
    shown = state.shown((Side.THEN, FACE))
    assert shown is not None
    assert shown.asked_ns == 7 * MS


def test_another_swing_takes_the_earlier_one_and_its_nudges_away(state: BenchState) -> None:
    state.open_then(then_swing())
    state.set_nudge_ns(7 * MS)
    state.set_nudge(FACE, Nudge(dx=0.1))

    state.open_now(seen_swing("other"))

    assert (state.then, state.nudge_ns, state.nudge(FACE)) == (None, 0, Nudge())
    assert state.time_map is None


def test_a_moved_moment_lays_the_two_together_anew(state: BenchState) -> None:
    state.open_then(then_swing(shift_ms=-20))
    assert state.now is not None
    book = state.now.swing.book
    marks = tuple(m for m in book.marks if m.moment is not Moment.TOP)
    moved = replace(book, marks=(*marks, hand_mark(Moment.TOP, -300 * MS)))

    state.take_swing(replace(state.now.swing, book=moved))
    state.transport.drag(-300 * MS)

    assert state.at_ns(Side.THEN) == -270 * MS
    assert -300 * MS in state.transport.moments_ns


def test_linked_views_are_zoomed_together(state: BenchState) -> None:
    state.zoom((Side.NOW, FACE), 2.0, Point(x=0.5, y=0.5))

    assert state.framing((Side.NOW, LINE)).zoom == 2.0


def test_unlinked_views_are_zoomed_alone_but_with_their_earlier_self(state: BenchState) -> None:
    state.link(is_linked=False)
    state.zoom((Side.NOW, FACE), 2.0, Point(x=0.5, y=0.5))

    assert state.framing((Side.NOW, LINE)).zoom == 1.0
    assert state.framing((Side.THEN, FACE)).zoom == 2.0


def test_fit_keeps_flip_and_turn(state: BenchState) -> None:
    cell = (Side.NOW, FACE)
    state.set_framing(cell, replace(state.framing(cell), is_flipped=True).turned(90))
    state.zoom(cell, 3.0, Point(x=0.2, y=0.2))
    state.fit()

    framing = state.framing(cell)
    assert (framing.zoom, framing.x, framing.is_flipped, framing.turn_deg) == (1.0, 0.5, True, 90)


def test_opacity_never_hides_one_of_the_two(state: BenchState) -> None:
    state.set_opacity(0.0)
    least = state.opacity
    state.set_opacity(1.0)

    assert (least, state.opacity) == (LEAST_OPACITY, MOST_OPACITY)


def test_a_cleared_bench_shows_nothing(state: BenchState) -> None:
    state.close()

    assert (state.views, state.now, state.transport.at_ns) == ((), None, 0)


def test_where_room_is_short_angles_stand_one_after_the_other(state: BenchState) -> None:
    state.open_then(then_swing())
    state.give_room(3)
    first = state.views
    state.next_angle()
    second = state.views
    state.next_angle()

    assert (first, second, state.views) == ((FACE,), (LINE,), (FACE,))
    assert state.alone is None


@pytest.mark.parametrize("arrangement", list(Arrangement))
def test_room_for_four_or_no_earlier_swing_shows_all_angles(
    state: BenchState, arrangement: Arrangement
) -> None:
    state.arrange(arrangement)
    state.give_room(2)
    alone = state.views
    state.open_then(then_swing())
    both = state.views
    state.give_room(4)

    assert (alone, both, state.views) == ((FACE, LINE), (FACE,), (FACE, LINE))


def test_an_angle_chosen_alone_stays_in_front_where_room_becomes_short(state: BenchState) -> None:
    state.show_alone(LINE)
    state.give_room(1)
    before = state.views
    state.next_angle()

    assert (before, state.views, state.alone) == ((LINE,), (FACE,), None)


def test_the_same_room_tells_nothing(state: BenchState) -> None:
    state.give_room(2)
    told: list[None] = []
    state.changed.tell(lambda: told.append(None))
    state.give_room(2)

    assert told == []


REACHED = Box(left=0.2, top=0.1, right=0.6, bottom=0.9)


def test_pictures_rest_where_golfer_and_club_are(state: BenchState) -> None:
    state.show_boxes({FACE: REACHED})
    face, line = (state.framing((Side.NOW, view)) for view in (FACE, LINE))

    assert (face.x, face.y, face.zoom) == (0.4, 0.5, 1.0)
    assert (line.x, line.y) == (0.5, 0.5)


def test_fit_goes_back_there(state: BenchState) -> None:
    state.show_boxes({FACE: REACHED})
    state.zoom((Side.NOW, FACE), 2.0, Point(x=0.9, y=0.9))
    state.fit()

    framing = state.framing((Side.NOW, FACE))
    assert (framing.x, framing.y, framing.zoom) == (0.4, 0.5, 1.0)


@pytest.mark.parametrize(
    ("new", "changes"),
    [
        (Box(left=0.21, top=0.1, right=0.6, bottom=0.88), False),
        (Box(left=0.15, top=0.1, right=0.6, bottom=0.9), True),
        (Box(left=0.3, top=0.2, right=0.5, bottom=0.8), True),
    ],
)
def test_a_cut_that_suits_the_next_swing_stays(state: BenchState, new: Box, changes: bool) -> None:
    state.show_boxes({FACE: REACHED})
    state.show_boxes({FACE: new})

    assert state.boxes == {FACE: new if changes else REACHED}
