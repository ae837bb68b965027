"""Sound and picture weighed against each other."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import hypot

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.errors import TimingRefusedError
from capturestation.records import Sync, SyncSource, View
from capturestation.timing.air import Microphone
from capturestation.timing.ball import BallBracket
from capturestation.timing.delay import KnownDelay, intersect_delays
from capturestation.timing.heard import UNKNOWN_DELAY_U_NS, Shutter, listen_window
from capturestation.timing.launch import Launch
from capturestation.timing.strike import Onset
from capturestation.timing.sync import by_hand, place_zero, played_slower

MS = 1_000_000
FRAME_NS = 8_333_333
NEAR = Microphone(distance_m=0.0, u_distance_m=0.1)
SHUTTER = Shutter(frame_ns=FRAME_NS, exposure_ns=1 * MS, readout_ns=0)


def onset(at_ms: float, *, score: float = 25.0, after_ns: int | None = None) -> Onset:
    return Onset(
        arrival_ns=round(at_ms * MS),
        u_ns=40_000,
        snr_db=score,
        peak=0.5,
        sharpness=0.8,
        score=score,
        after_ns=after_ns,
    )


def bracket(middle_ms: float, frame_ns: int = FRAME_NS) -> BallBracket:
    middle = round(middle_ms * MS)
    return BallBracket(
        last_with_ns=middle - frame_ns // 2, first_without_ns=middle + frame_ns // 2, confidence=1.0
    )


def placed(
    *onsets: Onset,
    ball: BallBracket | None,
    shutter: Shutter = SHUTTER,
    microphone: Microphone = NEAR,
    known_delay: KnownDelay | None = None,
    launch: Launch | None = None,
) -> Sync:
    return place_zero(
        view=View.FACE_ON,
        onsets=onsets,
        bracket=ball,
        shutter=shutter,
        microphone=microphone,
        known_delay=known_delay,
        launch=launch,
    )


def test_sound_inside_the_bracket_decides_and_is_not_moved() -> None:
    sync = placed(onset(1000.0), ball=bracket(1002.0))

    assert sync.source is SyncSource.SOUND
    assert sync.swing_minus_media_ns == -1000 * MS
    assert sync.picture_minus_sound_ns == 0
    assert (sync.last_with_ns, sync.first_without_ns) == (997_833_334, 1_006_166_666)
    assert "between the last frame with the ball" in sync.said


def test_the_way_through_the_air_is_taken_off() -> None:
    far = Microphone(distance_m=3.0, u_distance_m=0.1)

    sync = placed(onset(1008.72), ball=bracket(1000.0), microphone=far)

    assert sync.sound_ns == pytest.approx(1000 * MS, abs=MS // 10)
    assert sync.swing_minus_media_ns == -(sync.sound_ns or 0)


def test_parts_are_named_and_add_up_in_quadrature() -> None:
    sync = placed(onset(1000.0), ball=bracket(1001.0))

    assert sync.u_ns == pytest.approx(hypot(*(part.u_ns for part in sync.parts)), abs=1)
    causes = {part.cause for part in sync.parts}
    assert {"strike in the sound", "distance to the microphone", "exposure"} <= causes


@pytest.mark.parametrize("late_ms", [-58.0, -20.0, 10.0, 43.0, 58.0])
def test_a_device_whose_sound_is_off_is_corrected_by_the_picture(late_ms: float) -> None:
    sync = placed(onset(1000.0), ball=bracket(1000.0 + late_ms))

    assert sync.source is SyncSource.PICTURE
    assert sync.swing_minus_media_ns == -round((1000.0 + late_ms) * MS)
    assert sync.picture_minus_sound_ns == round(late_ms * MS)
    assert sync.u_ns == pytest.approx(FRAME_NS / 2 / 3**0.5, rel=0.03)
    assert f"{abs(late_ms):.0f} ms {'after' if late_ms > 0 else 'before'}" in sync.said


def test_at_thirty_hertz_three_frames_are_the_limit_and_not_sixty_milliseconds() -> None:
    slow = Shutter(frame_ns=33_333_333)

    sync = placed(onset(1000.0), ball=bracket(1090.0, 33_333_332), shutter=slow)

    assert sync.source is SyncSource.PICTURE


@pytest.mark.parametrize("late_ms", [-300.0, -61.0, 61.0, 180.0])
def test_sound_that_does_not_belong_to_the_picture_is_refused(late_ms: float) -> None:
    with pytest.raises(TimingRefusedError) as refused:
        placed(onset(1000.0), ball=bracket(1000.0 + late_ms))

    assert "1.000 s" in refused.value.what
    assert f"{1.0 + late_ms / 1000:.3f} s" in refused.value.what
    assert "by hand" in refused.value.try_next


def test_the_burst_that_fits_the_picture_is_chosen_over_a_louder_one() -> None:
    sync = placed(onset(700.0, score=30.0), onset(1001.0, score=22.0), ball=bracket(1000.0))

    assert sync.sound_ns == 1001 * MS
    assert sync.source is SyncSource.SOUND


def test_an_echo_that_happens_to_fit_the_picture_is_not_the_strike() -> None:
    echo = onset(1040.0, score=9.0, after_ns=1000 * MS)

    sync = placed(onset(1000.0), echo, ball=bracket(1040.0))

    assert sync.sound_ns == 1000 * MS
    assert sync.picture_minus_sound_ns == 40 * MS


def test_sound_alone_states_that_the_delay_was_never_measured() -> None:
    sync = placed(onset(1000.0), ball=None)

    assert sync.source is SyncSource.SOUND
    assert sync.u_ns >= UNKNOWN_DELAY_U_NS
    assert "never measured" in sync.said
    assert sync.last_with_ns is None


def test_picture_alone_decides_where_nothing_is_heard() -> None:
    sync = placed(onset(400.0, score=2.0), ball=bracket(1000.0))

    assert sync.source is SyncSource.PICTURE
    assert sync.swing_minus_media_ns == -1000 * MS
    assert sync.sound_ns is None
    assert "No strike is heard" in sync.said


def test_neither_sound_nor_picture_is_refused_with_a_way_out() -> None:
    with pytest.raises(TimingRefusedError, match="No strike is heard") as refused:
        placed(ball=None)

    assert "by hand" in refused.value.try_next


def test_a_known_delay_makes_sound_alone_precise() -> None:
    known = KnownDelay(delay_ns=42 * MS, u_ns=600_000, strikes=6)

    sync = placed(onset(1000.0), ball=None, known_delay=known)

    assert sync.swing_minus_media_ns == -1042 * MS
    assert sync.u_ns < MS
    assert "42 ms" in sync.said


def test_a_known_delay_that_the_picture_bears_out_is_finer_than_the_picture() -> None:
    known = KnownDelay(delay_ns=42 * MS, u_ns=600_000, strikes=6)

    sync = placed(onset(1000.0), ball=bracket(1043.0), known_delay=known)

    assert sync.source is SyncSource.SOUND
    assert sync.swing_minus_media_ns == -1042 * MS
    assert sync.picture_minus_sound_ns == 42 * MS
    assert sync.u_ns < MS


def test_more_than_three_u_from_the_cameras_history_is_refused() -> None:
    known = KnownDelay(delay_ns=42 * MS, u_ns=600_000, strikes=6)

    with pytest.raises(TimingRefusedError, match=r"42 ms in this camera's 6 earlier swings"):
        placed(onset(1000.0), ball=bracket(1020.0), known_delay=known)


def test_within_three_u_of_the_history_the_picture_decides() -> None:
    known = KnownDelay(delay_ns=42 * MS, u_ns=600_000, strikes=6)

    sync = placed(onset(1000.0), ball=bracket(1047.5), known_delay=known)

    assert sync.source is SyncSource.PICTURE


def test_a_known_read_out_moves_the_sound_to_the_balls_row() -> None:
    rolling = Shutter(frame_ns=FRAME_NS, readout_ns=8 * MS, ball_row_share=0.75)

    sync = placed(onset(1000.0), ball=None, shutter=rolling)

    assert sync.swing_minus_media_ns == -994 * MS
    assert "read-out" in {part.cause for part in sync.parts}


def test_a_hand_places_zero_and_says_so() -> None:
    sync = by_hand(View.DOWN_THE_LINE, 5 * MS, 2 * MS)

    assert (sync.swing_minus_media_ns, sync.u_ns, sync.source) == (-5 * MS, 2 * MS, SyncSource.HAND)


FLIGHT = Launch(contact_ns=1_001_400_000, u_ns=300_000, frames=4)


def test_the_balls_flight_decides_where_no_delay_is_known() -> None:
    sync = placed(onset(1000.0), ball=bracket(1002.0), launch=FLIGHT)

    assert sync.source is SyncSource.PICTURE
    assert sync.swing_minus_media_ns == -FLIGHT.contact_ns
    assert sync.u_ns == FLIGHT.u_ns
    assert sync.picture_minus_sound_ns == 1_400_000
    assert (sync.contact_seen_ns, sync.contact_seen_u_ns) == (FLIGHT.contact_ns, FLIGHT.u_ns)


def test_a_known_delay_is_not_given_up_for_one_flight() -> None:
    known = KnownDelay(delay_ns=1 * MS, u_ns=300_000, strikes=9)

    sync = placed(onset(1000.0), ball=bracket(1002.0), launch=FLIGHT, known_delay=known)

    assert sync.source is SyncSource.SOUND
    assert sync.swing_minus_media_ns == -1001 * MS
    assert sync.contact_seen_ns == FLIGHT.contact_ns


def test_flights_say_a_delay_more_finely_than_frames_do() -> None:
    frames = [strike_seen(30.0, phase) for phase in (0.5, 0.5, 0.5)]
    seen = [
        replace(s, contact_seen_ns=-s.swing_minus_media_ns, contact_seen_u_ns=300_000)
        for s in frames
    ]

    rough, fine = intersect_delays(frames), intersect_delays(seen)

    assert fine.u_ns < rough.u_ns / 3
    assert abs(fine.delay_ns - rough.delay_ns) <= 2 * rough.u_ns


def test_a_soft_strike_under_talk_is_taken_where_the_delay_says_it_must_be() -> None:
    known = KnownDelay(delay_ns=0, u_ns=600_000, strikes=6)
    talk, strike = onset(960.0, score=31.0), onset(1001.0, score=3.1)

    unknown = placed(talk, strike, ball=bracket(1000.0))
    heard = placed(talk, strike, ball=bracket(1000.0), known_delay=known)

    assert unknown.sound_ns == 960 * MS
    assert heard.sound_ns == 1001 * MS


@given(
    delay_ms=st.floats(-55, 55),
    strike_ms=st.floats(0, 8),
    metres=st.floats(0, 5),
    is_known=st.booleans(),
)
def test_the_window_to_listen_in_holds_every_strike_that_may_be_accepted(
    delay_ms: float, strike_ms: float, metres: float, is_known: bool
) -> None:
    known = KnownDelay(delay_ns=round(delay_ms * MS), u_ns=600_000, strikes=6)
    microphone = Microphone(distance_m=metres)
    seen = bracket(1004.0)
    contact_ns = seen.last_with_ns + round(strike_ms * MS)
    arrival_ns = contact_ns - known.delay_ns + microphone.travel_ns

    first, last = listen_window(seen, SHUTTER, microphone, known if is_known else None)

    assert first <= arrival_ns < last


@given(
    rate=st.fractions(1, 16, max_denominator=30),
    contact_ns=st.integers(0, 10**11),
    at_ns=st.integers(-(10**10), 10**10),
)
def test_a_slower_file_comes_back_to_its_own_stamps(
    rate: Fraction, contact_ns: int, at_ns: int
) -> None:
    sync = played_slower(by_hand(View.FACE_ON, round(contact_ns / rate), MS), rate)

    media_ns = sync.to_media(at_ns)

    assert abs(sync.to_swing(media_ns) - at_ns) <= 1
    assert abs(sync.contact_media_ns - contact_ns) <= rate
    assert sync.to_swing(np.array([media_ns])).tolist() == [sync.to_swing(media_ns)]


def test_a_slower_file_keeps_no_time_of_its_sound_and_says_so() -> None:
    real = placed(onset(1000.0), ball=bracket(1001.0), launch=FLIGHT)

    slow = played_slower(real, Fraction(8))

    assert slow.sound_ns is None
    assert slow.picture_minus_sound_ns is None
    assert slow.last_with_ns == 8 * (real.last_with_ns or 0)
    assert slow.contact_seen_ns == 8 * FLIGHT.contact_ns
    assert "8 times slower" in slow.said
    assert slow.contact_media_ns == 8 * real.contact_media_ns


@given(
    delay_ms=st.floats(-55, 55),
    phases=st.lists(st.floats(0, 1), min_size=12, max_size=12),
)
def test_brackets_of_several_strikes_give_the_delay_within_its_uncertainty(
    delay_ms: float, phases: list[float]
) -> None:
    syncs = [strike_seen(delay_ms, phase) for phase in phases]

    known = intersect_delays(syncs)

    assert abs(known.delay_ns - delay_ms * MS) <= 3 * known.u_ns
    assert known.strikes == 12


def strike_seen(delay_ms: float, phase: float) -> Sync:
    """A swing whose contact falls at `phase` of the way between two frames."""
    contact = round((1000.0 + delay_ms) * MS)
    last = contact - round(phase * FRAME_NS)
    seen = BallBracket(last_with_ns=last, first_without_ns=last + FRAME_NS, confidence=1.0)
    return placed(onset(1000.0), ball=seen)


def test_more_strikes_say_the_delay_more_finely() -> None:
    few = intersect_delays([strike_seen(30.0, phase) for phase in (0.5, 0.5, 0.5)])
    many = intersect_delays([strike_seen(30.0, phase) for phase in (0.05, 0.3, 0.5, 0.7, 0.95)])

    assert many.u_ns < few.u_ns / 2


def test_one_wrong_bracket_among_many_is_outvoted() -> None:
    right = [strike_seen(30.0, phase) for phase in (0.1, 0.4, 0.6, 0.9)]

    known = intersect_delays([*right, strike_seen(-25.0, 0.5)])

    assert known.delay_ns == pytest.approx(30 * MS, abs=2 * MS)
    assert known.strikes == 4


@pytest.mark.parametrize("delays", [(10.0, 30.0, 50.0), (10.0, 10.0)])
def test_a_delay_that_is_not_constant_or_too_little_seen_is_refused(
    delays: tuple[float, ...],
) -> None:
    with pytest.raises(TimingRefusedError):
        intersect_delays([strike_seen(delay, 0.5) for delay in delays])
