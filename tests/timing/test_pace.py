"""A file slowed down for good, known by its swing and its sound."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import butter, resample_poly, sosfilt

from capturestation.records import NS_PER_S, FloatArray, IntArray, SoundArray
from capturestation.timing.pace import PLAIN, Lasting, highest_hz, lasting, may_play, pace_of
from tests.helpers.sounds import RATE_HZ, strike_scene

SWING = Lasting(fast_s=0.15, busy_s=1.3)
RATES = st.sampled_from([Fraction(24), Fraction(25), Fraction(30_000, 1001), Fraction(60)])


def motion(
    times: float, *, rate_hz: float = 30.0, peak_s: float = 2.0
) -> tuple[IntArray, FloatArray]:
    """Stamps and energy of a swing that was slowed so: back, a dip at the top, down and through."""
    long_s = 4.0 * times
    at_s = np.arange(0, long_s, 1 / rate_hz)
    swing_s = at_s / times - peak_s
    energy = np.exp(-0.5 * (swing_s / 0.065) ** 2)
    energy += 0.25 * np.exp(-0.5 * ((swing_s + 0.75) / 0.18) ** 2)
    energy += 0.3 * np.exp(-0.5 * ((swing_s - 0.25) / 0.12) ** 2)
    return (at_s * NS_PER_S).astype(np.int64), energy


def of_motion(times: float, rate_hz: float = 30.0) -> Lasting:
    found = lasting(*motion(times, rate_hz=rate_hz))
    assert found is not None
    return found


@pytest.mark.parametrize("times", [4, 8, 16])
@pytest.mark.parametrize("rate_hz", [30, 60])
def test_a_swing_that_lasts_so_many_times_as_long_was_slowed_so(times: int, rate_hz: int) -> None:
    pace = pace_of(of_motion(times, rate_hz), Fraction(rate_hz), None)

    assert pace.rivals == (Fraction(times),)
    assert "its swing lasts for" in pace.why


@pytest.mark.parametrize("times", [0.8, 1.0, 1.5])
@pytest.mark.parametrize("rate_hz", [30, 60, 240])
def test_a_swing_at_full_speed_or_a_leisurely_one_is_plain(times: float, rate_hz: int) -> None:
    pace = pace_of(of_motion(times, rate_hz), Fraction(rate_hz), None)

    assert pace.is_plain
    assert pace.why == ""


def test_twice_as_slow_is_not_told_from_a_slow_swing() -> None:
    assert pace_of(of_motion(2.0), Fraction(30), None).rivals in {(), (PLAIN,)}


def test_half_way_between_two_factors_both_are_named() -> None:
    between = Lasting(fast_s=0.15 * 5.7, busy_s=1.3 * 5.7)

    assert set(pace_of(between, Fraction(30), None).rivals) == {Fraction(4), Fraction(8)}


@pytest.mark.parametrize("times", [4, 8])
def test_where_a_stretched_sound_ends_settles_which_of_two_it_is(times: int) -> None:
    between = Lasting(fast_s=0.15 * 5.7, busy_s=1.3 * 5.7)

    pace = pace_of(between, Fraction(30), 20_000 / times)

    assert pace.rivals == (Fraction(times),)
    assert "its sound ends at" in pace.why


def test_a_dull_microphone_does_not_change_what_the_swing_says() -> None:
    slow = Lasting(fast_s=0.15 * 8, busy_s=1.3 * 8)

    assert pace_of(slow, Fraction(30), 8_000.0).rivals == (Fraction(8),)
    assert pace_of(SWING, Fraction(30), 3_400.0).is_plain


def test_the_swing_counts_and_not_somebody_who_walks_by_nearer() -> None:
    times_ns, energy = motion(1.0, peak_s=3.0)
    walk = 3.0 * np.exp(-0.5 * ((times_ns / NS_PER_S - 0.9) / 0.45) ** 2)

    found = lasting(times_ns, energy + walk)

    assert found is not None
    assert found.fast_s < 0.3
    assert pace_of(found, Fraction(30), None).is_plain


def test_a_still_picture_tells_nothing() -> None:
    times_ns, energy = motion(1.0)

    assert lasting(times_ns, np.zeros_like(energy)) is None
    assert lasting(times_ns[:2], energy[:2]) is None
    assert pace_of(None, Fraction(30), None).is_plain


def stretched(times: int) -> SoundArray:
    scene = strike_scene(3, snr_db=20.0)
    return np.asarray(resample_poly(scene.samples.astype(np.float64), times, 1), dtype=np.float32)


@pytest.mark.parametrize("times", [2, 4, 8])
def test_a_stretched_sound_ends_where_its_old_top_came_to(times: int) -> None:
    top_hz = highest_hz(stretched(times), RATE_HZ)

    assert top_hz == pytest.approx(24_000 / times, rel=0.2)


@pytest.mark.parametrize("kind", ["hiss", "fan", "talk"])
def test_a_rooms_sound_goes_all_the_way_up(kind: str) -> None:
    assert highest_hz(strike_scene(3, snr_db=20.0, kind=kind).samples, RATE_HZ) == RATE_HZ / 2


def test_a_codecs_low_pass_is_seen_where_it_is() -> None:
    steep = butter(16, 16_000, fs=RATE_HZ, output="sos")
    sound = sosfilt(steep, strike_scene(3, snr_db=20.0).samples).astype(np.float32)

    assert 14_500 < highest_hz(sound, RATE_HZ) < 19_500


@pytest.mark.parametrize("n", [0, 100, 48_000])
def test_silence_has_no_top(n: int) -> None:
    assert highest_hz(np.zeros(n, dtype=np.float32), RATE_HZ) == RATE_HZ / 2


@given(rate_hz=RATES, longer=st.floats(1.0, 40.0))
def test_what_is_named_is_a_factor_that_a_camera_has_and_longer_is_never_quicker(
    rate_hz: Fraction, longer: float
) -> None:
    some = Lasting(fast_s=0.15 * longer, busy_s=1.3 * longer)
    more = Lasting(fast_s=0.3 * longer, busy_s=2.6 * longer)

    first, second = (pace_of(one, rate_hz, None).rivals for one in (some, more))

    assert set(first) <= {PLAIN, *may_play(rate_hz)}
    if first and second:
        assert first[0] <= second[0]
