"""The station's own microphone for as long as the station runs: opened again when it goes.

Owns a thread that looks whether sound still comes. Blocks come from the driver's thread.
"""

from __future__ import annotations

import threading
import time

from capturestation.capture.clock import SourceClock
from capturestation.capture.hearing import MICROPHONE, Hearing
from capturestation.capture.ring import Ring
from capturestation.capture.source import Life
from capturestation.errors import NotReadableError
from capturestation.media.microphone import Driver, LiveMicrophone
from capturestation.media.packets import SoundBlock
from capturestation.records import NS_PER_S
from capturestation.records.capture import Got, MicrophoneSetting

_QUIET_NS = 2 * NS_PER_S
_LOOK_S = 0.25
_RETRY_S = 2.0
_SOUND_BYTES = 64 << 20


class OwnMicrophone:
    """Feeds the hearing from a microphone.

    Args:
        setting: Which.
        hearing: Is fed.
        driver: Opens it.
        limit_ns: How far back its sound is kept.
    """

    def __init__(
        self, setting: MicrophoneSetting, hearing: Hearing, driver: Driver, limit_ns: int
    ) -> None:
        self._setting = setting
        self._hearing = hearing
        self._driver = driver
        self._limit_ns = limit_ns
        self._stop = threading.Event()
        self._last_ns = 0
        self._failure: BaseException | None = None
        self._thread = threading.Thread(target=self._run, name="microphone", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """End."""
        self._stop.set()
        self._thread.join(10.0)
        self.check()

    def check(self) -> None:
        """Raise what the thread died of, if it did.

        Raises:
            RuntimeError: If it died of a mistake of ours.
        """
        if self._failure is not None:
            msg = "the microphone's thread died"
            raise RuntimeError(msg) from self._failure

    def _run(self) -> None:
        is_said = False
        try:
            while not self._stop.is_set():
                try:
                    self._live_once()
                    is_said = False
                except NotReadableError as error:
                    if not is_said:
                        self._hearing.missing(str(error))
                    is_said = True
                self._stop.wait(_RETRY_S)
        except BaseException as error:  # noqa: BLE001 - kept, and raised by whoever asks
            self._failure = error

    def _live_once(self) -> None:
        """From opening it until it is silent for too long."""
        life = Life(
            got=Got(codec="", width_px=0, height_px=0, sound_rate_hz=self._setting.rate_hz),
            head=b"",
            begun_ns=time.perf_counter_ns(),
            pictures=Ring(limit_bytes=0, limit_ns=0),
            sound=Ring(limit_bytes=_SOUND_BYTES, limit_ns=self._limit_ns),
            clock=SourceClock(own=True),
            microphone_m=self._setting.distance_m,
        )
        self._last_ns = time.perf_counter_ns()

        def taken(block: SoundBlock) -> None:
            self._last_ns = time.perf_counter_ns()
            life.clock.add(block.end_device_ns, block.host_ns)
            life.sound.append(block)
            self._hearing.take(MICROPHONE, life, block)

        with LiveMicrophone(self._setting, taken, driver=self._driver):
            while not self._stop.wait(_LOOK_S):
                if time.perf_counter_ns() - self._last_ns > _QUIET_NS:
                    break
        self._hearing.lost(MICROPHONE)
