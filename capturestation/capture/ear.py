"""Listening for strikes: what a listener is, a plain one, and the thread that feeds it.

Owns the way of a block of sound from the source's thread to a candidate, on the host's clock.
"""

from __future__ import annotations

import queue
import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from capturestation.records import NS_PER_S, FloatArray, SoundArray
from capturestation.records.capture import Candidate
from capturestation.timing.strike import LOWEST_RATE_HZ, find_strikes

_KEPT_S = 0.6
_HOP_S = 0.04
_ROOM_S = 0.12
# What lies so far before a burst tells how loud the room is: the finder asks for 60 ms.
_AFTER_S = 0.02
# What it looks at after the beginning.
_BIN_S = 0.001
_JUMP = 10.0
# 10 dB over the room within a millisecond: less is looked at by nobody's ear either.
_LEAST_SNR_DB = 10.0
_LEAST_SHARP = 0.3
_GAP_NS = 20_000_000
_MOST_WAITING = 4_000
# Forty seconds of blocks: a thread that is so far behind is stuck.


class Listener(Protocol):
    """Hears strikes in blocks of sound that follow each other."""

    def hear(self, samples: SoundArray, rate_hz: int, start_host_ns: int) -> tuple[Candidate, ...]:
        """Take the next block.

        Args:
            samples: (n,) mono, any length.
            rate_hz: Samples a second.
            start_host_ns: When its first sample was taken.

        Returns:
            What may be a strike, as soon as it is known; oldest first.
        """

    def forget(self) -> None:
        """Begin anew: what comes next does not follow on what came."""


class BlockListener:
    """The finder for whole sounds, run over the last half second wherever something jumps."""

    def __init__(self) -> None:
        self._sound: SoundArray = np.zeros(0, np.float32)
        self._waiting: list[SoundArray] = []
        self._end_ns = 0
        self._rate_hz = 0
        self._fresh = 0
        self._told_ns = 0
        self._room: deque[float] = deque(maxlen=round(_KEPT_S / _BIN_S))

    def hear(self, samples: SoundArray, rate_hz: int, start_host_ns: int) -> tuple[Candidate, ...]:
        """Take the next block."""
        if rate_hz < LOWEST_RATE_HZ:
            return ()
        if rate_hz != self._rate_hz or abs(start_host_ns - self._end_ns) > _GAP_NS:
            self.forget()
            self._rate_hz = rate_hz
        self._waiting.append(samples)
        self._end_ns = start_host_ns + len(samples) * NS_PER_S // rate_hz
        self._fresh += len(samples)
        if self._fresh < _HOP_S * rate_hz:
            return ()
        kept = round(_KEPT_S * rate_hz)
        self._sound = np.concatenate([self._sound, *self._waiting])[-kept:]
        self._waiting.clear()
        fresh, self._fresh = self._fresh + round(_AFTER_S * rate_hz), 0
        if len(self._sound) < fresh + _ROOM_S * rate_hz or not self._jumps(fresh):
            return ()
        return self._looked_at(fresh)

    def _jumps(self, fresh: int) -> bool:
        """Whether a millisecond of the newest is much louder than the room before it."""
        size = round(_BIN_S * self._rate_hz)
        bins = fresh // size + 1
        bright: FloatArray = np.diff(self._sound[-bins * size - 2 :].astype(np.float64), n=2)
        power = np.mean(bright.reshape(bins, size) ** 2, axis=1)
        room = float(np.median(self._room)) + 1e-12 if self._room else float("inf")
        # The newest few are looked at once more with what follows them.
        self._room.extend(power[: -round(_AFTER_S / _BIN_S)].tolist())
        return bool(power.max() > _JUMP * room)

    def _looked_at(self, fresh: int) -> tuple[Candidate, ...]:
        rate_hz = self._rate_hz
        start_ns = self._end_ns - len(self._sound) * NS_PER_S // rate_hz
        late_ns = self._end_ns - round(_AFTER_S * NS_PER_S)
        early_ns = self._end_ns - fresh * NS_PER_S // rate_hz - 5_000_000
        found = []
        for onset in find_strikes(self._sound, rate_hz, start_ns):
            at_ns = onset.arrival_ns
            is_new = max(early_ns, self._told_ns + 1_000_000) <= at_ns < late_ns
            like = onset.snr_db >= _LEAST_SNR_DB and onset.sharpness >= _LEAST_SHARP
            if is_new and like and onset.after_ns is None:
                candidate = Candidate(
                    at_host_ns=at_ns,
                    u_ns=onset.u_ns,
                    snr_db=onset.snr_db,
                    sharpness=onset.sharpness,
                    peak=onset.peak,
                )
                found.append(candidate)
        found.sort(key=lambda one: one.at_host_ns)
        if found:
            self._told_ns = found[-1].at_host_ns
        return tuple(found)

    def forget(self) -> None:
        """Begin anew."""
        self._sound = np.zeros(0, np.float32)
        self._waiting.clear()
        self._room.clear()
        self._fresh = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Listened:
    """A block on its way to the listener."""

    samples: SoundArray
    rate_hz: int
    start_host_ns: int


class Ear:
    """The thread between a source's sound and the listener.

    Args:
        listener: Hears.
        heard: Is told each candidate, from this thread.
    """

    def __init__(self, listener: Listener, heard: Callable[[Candidate], None]) -> None:
        self._listener = listener
        self._heard = heard
        self._blocks: queue.SimpleQueue[Listened | None] = queue.SimpleQueue()
        self._failure: BaseException | None = None
        self._thread = threading.Thread(target=self._run, name="ear", daemon=True)
        self._lock = threading.Lock()
        self._level: tuple[int, float, float] = (0, 0.0, 0.0)

    def start(self) -> None:
        """Begin to listen."""
        self._thread.start()

    def take(self, block: Listened) -> None:
        """Hand over a block; never waits."""
        if self._blocks.qsize() < _MOST_WAITING:
            self._blocks.put(block)

    def stop(self) -> None:
        """End, once all is heard."""
        self._blocks.put(None)
        self._thread.join(10.0)
        self.check()

    def check(self) -> None:
        """Raise what the thread died of, if it did.

        Raises:
            RuntimeError: If it died of a mistake of ours.
        """
        if self._failure is not None:
            msg = "the ear died"
            raise RuntimeError(msg) from self._failure

    def level(self) -> tuple[int, float, float]:
        """Samples, largest sample and mean square since asked last."""
        with self._lock:
            level, self._level = self._level, (0, 0.0, 0.0)
        count, peak, power = level
        return count, peak, power / count if count else 0.0

    def _run(self) -> None:
        try:
            while (block := self._blocks.get()) is not None:
                self._measure(block.samples)
                heard = self._listener.hear(block.samples, block.rate_hz, block.start_host_ns)
                for candidate in heard:
                    self._heard(candidate)
        except BaseException as error:  # noqa: BLE001 - kept, and raised by whoever asks
            self._failure = error

    def _measure(self, samples: SoundArray) -> None:
        if not len(samples):
            return
        peak, power = float(np.abs(samples).max()), float(samples @ samples)
        with self._lock:
            count, highest, whole = self._level
            self._level = (count + len(samples), max(highest, peak), whole + power)
