"""Two sounds of one strike laid on each other."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.records import SoundArray
from capturestation.timing.pair import agree, sound_lag
from capturestation.timing.strike import Onset, find_strikes
from tests.helpers.sounds import RATE_HZ, echoes, mixed, ring, room

MS = 1_000_000


def heard_by_two(seed: int, later_s: float, snr_db: float = 22.0) -> list[SoundArray]:
    """One strike in two places of a room: other echoes, other noise, the second one later."""
    sounds = []
    for place, at_s in enumerate((0.5, 0.5 + later_s)):
        rng = np.random.default_rng((seed, place))
        strike = ring(np.random.default_rng(seed), at_s, 1.0)
        scene = mixed(echoes(rng, strike, count=4), room(rng, 1.0, "fan"), at_s, snr_db)
        sounds.append(scene.samples)
    return sounds


def onset_of(sound: SoundArray) -> Onset:
    return find_strikes(sound, RATE_HZ, 0, most=1)[0]


@pytest.mark.parametrize("later_s", [-0.0412345, 0.0, 0.0031, 0.2000071])
def test_the_lag_is_found_by_likeness_and_bears_out_the_onsets(later_s: float) -> None:
    error_ms = []
    for seed in range(5):
        a, b = heard_by_two(seed, later_s)
        lag = sound_lag(a, b, RATE_HZ, (0, onset_of(a)), (0, onset_of(b)))
        error_ms.append(lag.b_minus_a_ns / MS - later_s * 1000)
        assert abs(error_ms[-1]) <= 4 * lag.u_ns / MS
        assert agree(onset_of(a), onset_of(b), lag)

    assert np.sqrt(np.mean(np.square(error_ms))) <= 0.2


def test_each_sound_counts_on_its_own_clock() -> None:
    a, b = heard_by_two(3, 0.01)
    late = find_strikes(b, RATE_HZ, 700 * MS, most=1)[0]
    plain = sound_lag(a, b, RATE_HZ, (0, onset_of(a)), (0, onset_of(b)))

    moved = sound_lag(a, b, RATE_HZ, (0, onset_of(a)), (700 * MS, late))

    assert moved.b_minus_a_ns - plain.b_minus_a_ns == pytest.approx(700 * MS, abs=30_000)


def test_two_different_strikes_do_not_agree_or_are_not_alike() -> None:
    a, b = heard_by_two(1, 0.0)
    other = np.random.default_rng(9).normal(0, 0.1, RATE_HZ).astype(np.float32)
    talk = Onset(arrival_ns=500 * MS, u_ns=40_000, snr_db=6.0, peak=0.1, sharpness=0.4, score=6.0)
    same = sound_lag(a, b, RATE_HZ, (0, onset_of(a)), (0, onset_of(b)))

    lag = sound_lag(a, other, RATE_HZ, (0, onset_of(a)), (0, talk))

    assert lag.likeness < 0.5 < same.likeness
