"""A source is taken up again when it breaks off, and its connections are never mixed."""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from types import TracebackType
from typing import Self

import pytest

from capturestation.capture.source import Life, Source
from capturestation.errors import NotReadableError, StationError
from capturestation.media.packets import Live, Packet, SoundBlock
from capturestation.records import View
from capturestation.records.capture import Got, SourceKind, SourceSetting, SourceState

SETTING = SourceSetting(view=View.FACE_ON, kind=SourceKind.STREAM, address="tcp://bay.example:1")
GOT = Got(codec="mjpeg", width_px=160, height_px=96)
Said = tuple[str, str]


def packet(number: int, *, is_key: bool = True) -> Packet:
    return Packet(
        host_ns=time.perf_counter_ns(),
        pts=number,
        dts=number,
        duration=1,
        time_base=Fraction(1, 60),
        is_key=is_key,
        data=b"picture",
    )


class Scripted:
    """A camera that sends so many packets, then breaks off."""

    def __init__(self, first: int, count: int, stop: Callable[[float], bool]) -> None:
        self.got = GOT
        self.head = b"head"
        self._numbers = range(first, first + count)
        self._stop = stop

    def __iter__(self) -> Iterator[Packet | SoundBlock]:
        for number in self._numbers:
            yield packet(number)
        raise broken()

    def close(self) -> None:
        """Nothing is held."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def broken() -> NotReadableError:
    return NotReadableError("It stopped sending.", try_next="Plug it in.")


class Notes:
    """Writes down what a source says."""

    def __init__(self) -> None:
        self.said: queue.SimpleQueue[Said] = queue.SimpleQueue()
        self.lives: list[Life] = []

    def came_up(self, source: Source, life: Life) -> None:
        self.lives.append(life)
        self.said.put(("up", source.setting.view))

    def went_down(self, source: Source, why: StationError) -> None:
        assert source.setting is SETTING
        self.said.put(("down", why.what))

    def sounded(self, source: Source, life: Life, block: SoundBlock) -> None:
        assert life is self.lives[-1]
        self.said.put((f"sound of {block.rate_hz}", source.setting.view))


def started(notes: Notes, openings: list[Callable[[Callable[[float], bool]], Live]]) -> Source:
    """A source whose openings go as said, one after the other; the last one waits for the end."""
    script = iter(openings)

    def opener(setting: SourceSetting, wait: Callable[[float], bool]) -> Live:
        opening = next(script, None)
        if opening is None:
            wait(60.0)
            raise broken()
        return opening(wait)

    source = Source(SETTING, notes, limit_bytes=1000, limit_ns=10**12, opener=opener)
    source.start()
    return source


def fails(wait: Callable[[float], bool]) -> Live:
    raise broken()


def test_a_source_that_breaks_off_is_taken_up_again_with_a_life_of_its_own() -> None:
    notes = Notes()
    source = started(notes, [lambda w: Scripted(0, 3, w), lambda w: Scripted(0, 2, w)])

    said = [notes.said.get(timeout=10) for _ in range(4)]
    source.stop()

    assert said == [("up", "face-on"), ("down", "It stopped sending.")] * 2
    assert [len(life.pictures.since(0)) for life in notes.lives] == [3, 2]


def test_what_is_not_there_is_said_once_and_tried_until_it_is() -> None:
    notes = Notes()
    source = started(notes, [fails, fails, lambda w: Scripted(0, 1, w)])

    said = [notes.said.get(timeout=10) for _ in range(3)]
    source.stop()

    assert said == [
        ("down", "It stopped sending."),
        ("up", "face-on"),
        ("down", "It stopped sending."),
    ]
    assert source.state is SourceState.DOWN


def test_a_time_belongs_to_the_connection_that_it_falls_into() -> None:
    notes = Notes()
    source = started(notes, [lambda w: Scripted(0, 3, w), lambda w: Scripted(0, 2, w)])
    for _ in range(4):
        notes.said.get(timeout=10)
    source.stop()
    first, second = notes.lives

    assert source.life_at(first.begun_ns) is first
    assert source.life_at(second.begun_ns - 1) is first
    assert source.life_at(second.begun_ns) is second
    assert source.life_at(first.begun_ns - 1) is None


def test_a_mistake_of_ours_ends_the_thread_and_is_raised() -> None:
    died = threading.Event()

    def opener(setting: SourceSetting, wait: Callable[[float], bool]) -> Live:
        died.set()
        msg = "broken on purpose"
        raise ZeroDivisionError(msg)

    source = Source(SETTING, Notes(), limit_bytes=1, limit_ns=1, opener=opener)
    source.start()
    died.wait(10)

    with pytest.raises(RuntimeError, match="source face-on died"):
        source.stop()
