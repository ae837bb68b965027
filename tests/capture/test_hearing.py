"""What is listened to: the microphone, else a camera; and what is done when it goes."""

from __future__ import annotations

import queue
import time

import numpy as np
import pytest

from capturestation.capture.clock import SourceClock
from capturestation.capture.ear import Ear
from capturestation.capture.hearing import MICROPHONE, Hearing
from capturestation.capture.messages import Fact, SoundState
from capturestation.capture.own_microphone import OwnMicrophone
from capturestation.capture.ring import Ring
from capturestation.capture.source import Life
from capturestation.errors import NotReadableError
from capturestation.media.microphone import Call, Stream
from capturestation.media.packets import SoundBlock
from capturestation.records.capture import Got, MicrophoneSetting
from capturestation.timing.streaming import StreamingListener

RATE_HZ = 48_000
BLOCK = SoundBlock(
    host_ns=20_000_000, device_ns=10_000_000, rate_hz=RATE_HZ, samples=np.zeros(480, np.float32)
)


def life(*, sound_rate_hz: int | None = RATE_HZ) -> Life:
    got = Got(codec="mjpeg", width_px=160, height_px=96, sound_rate_hz=sound_rate_hz)
    clock = SourceClock(own=True)
    clock.add(0, 0)
    return Life(
        got=got,
        head=b"",
        begun_ns=0,
        pictures=Ring(limit_bytes=1, limit_ns=1),
        sound=Ring(limit_bytes=1, limit_ns=1),
        clock=clock,
    )


@pytest.fixture
def told() -> list[Fact]:
    return []


@pytest.fixture
def hearing(told: list[Fact]) -> Hearing:
    return Hearing(Ear(StreamingListener(), lambda _: None), told.append)


def said(told: list[Fact]) -> list[str]:
    return [fact.said for fact in told if isinstance(fact, SoundState)]


def test_the_first_camera_that_sends_sound_is_listened_to(
    hearing: Hearing, told: list[Fact]
) -> None:
    first, second = life(), life()

    hearing.take("face-on", first, BLOCK)
    hearing.take("down-the-line", second, BLOCK)

    assert hearing.life is first
    assert said(told) == ["Listening by the face-on camera's microphone."]


def test_the_station_s_own_microphone_comes_first(hearing: Hearing, told: list[Fact]) -> None:
    own = life()
    hearing.take("face-on", life(), BLOCK)

    hearing.take(MICROPHONE, own, BLOCK)
    hearing.take("face-on", life(), BLOCK)

    assert hearing.life is own
    assert said(told)[-1] == "Listening by the microphone."


def test_when_it_goes_that_is_said_and_another_is_listened_to(
    hearing: Hearing, told: list[Fact]
) -> None:
    second = life()
    hearing.take("face-on", life(), BLOCK)

    hearing.lost("face-on")
    hearing.lost("face-on")
    hearing.take("down-the-line", second, BLOCK)

    assert said(told)[1:] == [
        "Nothing is heard: the face-on camera's microphone is gone.",
        "Listening by the down-the-line camera's microphone.",
    ]
    assert hearing.life is second


def test_a_camera_keeps_its_own_sound_and_one_without_gets_what_is_heard(
    hearing: Hearing,
) -> None:
    loud, silent = life(), life(sound_rate_hz=None)

    before = hearing.sound_for(silent)
    hearing.take("face-on", loud, BLOCK)
    own, lent = hearing.sound_for(loud), hearing.sound_for(silent)

    assert before is None
    assert own is not None
    assert (own.life, own.own) == (loud, True)
    assert lent is not None
    assert (lent.life, lent.own) == (loud, False)


def test_a_microphone_that_is_not_there_is_said_once() -> None:
    told: queue.SimpleQueue[Fact] = queue.SimpleQueue()
    opened: queue.SimpleQueue[str] = queue.SimpleQueue()

    class Nothing:
        def open_input(self, name: str, rate_hz: int, block: int, call: Call) -> Stream:
            opened.put(f"{name} {rate_hz} {block} {call.__name__}")
            raise NotReadableError("It is not there.", try_next="Plug it in.")

    hearing = Hearing(Ear(StreamingListener(), lambda _: None), told.put)
    microphone = OwnMicrophone(MicrophoneSetting(name="clip"), hearing, Nothing(), 1)
    microphone.start()
    first = told.get(timeout=10)
    opened.get(timeout=10)
    microphone.stop()

    assert first == SoundState(hears=False, said="It is not there. Plug it in.")
    assert told.empty()


def test_a_microphone_s_sound_is_heard_on_the_host_s_clock() -> None:
    told: queue.SimpleQueue[Fact] = queue.SimpleQueue()
    calls: queue.SimpleQueue[Call] = queue.SimpleQueue()

    class Clip:
        def open_input(self, name: str, rate_hz: int, block: int, call: Call) -> Stream:
            assert (name, rate_hz, block) == ("clip", RATE_HZ, 480)
            calls.put(call)
            return self

        def start(self) -> None:
            return

        def stop(self) -> None:
            return

        def close(self) -> None:
            return

    class Now:
        inputBufferAdcTime = 0.0  # noqa: N815 - the driver's name
        currentTime = 0.0  # noqa: N815 - the driver's name

    hearing = Hearing(Ear(StreamingListener(), lambda _: None), told.put)
    microphone = OwnMicrophone(MicrophoneSetting(name="clip"), hearing, Clip(), 10**9)
    microphone.start()
    calls.get(timeout=10)(np.zeros((480, 1), np.float32), 480, Now(), None)
    now_ns = time.perf_counter_ns()
    heard = hearing.life
    microphone.stop()

    assert heard is not None
    assert heard.clock.line().host_ns(10_000_000) == pytest.approx(now_ns, abs=1_000_000_000)
    assert said([told.get(timeout=10), told.get(timeout=10)]) == [
        "Listening by the microphone.",
        "Nothing is heard: the microphone is gone.",
    ]
