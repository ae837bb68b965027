"""Position and movement on today's clock, with a clock that the test turns."""

from __future__ import annotations

import itertools
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.records import NS_PER_S, View
from capturestation.station.bench.transport import (
    FASTEST,
    SHORTEST_LOOP_NS,
    SLOWEST,
    Transport,
    stops_of,
)
from capturestation.timing.frames import nearest_frame
from tests.helpers.made_swings import MS

TICK_NS = 16 * MS


@pytest.fixture
def transport() -> Transport:
    made = Transport()
    made.load(np.arange(-100, 101, dtype=np.int64) * 10 * MS)
    return made


def test_it_begins_at_impact(transport: Transport) -> None:
    assert (transport.at_ns, transport.is_playing) == (0, False)


def test_a_step_goes_to_the_next_and_the_one_before(transport: Transport) -> None:
    transport.step(1)
    after = transport.at_ns
    transport.step(-2)

    assert (after, transport.at_ns) == (10 * MS, -10 * MS)


def test_a_step_from_between_two_frames_goes_to_the_nearer_side(transport: Transport) -> None:
    transport.drag(13 * MS)
    transport.step(1)
    on = transport.at_ns
    transport.drag(13 * MS)
    transport.step(-1)

    assert (on, transport.at_ns) == (20 * MS, 10 * MS)


def test_steps_end_at_the_first_and_the_last_frame(transport: Transport) -> None:
    transport.step(1000)
    last = transport.at_ns
    transport.step(-5000)

    assert (last, transport.at_ns) == (transport.last_ns, transport.first_ns)


@given(
    st.lists(st.integers(1, 40), min_size=2, max_size=40),
    st.lists(st.integers(1, 40), min_size=2, max_size=40),
    st.integers(-50, 50),
)
def test_every_step_shows_another_set_and_no_set_is_left_out(
    gaps_a: list[int], gaps_b: list[int], shift: int
) -> None:
    a, b = np.cumsum(gaps_a), np.cumsum(gaps_b) + shift
    times = {View.FACE_ON: a.astype(np.int64), View.DOWN_THE_LINE: b.astype(np.int64)}

    stops = stops_of(times)

    shown = list(zip(nearest_frame(a, stops), nearest_frame(b, stops), strict=True))
    union = np.union1d(a, b)
    every = list(zip(nearest_frame(a, union), nearest_frame(b, union), strict=True))
    assert all(one != other for one, other in itertools.pairwise(shown))
    assert set(shown) == set(every)


def test_two_cameras_of_one_rate_make_one_stop_a_frame() -> None:
    frames = np.arange(100, dtype=np.int64) * 1000

    stops = stops_of({View.FACE_ON: frames, View.DOWN_THE_LINE: frames + 300})

    assert stops.tolist() == frames.tolist()


def test_playing_follows_the_host_clock_at_the_chosen_speed(transport: Transport) -> None:
    transport.set_speed(Fraction(1, 8))
    transport.forward()

    for host_ns in range(0, 800 * MS + 1, TICK_NS):
        transport.tick(host_ns)

    assert transport.at_ns == 100 * MS


def test_a_change_of_speed_while_playing_leaves_no_jump(transport: Transport) -> None:
    transport.set_speed(Fraction(1, 2))
    transport.forward()
    transport.tick(0)
    transport.tick(100 * MS)
    before = transport.at_ns
    transport.slower()
    transport.tick(200 * MS)
    transport.tick(300 * MS)

    assert (before, transport.at_ns) == (50 * MS, 75 * MS)


def test_playing_ends_at_the_last_frame(transport: Transport) -> None:
    transport.set_speed(FASTEST)
    transport.forward()
    transport.tick(0)
    transport.tick(5 * NS_PER_S)

    assert (transport.at_ns, transport.is_playing) == (transport.last_ns, False)


def test_playing_from_the_end_begins_anew(transport: Transport) -> None:
    transport.end()
    transport.play_or_stop()

    assert (transport.at_ns, transport.direction) == (transport.first_ns, 1)


def test_playing_back_ends_at_the_first_frame(transport: Transport) -> None:
    transport.set_speed(FASTEST)
    transport.back()
    transport.tick(0)
    transport.tick(5 * NS_PER_S)

    assert (transport.at_ns, transport.is_playing) == (transport.first_ns, False)


def test_forward_again_is_faster_up_to_real_speed(transport: Transport) -> None:
    speeds = []
    for _ in range(4):
        transport.forward()
        speeds.append(transport.speed)

    assert speeds == [Fraction(1, 4), Fraction(1, 2), Fraction(1), Fraction(1)]


def test_back_while_forward_turns_round_at_the_same_speed(transport: Transport) -> None:
    transport.forward()
    transport.back()

    assert (transport.direction, transport.speed) == (-1, Fraction(1, 4))


def test_speed_stays_between_a_sixteenth_and_real(transport: Transport) -> None:
    for _ in range(9):
        transport.slower()
    slowest = transport.speed
    for _ in range(9):
        transport.faster()

    assert (slowest, transport.speed) == (SLOWEST, FASTEST)


@given(st.integers(1, 400), st.sampled_from([-1, 1]), st.integers(1, 60))
def test_a_loop_is_never_left(tick_ms: int, direction: int, ticks: int) -> None:
    transport = Transport()
    transport.load(np.arange(-100, 101, dtype=np.int64) * 10 * MS)
    transport.set_speed(FASTEST)
    transport.set_loop(-200 * MS, 100 * MS)
    transport.forward() if direction > 0 else transport.back()
    seen = []
    for tick in range(ticks):
        transport.tick(tick * tick_ms * MS)
        seen.append(transport.at_ns)

    assert all(-200 * MS <= at <= 100 * MS for at in seen)
    assert transport.is_playing


def test_a_loop_goes_on_at_its_other_end_without_losing_time(transport: Transport) -> None:
    transport.set_speed(FASTEST)
    transport.set_loop(0, 100 * MS)
    transport.forward()
    transport.tick(0)
    transport.tick(130 * MS)

    assert transport.at_ns == 30 * MS


def test_too_short_a_loop_is_made_longer(transport: Transport) -> None:
    transport.set_loop(5 * MS, 5 * MS)

    assert transport.loop is not None
    assert transport.loop[1] - transport.loop[0] >= SHORTEST_LOOP_NS


def test_moments_are_reached_one_by_one(transport: Transport) -> None:
    transport.set_moments((300 * MS, -400 * MS, 0))
    transport.next_moment(-1)
    before = transport.at_ns
    transport.next_moment(1)
    transport.next_moment(1)
    last = transport.at_ns
    transport.next_moment(1)

    assert (before, last, transport.at_ns) == (-400 * MS, 300 * MS, 300 * MS)


def test_a_hand_that_drags_ends_playing(transport: Transport) -> None:
    transport.forward()
    transport.drag(50 * MS)
    transport.tick(0)
    transport.tick(NS_PER_S)

    assert (transport.at_ns, transport.is_playing) == (50 * MS, False)


def test_what_comes_next_is_foreseen_in_the_direction_of_travel(transport: Transport) -> None:
    transport.step(-1)
    back = transport.ahead(2, TICK_NS)
    transport.drag(transport.at_ns + 20 * MS)
    dragged = transport.ahead(2, TICK_NS)
    transport.set_speed(FASTEST)
    transport.forward()
    playing = transport.ahead(2, TICK_NS)

    assert back == (-20 * MS, -30 * MS)
    assert dragged == (30 * MS, 50 * MS)
    assert playing == (10 * MS + TICK_NS, 10 * MS + 2 * TICK_NS)


def test_a_jump_is_known_as_one(transport: Transport) -> None:
    transport.drag(500 * MS)
    jumped = transport.has_jumped
    transport.drag(510 * MS)

    assert (jumped, transport.has_jumped) == (True, False)


def test_moved_is_told_only_when_it_moved(transport: Transport) -> None:
    told: list[int] = []
    transport.moved.tell(lambda: told.append(transport.at_ns))

    transport.go(0)
    transport.go(10 * MS)

    assert told == [10 * MS]
