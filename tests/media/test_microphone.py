"""A microphone's blocks stand at the time at which they were taken, however late they come."""

from __future__ import annotations

import sys
from dataclasses import dataclass

import numpy as np
import pytest

from capturestation.errors import NotReadableError
from capturestation.media.microphone import Call, LiveMicrophone, Stream, SystemDriver
from capturestation.media.packets import SoundBlock
from capturestation.records.capture import MicrophoneSetting
from tests.helpers.fake_time import FakeTime

RATE_HZ = 48_000
MS = 1_000_000
SETTING = MicrophoneSetting(name="clip", rate_hz=RATE_HZ)


@dataclass(frozen=True, slots=True)
class Times:
    """What a driver says with a block."""

    inputBufferAdcTime: float  # noqa: N815 - the driver's name
    currentTime: float  # noqa: N815 - the driver's name


class Scripted:
    """A driver that does what a test says."""

    def __init__(self) -> None:
        self.done: list[str] = []
        self.call: Call | None = None

    def open_input(self, name: str, rate_hz: int, block: int, call: Call) -> Stream:
        self.done.append(f"open {name} {rate_hz} {block}")
        self.call = call
        return self

    def start(self) -> None:
        self.done.append("start")

    def stop(self) -> None:
        self.done.append("stop")

    def close(self) -> None:
        self.done.append("close")

    def send(self, times: Times, frames: int = 480) -> None:
        assert self.call is not None
        self.call(np.full((frames, 1), 0.5, np.float32), frames, times, None)


def test_a_block_stands_where_it_was_taken_and_not_where_it_came() -> None:
    host, driver = FakeTime(), Scripted()
    blocks: list[SoundBlock] = []
    with LiveMicrophone(SETTING, blocks.append, driver=driver, clock=host.now):
        for number, late_ms in enumerate((12, 31, 17)):
            taken_s = 100.0 + number * 0.01
            host.at_ns = 5_000 * MS + round(number * 10 * MS) + late_ms * MS
            driver.send(Times(taken_s, taken_s + late_ms / 1000))

    starts = [block.host_ns - 10 * MS for block in blocks]
    assert starts == pytest.approx([5_000 * MS, 5_010 * MS, 5_020 * MS], abs=100)
    assert [block.device_ns for block in blocks] == [0, 10 * MS, 20 * MS]
    assert blocks[0].samples.shape == (480,)
    assert driver.done == ["open clip 48000 480", "start", "stop", "close"]


def test_a_driver_that_does_not_know_is_taken_by_arrival() -> None:
    host, driver = FakeTime(at_ns=70 * MS), Scripted()
    blocks: list[SoundBlock] = []
    with LiveMicrophone(SETTING, blocks.append, driver=driver, clock=host.now):
        driver.send(Times(0.0, 3.0))

    assert blocks[0].host_ns == 70 * MS


def test_without_a_driver_the_way_out_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", None)

    with pytest.raises(NotReadableError, match="sounddevice or PortAudio is missing") as caught:
        LiveMicrophone(SETTING, lambda _: None, driver=SystemDriver())

    assert "libportaudio2" in caught.value.try_next
