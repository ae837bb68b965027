"""A thread that was away is noticed, with what it was at; one that comes back in time is not."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from tests.helpers.heartbeat import BEAT_MS, Heartbeat, starved_ms, where_is


def busy(until_s: float) -> None:
    """Work until then, so that nothing else is heard."""
    while time.perf_counter() < until_s:
        sum(range(100))


@pytest.fixture
def heart(qtbot: QtBot) -> Iterator[Heartbeat]:
    made = Heartbeat()
    yield made
    made.close()


def test_work_on_the_thread_is_told_with_its_place(heart: Heartbeat) -> None:
    heart.forget()
    busy(time.perf_counter() + 0.2)
    heart.beat()

    (stall,) = heart.stalls
    assert stall.ms > 150
    assert stall.cpu_ms > 0
    assert any("busy" in place for place in stall.where)


def test_what_is_forgiven_is_not_told(heart: Heartbeat) -> None:
    heart.forget()
    busy(time.perf_counter() + 4 * BEAT_MS / 1e3)
    heart.forgive()

    assert heart.stalls == ()


def test_it_beats_by_itself(heart: Heartbeat, qtbot: QtBot) -> None:
    before = heart._last_s

    qtbot.waitUntil(lambda: heart._last_s > before)


def test_where_a_thread_is_reads_from_the_inside_out() -> None:
    told = where_is(sys._getframe())

    assert told[0].endswith("test_where_a_thread_is_reads_from_the_inside_out")
    assert where_is(None) == ()


def test_waiting_for_a_core_only_grows() -> None:
    assert 0 <= starved_ms() <= starved_ms()
