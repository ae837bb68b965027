"""The strike in the sound: invented rooms, exact truth."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from capturestation.errors import BadInputError
from capturestation.records import FloatArray, SoundArray
from capturestation.timing.strike import Onset, find_strikes
from tests.helpers.sounds import RATE_HZ, echoes, mixed, ring, room, strike_scene

MS = 1_000_000


def errors_ms(snr_db: float, kind: str, count: int) -> tuple[FloatArray, FloatArray]:
    """Errors of the best-ranked onset and the uncertainty each came with, (count,) each."""
    error = np.zeros(count)
    claimed = np.zeros(count)
    for seed in range(count):
        scene = strike_scene(seed, snr_db=snr_db, kind=kind)
        best = find_strikes(scene.samples, RATE_HZ, 0)[0]
        error[seed] = (best.arrival_ns - scene.strike_ns) / MS
        claimed[seed] = best.u_ns / MS
    return error, claimed


@pytest.mark.parametrize("kind", ["hiss", "fan", "talk"])
@pytest.mark.parametrize(("snr_db", "bar_ms"), [(30.0, 0.05), (20.0, 0.10), (14.0, 0.25)])
def test_the_beginning_is_found_within_the_bar_for_its_noise(
    snr_db: float, bar_ms: float, kind: str
) -> None:
    error, _ = errors_ms(snr_db, kind, 20)

    assert np.sqrt(np.mean(error**2)) <= bar_ms
    assert np.abs(error).max() <= 0.31


@pytest.mark.parametrize("snr_db", [12.0, 20.0, 30.0])
def test_the_claim_is_as_large_as_the_error_over_rooms_and_rises(snr_db: float) -> None:
    error, claimed = np.zeros((3, 24)), np.zeros((3, 24))
    for place, kind in enumerate(["hiss", "fan", "talk"]):
        for seed in range(24):
            rng = np.random.default_rng((77, seed))
            at_s, rise_s = rng.uniform(0.55, 0.65), rng.uniform(0.0001, 0.0006)
            # A push of its usual length would add its own half millisecond to the rise.
            strike = echoes(rng, ring(rng, at_s, 1.2, push_s=(2e-5, 4e-5), rise_s=rise_s))
            scene = mixed(strike, room(rng, 1.2, kind), at_s, snr_db)
            best = find_strikes(scene.samples, RATE_HZ, 0)[0]
            error[place, seed] = (best.arrival_ns - scene.strike_ns) / MS
            claimed[place, seed] = best.u_ns / MS

    assert np.mean(np.abs(error) < 2 * claimed) >= 0.92
    ratio = np.sqrt(np.mean(claimed**2) / np.mean(error**2))
    assert 0.8 <= ratio <= 2.5


@pytest.mark.parametrize(("snr_db", "most_ms"), [(12.0, 0.3), (20.0, 0.15), (30.0, 0.1)])
def test_the_claim_of_a_sudden_strike_in_a_steady_room_covers_it_and_stays_small(
    snr_db: float, most_ms: float
) -> None:
    error, claimed = errors_ms(snr_db, "fan", 40)

    assert np.mean(np.abs(error) < 2 * claimed) >= 0.92
    assert np.sqrt(np.mean(claimed**2)) <= most_ms


def test_more_noise_is_claimed_to_be_less_certain() -> None:
    clear = np.median(errors_ms(30.0, "hiss", 10)[1])
    noisy = np.median(errors_ms(10.0, "hiss", 10)[1])

    assert noisy > 1.5 * clear


def net_scene(seed: int, *, thud_after_s: float, thud_gain: float) -> tuple[SoundArray, int]:
    """A strike, then a duller thud so many times as loud; and the strike's time."""
    rng = np.random.default_rng(seed)
    strike = echoes(rng, ring(rng, 0.6, 1.2))
    thud = ring(rng, 0.6 + thud_after_s, 1.2, modes_hz=(200.0, 3_000.0), push_s=(0.001, 0.003))
    noise = room(rng, 1.2, "fan")
    scene = mixed(strike + thud_gain * thud, noise, 0.6, 26.0)
    return scene.samples, scene.strike_ns


@pytest.mark.parametrize("thud_after_s", [0.055, 0.095, 0.160])
@pytest.mark.parametrize("thud_gain", [0.5, 2.0, 6.0])
def test_the_strike_ranks_before_the_louder_thud_of_the_net(
    thud_after_s: float, thud_gain: float
) -> None:
    samples, strike_ns = net_scene(3, thud_after_s=thud_after_s, thud_gain=thud_gain)

    found = find_strikes(samples, RATE_HZ, 0)

    assert found[0].arrival_ns == pytest.approx(strike_ns, abs=0.2 * MS)
    assert all(o.after_ns == found[0].arrival_ns for o in found[1:] if o.arrival_ns > strike_ns)


@pytest.mark.parametrize("early_s", [0.0014, 0.0021, 0.0029])
def test_a_fat_shot_begins_at_the_ball_not_at_the_mat(early_s: float) -> None:
    rng = np.random.default_rng(11)
    ball = ring(rng, 0.6, 1.2)
    mat = ring(rng, 0.6 - early_s, 1.2, modes_hz=(150.0, 2_500.0), push_s=(0.001, 0.002))
    scene = mixed(echoes(rng, ball) + 0.15 * mat, room(rng, 1.2, "fan"), 0.6, 26.0)

    best = find_strikes(scene.samples, RATE_HZ, 0)[0]

    assert best.arrival_ns == pytest.approx(scene.strike_ns, abs=0.3 * MS)


@pytest.mark.parametrize("below_db", [24.0, 34.0])
@pytest.mark.parametrize("long_s", [0.001, 0.0021, 0.0027])
def test_the_hiss_that_a_codec_puts_before_a_loud_strike_is_not_its_beginning(
    long_s: float, below_db: float
) -> None:
    scene = strike_scene(21, snr_db=40.0)
    strike = round(scene.strike_ns * 1e-9 * RATE_HZ)
    first = strike - round(long_s * RATE_HZ)
    hiss = np.random.default_rng(4).standard_normal(strike - first)
    loud = np.sqrt(np.mean(scene.samples[strike : strike + 480].astype(np.float64) ** 2))
    sound = scene.samples.copy()
    sound[first:strike] += (hiss * loud * 10 ** (-below_db / 20)).astype(np.float32)

    best = find_strikes(sound, RATE_HZ, 0)[0]

    assert best.arrival_ns == pytest.approx(scene.strike_ns, abs=0.15 * MS)


def test_a_window_keeps_only_what_begins_inside_it() -> None:
    samples, strike_ns = net_scene(5, thud_after_s=0.1, thud_gain=3.0)
    window = (strike_ns + 50 * MS, strike_ns + 200 * MS)

    found = find_strikes(samples, RATE_HZ, 0, window=window)

    assert found
    assert all(window[0] <= onset.arrival_ns < window[1] for onset in found)


def test_no_more_are_given_than_asked_for_and_the_best_come_first() -> None:
    samples, _ = net_scene(6, thud_after_s=0.09, thud_gain=2.0)

    everything = find_strikes(samples, RATE_HZ, 0)
    one = find_strikes(samples, RATE_HZ, 0, most=1)

    assert len(everything) >= 2
    assert one == everything[:1]
    assert [o.score for o in everything] == sorted((o.score for o in everything), reverse=True)


@pytest.mark.parametrize("kind", ["hiss", "fan"])
def test_an_empty_room_holds_no_strike(kind: str) -> None:
    noise = 0.05 * room(np.random.default_rng(2), 4.0, kind)

    found = find_strikes(noise.astype(np.float32), RATE_HZ, 0)

    assert all(onset.snr_db < 6.0 for onset in found)


@pytest.mark.parametrize("n", [0, 1, 100, 48_000])
def test_digital_silence_holds_no_strike_at_any_length(n: int) -> None:
    assert find_strikes(np.zeros(n, dtype=np.float32), RATE_HZ, 0) == ()


def test_a_strike_in_digital_silence_is_found_where_it_begins() -> None:
    strike = 0.5 * ring(np.random.default_rng(8), 0.3, 0.6)

    best = find_strikes(strike.astype(np.float32), RATE_HZ, 0)[0]

    assert best.arrival_ns == pytest.approx(300 * MS, abs=0.06 * MS)


def test_a_short_sound_that_begins_just_before_the_strike_still_shows_it() -> None:
    scene = strike_scene(9, snr_db=30.0, at_s=0.6)
    first = round(0.58 * RATE_HZ)

    best = find_strikes(scene.samples[first:], RATE_HZ, round(first / RATE_HZ * 1e9))[0]

    assert best.arrival_ns == pytest.approx(scene.strike_ns, abs=0.1 * MS)


@settings(max_examples=15, deadline=None)
@given(start_ns=st.integers(-(10**12), 10**12), gain=st.floats(0.01, 1.5))
def test_time_follows_the_sounds_clock_and_not_its_loudness(start_ns: int, gain: float) -> None:
    scene = strike_scene(4, snr_db=24.0)
    plain: Onset = find_strikes(scene.samples, RATE_HZ, 0)[0]

    moved = find_strikes((scene.samples * np.float32(gain)), RATE_HZ, start_ns)[0]

    assert moved.arrival_ns - start_ns == pytest.approx(plain.arrival_ns, abs=2_000)


def test_a_rate_too_low_for_the_band_is_refused_with_a_way_out() -> None:
    with pytest.raises(BadInputError, match="6000 samples") as refused:
        find_strikes(np.zeros(6_000, dtype=np.float32), 6_000, 0)

    assert "8000" in refused.value.try_next


def test_two_channels_are_our_own_mistake() -> None:
    with pytest.raises(ValueError, match=r"\(100, 2\)"):
        find_strikes(np.zeros((100, 2), dtype=np.float32), RATE_HZ, 0)
