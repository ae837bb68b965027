"""The time of day beside the steady clock: a step is seen, and steady times don't move by it."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta

import pytest

from capturestation.capture import wall
from capturestation.capture.messages import ClockSet

START = datetime(2026, 10, 30, 9, tzinfo=UTC)


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[timedelta]:
    """A clock on the wall that stands, until what is in the list is changed."""
    by = [timedelta(0)]
    steady_ns = [5 * 10**9]
    monkeypatch.setattr(wall, "time_of_day", lambda: START + by[0])
    monkeypatch.setattr(time, "perf_counter_ns", lambda: steady_ns[0])
    return by


def test_a_host_time_is_told_by_the_clock_on_the_wall(clock: list[timedelta]) -> None:
    told = wall.Wall(None).at(4 * 10**9)

    assert told == START - timedelta(seconds=1)


def test_a_replayed_day_goes_on_from_where_it_was(clock: list[timedelta]) -> None:
    other = datetime(2025, 5, 1, 12, tzinfo=UTC)
    watched = wall.Wall(other)
    clock[0] = timedelta(seconds=3)

    assert watched.at(5 * 10**9) == other + timedelta(seconds=3)


@pytest.mark.parametrize("by_s", [-3600.0, 7200.0])
def test_a_clock_that_is_set_is_seen_once(by_s: float, clock: list[timedelta]) -> None:
    watched = wall.Wall(None)
    before = watched.set_by()
    clock[0] = timedelta(seconds=by_s)

    assert before is None
    assert watched.set_by() == timedelta(seconds=by_s)
    assert watched.set_by() is None


def test_a_clock_that_the_network_keeps_is_not_set(clock: list[timedelta]) -> None:
    watched = wall.Wall(None)
    clock[0] = timedelta(seconds=0.4)

    assert watched.set_by() is None


def test_what_is_said_of_it_names_the_way() -> None:
    assert ClockSet(by_s=-3600.0).what.startswith("The computer's clock went 3600 s back")
    assert ClockSet(by_s=61.0).what.startswith("The computer's clock went 61 s forward")
