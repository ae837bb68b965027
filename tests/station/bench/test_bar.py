"""What the bar shows of the state."""

from __future__ import annotations

import pytest

from capturestation.records import Moment, View
from capturestation.station.bench.bar import AFTER_NS, BEFORE_NS, bar_state, place_words, span_of
from capturestation.station.bench.state import BenchState
from tests.helpers.seen_swings import MS, even_frames, seen_swing, then_swing


@pytest.fixture
def state() -> BenchState:
    made = BenchState()
    made.open_now(seen_swing(frames={View.FACE_ON: even_frames(start_ms=-6000, frames=2400)}))
    return made


def test_the_bar_shows_the_swing_where_its_ends_are_known() -> None:
    state = BenchState()
    times = {Moment.CLUB_STARTS: -900, Moment.FINISH: 700}
    frames = {View.FACE_ON: even_frames(start_ms=-6000, frames=2400)}
    state.open_now(seen_swing(frames=frames, moments_ms=times))

    assert span_of(state) == (-900 * MS - BEFORE_NS, 700 * MS + AFTER_NS)


def test_whoever_goes_beyond_the_swing_sees_all_that_was_recorded(state: BenchState) -> None:
    state.transport.home()

    assert span_of(state) == (state.transport.first_ns, state.transport.last_ns)


def test_moments_stand_in_order_of_time_with_impact_among_them(state: BenchState) -> None:
    moments = [one.moment for one in bar_state(state).moments]

    assert moments == [Moment.CLUB_STARTS, Moment.TOP, Moment.IMPACT, Moment.SHAFT_LEVEL_THROUGH]


def test_a_held_moment_stands_where_the_hand_is(state: BenchState) -> None:
    shown = bar_state(state, held=Moment.TOP, held_ns=-300 * MS)

    top = next(one for one in shown.moments if one.moment is Moment.TOP)
    assert (top.at_ns, shown.chosen) == (-300 * MS, Moment.TOP)


def test_the_earlier_swing_s_moments_stand_where_they_are_shown_today(state: BenchState) -> None:
    state.open_then(then_swing())

    assert bar_state(state).then_ns == tuple(one.at_ns for one in bar_state(state).moments)


def test_a_nudged_earlier_swing_shows_its_moments_moved(state: BenchState) -> None:
    state.open_then(then_swing(shift_ms=0))
    state.set_nudge_ns(5 * MS)

    assert -5 * MS in bar_state(state).then_ns


def test_the_moment_on_which_we_stand_is_named(state: BenchState) -> None:
    state.transport.drag(-250 * MS)
    at_top = place_words(state)
    state.transport.drag(-100 * MS)

    assert (at_top, place_words(state)) == (
        "top, 0.250 s before impact",
        "0.100 s before impact",
    )
