"""The line from a device's clock to the host's lies under lateness, however much of it there is."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.records import IntArray
from capturestation.records.capture import ClockFit
from capturestation.timing.clock import MOST_DRIFT_PPM, fit_clock

S = 1_000_000_000
MS = 1_000_000


def arrivals(
    *, seconds: float, drift_ppm: float = 0.0, late_ms: float = 5.0, offset_ns: int = 7 * S
) -> tuple[IntArray, IntArray]:
    """Stamps of 120 frames a second and when they came, late at random."""
    device = (np.arange(round(seconds * 120)) * S // 120).astype(np.int64)
    late = np.random.default_rng(3).exponential(late_ms * MS, len(device))
    host = device + offset_ns + device * drift_ppm / 1e6 + late
    return device, np.round(host).astype(np.int64)


def test_lateness_does_not_move_the_line() -> None:
    quick = fit_clock(*arrivals(seconds=10, late_ms=0.5))
    late = fit_clock(*arrivals(seconds=10, late_ms=20))

    assert abs(quick.host_ns(5 * S) - late.host_ns(5 * S)) < 0.1 * MS
    assert abs(late.host_ns(5 * S) - 12 * S) < 0.1 * MS
    assert 50 * MS < late.late_p95_ns < 70 * MS


@pytest.mark.parametrize("drift_ppm", [-120.0, 0.0, 35.0, 180.0])
def test_drift_is_found_over_a_minute(drift_ppm: float) -> None:
    fit = fit_clock(*arrivals(seconds=60, drift_ppm=drift_ppm))

    assert fit.drift_ppm == pytest.approx(drift_ppm, abs=5.0)
    assert abs(fit.host_ns(60 * S) - (67 * S + round(60 * S * drift_ppm / 1e6))) < 0.3 * MS


def test_over_a_few_seconds_both_clocks_are_taken_to_run_alike() -> None:
    fit = fit_clock(*arrivals(seconds=5, drift_ppm=100))

    assert fit.drift_ppm == 0.0


def test_a_rate_that_no_clock_has_is_not_believed() -> None:
    fit = fit_clock(*arrivals(seconds=60, drift_ppm=5000))

    assert fit.drift_ppm == MOST_DRIFT_PPM


def test_one_stamp_gives_an_offset() -> None:
    fit = fit_clock(np.array([5], np.int64), np.array([12], np.int64))

    assert (fit.host_ns(5), fit.device_ns(12), fit.points) == (12, 5, 1)


def test_unlike_shapes_are_refused_with_both() -> None:
    with pytest.raises(ValueError, match=r"\(2,\) \(1,\)"):
        fit_clock(np.array([1, 2], np.int64), np.array([1], np.int64))


@given(
    st.integers(-(10**15), 10**15),
    st.integers(-(10**12), 10**12),
    st.floats(-MOST_DRIFT_PPM, MOST_DRIFT_PPM),
    st.integers(-(10**12), 10**12),
)
def test_there_and_back_is_the_same_time(
    offset_ns: int, middle_ns: int, drift_ppm: float, away_ns: int
) -> None:
    fit = ClockFit(
        at_device_ns=middle_ns,
        host_minus_device_ns=offset_ns,
        drift_ppm=drift_ppm,
        late_p95_ns=0,
        span_ns=S,
        points=2,
    )

    assert abs(fit.device_ns(fit.host_ns(middle_ns + away_ns)) - (middle_ns + away_ns)) <= 1


@given(st.lists(st.tuples(st.integers(1, S), st.integers(0, S)), min_size=1, max_size=60))
def test_no_arrival_lies_below_the_line(steps: list[tuple[int, int]]) -> None:
    device = np.cumsum([step for step, _ in steps]).astype(np.int64)
    host = device + np.array([late for _, late in steps], np.int64)

    fit = fit_clock(device, host)

    below = [fit.host_ns(int(d)) - int(h) for d, h in zip(device, host, strict=True)]
    assert max(below) <= 2
    assert min(below) >= -(10**12)
