"""Swings seen in how much moves."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.records import FloatArray
from capturestation.swing.spotted import SwingSpotter

HZ = 20.0
NS = 1_000_000_000


def spotted(level: FloatArray, seed: int = 0) -> list[float]:
    """When swings are noticed in a track from 0 s on, with a sensor's noise in it."""
    spotter = SwingSpotter()
    noisy = level + np.abs(np.random.default_rng(seed).normal(0, 0.004, len(level)))
    told = [spotter.add(round(n / HZ * NS), float(now)) for n, now in enumerate(noisy)]
    return [at / NS for at in told if at is not None]


def times(long_s: float) -> FloatArray:
    return np.arange(0, long_s, 1 / HZ)


def hump(at: FloatArray, middle_s: float, half_s: float, peak: float) -> FloatArray:
    """Rises and falls once."""
    share = np.clip((at - middle_s) / half_s, -1, 1)
    return np.asarray(peak * (0.5 + 0.5 * np.cos(np.pi * share)))


def swing(at: FloatArray, impact_s: float, peak: float, down_s: float = 0.27) -> FloatArray:
    """Back, a pause at the top, down and through, a finish."""
    back = hump(at, impact_s - down_s - 0.4, 0.38, 0.5 * peak)
    down = hump(at, impact_s, down_s, peak)
    return back + down + hump(at, impact_s + 0.3, 0.35, 0.4 * peak)


@pytest.mark.parametrize(
    ("peak", "down_s"), [(0.9, 0.25), (0.3, 0.32), (0.05, 0.45)], ids=["full", "pitch", "putt"]
)
def test_a_swing_is_told_once_at_its_fastest(peak: float, down_s: float) -> None:
    told = spotted(swing(times(8.0), 4.0, peak, down_s))

    assert told == [pytest.approx(4.0, abs=0.1)]


def test_each_of_two_swings_is_told() -> None:
    at = times(14.0)

    told = spotted(swing(at, 4.0, 0.8) + swing(at, 9.0, 0.8))

    assert told == [pytest.approx(4.0, abs=0.1), pytest.approx(9.0, abs=0.1)]


def test_a_waggle_and_a_stroll_are_no_swings() -> None:
    at = times(12.0)
    waggle = 0.1 * np.abs(np.sin(2 * np.pi * 1.2 * at))
    stroll = hump(at, 6.0, 3.0, 2.0) * (1 + 0.4 * np.sin(2 * np.pi * 2.0 * at))

    assert spotted(waggle) == []
    assert spotted(stroll) == []


def test_who_goes_on_moving_afterwards_did_not_finish_a_swing() -> None:
    at = times(10.0)
    busy = np.where(at > 4.3, 0.4, 0.0)

    assert spotted(swing(at, 4.0, 0.8) + busy) == []


def test_a_still_picture_s_noise_is_nothing() -> None:
    assert [spotted(np.zeros(600), seed) for seed in range(5)] == [[]] * 5


def test_what_comes_after_a_break_is_judged_by_itself() -> None:
    spotter = SwingSpotter()
    level = swing(times(5.0), 4.0, 0.8)
    for n, now in enumerate(level):
        spotter.add(round(n / HZ * NS), float(now))

    spotter.forget()

    later = [spotter.add(round((5 + n / HZ) * NS), 0.0) for n in range(100)]
    assert later == [None] * 100
