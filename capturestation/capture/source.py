"""One camera's thread: open, read, put into the ring; when it breaks off, try again.

Owns a source's lives: each connection has its own clock, head and ring, since after it the camera's
stamps begin anew. Nothing that others do can keep the reader waiting.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

from capturestation.capture.clock import SourceClock
from capturestation.capture.missing import Missing
from capturestation.capture.ring import Ring
from capturestation.errors import StationError
from capturestation.media.live import open_live
from capturestation.media.packets import Live, Packet, SoundBlock
from capturestation.records import NS_PER_S
from capturestation.records.capture import Got, SourceSetting, SourceState

_RETRY_S = (0.1, 0.2, 0.4, 0.8, 1.5, 2.0)
_JOIN_S = 12.0
# A stream that says nothing is noticed after two seconds; opening one may take eight.
_SOUND_BYTES = 64 << 20
# Two minutes at 96 kHz; time is its limit, this only the guard.

Opener = Callable[[SourceSetting, Callable[[float], bool]], Live]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Life:
    """One connection of a source.

    Args:
        got: What it gives.
        head: What a decoder must know.
        begun_ns: When it came up, host clock.
        pictures: Its latest packets.
        sound: Its latest sound.
        clock: Its clock against the host's.
        microphone_m: From ball to the microphone that its sound comes from; None if not measured.
        missing: Frames that by their stamps should be there.
        over: Set once nothing more will come by it.
    """

    got: Got
    head: bytes
    begun_ns: int
    pictures: Ring[Packet]
    sound: Ring[SoundBlock]
    clock: SourceClock
    microphone_m: float | None = None
    missing: Missing = field(default_factory=Missing)
    over: threading.Event = field(default_factory=threading.Event)


class Watcher(Protocol):
    """Who is told what a source does, from the source's thread; must never wait."""

    def came_up(self, source: Source, life: Life) -> None:
        """It is there."""

    def went_down(self, source: Source, why: StationError) -> None:
        """It is gone, or was not there; said once until it is back."""

    def sounded(self, source: Source, life: Life, block: SoundBlock) -> None:
        """It sent sound."""


def opened_for_real(setting: SourceSetting, wait: Callable[[float], bool]) -> Live:
    """The real way to open a source."""
    return open_live(setting, wait=wait)


class Source:
    """A camera that is read for as long as the station runs.

    Args:
        setting: Which.
        watcher: Is told.
        limit_bytes: Memory for its pictures.
        limit_ns: How far back they reach.
        opener: Opens it.
    """

    def __init__(
        self,
        setting: SourceSetting,
        watcher: Watcher,
        *,
        limit_bytes: int,
        limit_ns: int,
        opener: Opener = opened_for_real,
    ) -> None:
        self.setting = setting
        self._watcher = watcher
        self._limit_bytes = limit_bytes
        self.limit_ns = limit_ns
        self._opener = opener
        self._stop = threading.Event()
        self._lives: tuple[Life, ...] = ()
        self._is_up = False
        self._failure: BaseException | None = None
        self._thread = threading.Thread(
            target=self._run, name=f"source {setting.view}", daemon=True
        )

    @property
    def state(self) -> SourceState:
        """Whether it is there."""
        return SourceState.UP if self._is_up else SourceState.DOWN

    @property
    def life(self) -> Life | None:
        """Its latest connection; None before the first."""
        lives = self._lives
        return lives[-1] if lives else None

    def life_at(self, host_ns: int) -> Life | None:
        """The connection that a time falls into, or the last one that began before it."""
        earlier = [life for life in self._lives if life.begun_ns <= host_ns]
        return earlier[-1] if earlier else None

    def start(self) -> None:
        """Begin to read."""
        self._thread.start()

    def stop(self) -> None:
        """End, and wait for the thread.

        Raises:
            RuntimeError: If it hangs, or if it died of a mistake of ours.
        """
        self._stop.set()
        self._thread.join(_JOIN_S)
        if self._thread.is_alive():
            msg = f"{self._thread.name} did not end"
            raise RuntimeError(msg)
        self.check()

    def check(self) -> None:
        """Raise what the thread died of, if it did.

        Raises:
            RuntimeError: If it died of a mistake of ours.
        """
        if self._failure is not None:
            msg = f"{self._thread.name} died"
            raise RuntimeError(msg) from self._failure

    def _run(self) -> None:
        tries, is_said = 0, False
        while not self._stop.is_set():
            begun_ns = time.perf_counter_ns()
            try:
                self._live_once()
            except StationError as error:
                was_up, self._is_up = self._is_up, False
                if was_up or not is_said:
                    self._watcher.went_down(self, error)
                    is_said = True
            except BaseException as error:  # noqa: BLE001 - kept, and raised by whoever asks
                self._failure = error
                self._is_up = False
                return
            long = time.perf_counter_ns() - begun_ns > 5 * NS_PER_S
            tries = 0 if long else min(tries + 1, len(_RETRY_S) - 1)
            self._stop.wait(_RETRY_S[tries])

    def _live_once(self) -> None:
        with self._opener(self.setting, self._stop.wait) as live:
            life = self._begun(live)
            try:
                self._read(live, life)
            finally:
                life.over.set()

    def _read(self, live: Live, life: Life) -> None:
        for item in live:
            if isinstance(item, Packet):
                life.clock.add(item.due_ns, item.host_ns)
                life.pictures.append(item)
                if life.got.own_clock:
                    life.missing.add(item)
                if not self._is_up:
                    self._add(life)
            elif self._is_up:
                life.sound.append(item)
                self._watcher.sounded(self, life, item)
            if self._stop.is_set():
                return

    def _begun(self, live: Live) -> Life:
        return Life(
            got=live.got,
            head=live.head,
            begun_ns=time.perf_counter_ns(),
            pictures=Ring(limit_bytes=self._limit_bytes, limit_ns=self.limit_ns),
            sound=Ring(limit_bytes=_SOUND_BYTES, limit_ns=self.limit_ns),
            clock=SourceClock(own=live.got.own_clock),
            microphone_m=self.setting.microphone_m,
        )

    def _add(self, life: Life) -> None:
        """It sends: from now on its first picture, and so its clock, is there."""
        last = self.life
        before: tuple[Life, ...] = ()
        if last is not None:
            # What it sent before it broke off may still be asked for, but no longer than that.
            horizon_ns = life.begun_ns - self.limit_ns
            newest = last.pictures.newest_key()
            before = (last,) if newest is not None and newest.host_ns > horizon_ns else ()
        self._lives = (*before, life)
        self._is_up = True
        self._watcher.came_up(self, life)
