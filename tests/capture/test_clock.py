"""A source's clock is followed while packets come, and begins anew when it was set."""

from __future__ import annotations

import random

import pytest

from capturestation.capture.clock import SourceClock

S = 1_000_000_000
MS = 1_000_000
FRAME_NS = S // 60


def fed(clock: SourceClock, *, from_s: float, for_s: float, offset_ns: int) -> SourceClock:
    """Give it stamps at 60 a second, each late by 1 ms and at random some more."""
    dice = random.Random(1)
    first = round(from_s * 60)
    for number in range(first, first + round(for_s * 60)):
        late = MS + round(dice.expovariate(1 / (3 * MS)))
        clock.add(number * FRAME_NS, number * FRAME_NS + offset_ns + late)
    return clock


def test_the_quickest_packets_say_where_the_host_is() -> None:
    clock = fed(SourceClock(own=True), from_s=0, for_s=30, offset_ns=5 * S)

    fit = clock.fit()

    assert fit.host_ns(20 * S) == pytest.approx(25 * S + MS, abs=MS // 4)
    assert 5 * MS < fit.late_p95_ns < 15 * MS


def test_twenty_minutes_take_no_more_memory_than_ten_minutes() -> None:
    clock = SourceClock(own=True)
    # One stamp a second is enough to fill it.
    for second in range(1200):
        clock.add(second * S, second * S + 5 * S)

    fit = clock.fit()

    assert fit.points == 600
    assert fit.span_ns == 599 * S


@pytest.mark.parametrize("set_by_ns", [-2 * S, 3600 * S])
def test_a_clock_that_was_set_is_noticed(set_by_ns: int) -> None:
    clock = fed(SourceClock(own=True), from_s=10_000, for_s=10, offset_ns=0)
    host_begun = 10_010 * S
    for number in range(60 * 8):
        at = number * FRAME_NS
        clock.add(host_begun + at + set_by_ns, host_begun + at + MS)

    assert clock.steps == 1
    host_ns = clock.line().host_ns(host_begun + 7 * S + set_by_ns)
    assert host_ns == pytest.approx(host_begun + 7 * S, abs=2 * MS)


def test_a_stall_is_lateness_and_no_step() -> None:
    clock = fed(SourceClock(own=True), from_s=0, for_s=10, offset_ns=0)
    held = [(10 * S + number * FRAME_NS) for number in range(120)]
    for device in held:
        clock.add(device, 12 * S)
    fed(clock, from_s=12, for_s=5, offset_ns=0)

    assert clock.steps == 0
    assert clock.line().host_ns(15 * S) == pytest.approx(15 * S + MS, abs=MS)


def test_stamps_that_are_arrivals_are_the_host_s_own() -> None:
    clock = SourceClock(own=False)
    clock.add(7 * S, 7 * S + 300)

    assert clock.line().host_ns(9 * S) == 9 * S


def test_before_anything_came_there_is_no_line() -> None:
    with pytest.raises(ValueError, match="nothing came"):
        SourceClock(own=True).line()
