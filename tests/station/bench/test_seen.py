"""Which frame stands for a time, and how far the views are apart."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from capturestation.records import Moment, View
from capturestation.station.bench.seen import apart_ns, beyond, nearest_one
from capturestation.timing.frames import nearest_frame
from tests.helpers.seen_swings import FRAME_NS, MS, even_frames, seen_swing


@given(st.lists(st.integers(1, 9), min_size=1, max_size=30), st.integers(-20, 300))
def test_one_time_gives_the_same_frame_as_many(gaps: list[int], at_ns: int) -> None:
    times = np.cumsum(gaps).astype(np.int64)

    assert nearest_one(times, at_ns) == int(nearest_frame(times, np.array([at_ns]))[0])


def test_a_recording_is_left_a_frame_s_time_past_its_ends() -> None:
    times = np.array([0, 10, 30], np.int64)

    told = [beyond(times, at_ns) for at_ns in (-11, -10, 15, 50, 51)]

    assert told == [-1, 0, 0, 0, 1]


def test_what_is_shown_says_its_own_time() -> None:
    seen = seen_swing(frames={View.FACE_ON: even_frames()})

    shown = seen.shown(View.FACE_ON, 1 * MS)

    assert (shown.ordinal, shown.at_ns, shown.asked_ns, shown.beyond) == (240, 0, 1 * MS, 0)


def test_views_are_as_far_apart_as_their_frames() -> None:
    seen = seen_swing(
        frames={View.FACE_ON: even_frames(), View.DOWN_THE_LINE: even_frames(start_ms=-998.5)}
    )

    apart = apart_ns({view: seen.shown(view, 0) for view in seen.frames})

    assert apart == round(1.5 * MS)


def test_a_view_that_has_ended_is_not_counted_as_apart() -> None:
    frames = {View.FACE_ON: even_frames(), View.DOWN_THE_LINE: even_frames(frames=200)}
    seen = seen_swing(frames=frames)
    end_ns = int(frames[View.DOWN_THE_LINE].times_ns[-1])

    shown = {view: seen.shown(view, end_ns + 3 * FRAME_NS) for view in frames}

    assert shown[View.DOWN_THE_LINE].beyond == 1
    assert apart_ns(shown) is None


def test_impact_is_a_moment_of_every_swing() -> None:
    seen = seen_swing(moments_ms={Moment.TOP: -250})

    assert seen.moments_ns == {Moment.TOP: -250 * MS, Moment.IMPACT: 0}
