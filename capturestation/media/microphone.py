"""The station's own microphone: blocks of sound, and when by the host's clock they were taken.

Owns the only use of `sounddevice`, which is not needed otherwise. The driver says when a block was
taken by a clock of its own; that clock and the host's are read together in every call, so that the
time on the way through the driver does not count. Called by the recording process.
"""

from __future__ import annotations

import importlib
import time
from collections.abc import Callable
from types import TracebackType
from typing import Protocol, Self

import numpy as np

from capturestation.errors import NotReadableError
from capturestation.media.packets import SoundBlock
from capturestation.records import NS_PER_S, FloatArray, SoundArray
from capturestation.records.capture import MicrophoneSetting

Taken = Callable[[SoundBlock], None]
_BLOCK_S = 0.01
_NEVER_S = 1e-6
# Drivers that don't know when a block was taken say zero.


class CallTimes(Protocol):
    """What the driver says with a block, seconds of its own clock."""

    @property
    def inputBufferAdcTime(self) -> float:  # noqa: N802 - the driver's name
        """When its first sample was taken."""

    @property
    def currentTime(self) -> float:  # noqa: N802 - the driver's name
        """Now."""


class Stream(Protocol):
    """An input that is open."""

    def start(self) -> None:
        """Begin."""

    def stop(self) -> None:
        """End."""

    def close(self) -> None:
        """Let go."""


Call = Callable[[SoundArray | FloatArray, int, CallTimes, object], None]


class Driver(Protocol):
    """Opens inputs."""

    def open_input(self, name: str, rate_hz: int, block: int, call: Call) -> Stream:
        """Open one.

        Raises:
            NotReadableError: If it is not there, or no driver is.
        """


class SystemDriver:
    """The system's sound, by `sounddevice`."""

    def open_input(self, name: str, rate_hz: int, block: int, call: Call) -> Stream:
        """Open an input by its name, or the usual one.

        Raises:
            NotReadableError: If it is not there, or no driver is.
        """
        try:
            driver = importlib.import_module("sounddevice")
        except (ImportError, OSError) as error:
            raise NotReadableError(
                "No microphone can be reached: sounddevice or PortAudio is missing.",
                try_next="Install both (`pip install sounddevice`; on Debian `libportaudio2` too), "
                "or use a camera's sound.",
                subject=name,
            ) from error
        try:
            stream: Stream = driver.InputStream(
                device=name or None,
                samplerate=rate_hz,
                channels=1,
                dtype="float32",
                blocksize=block,
                latency="low",
                callback=call,
            )
        except (driver.PortAudioError, ValueError, OSError) as error:
            raise NotReadableError(
                f"The microphone {name or '(the usual one)'} can't be opened.",
                try_next="Check its plug and its name, and that this program may use it.",
                subject=name,
            ) from error
        return stream


class LiveMicrophone:
    """A microphone that is open; blocks are handed on from the driver's thread.

    Args:
        setting: Which.
        taken: Takes each block, never waiting.
        driver: Opens it.
        clock: The host's clock.

    Raises:
        NotReadableError: If it can't be opened.
    """

    def __init__(
        self,
        setting: MicrophoneSetting,
        taken: Taken,
        *,
        driver: Driver,
        clock: Callable[[], int] = time.perf_counter_ns,
    ) -> None:
        self._taken = taken
        self._clock = clock
        self._rate_hz = setting.rate_hz
        self._count = 0
        block = round(_BLOCK_S * setting.rate_hz)
        self._stream = driver.open_input(setting.name, setting.rate_hz, block, self._call)
        self._stream.start()

    def _call(
        self, data: SoundArray | FloatArray, frames: int, times: CallTimes, _status: object
    ) -> None:
        now_ns = self._clock()
        lasts_ns = frames * NS_PER_S // self._rate_hz
        taken_ns = now_ns - lasts_ns
        if times.inputBufferAdcTime > _NEVER_S:
            on_the_way_s = times.currentTime - times.inputBufferAdcTime
            taken_ns = now_ns - round(on_the_way_s * NS_PER_S)
        # Samples are this clock's ticks: it runs as the converter does.
        device_ns = self._count * NS_PER_S // self._rate_hz
        self._count += frames
        self._taken(
            SoundBlock(
                host_ns=taken_ns + lasts_ns,
                device_ns=device_ns,
                rate_hz=self._rate_hz,
                samples=np.array(data, np.float32).reshape(frames, -1).mean(axis=1),
            )
        )

    def close(self) -> None:
        """Let go of it."""
        self._stream.stop()
        self._stream.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()
