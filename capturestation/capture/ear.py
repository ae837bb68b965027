"""Listening for strikes: what a listener is, and the thread that feeds it.

Owns the way of a block of sound from the source's thread to a candidate. A listener goes by the
sound's own clock, which runs evenly while the host's reading of it is still being learnt.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from capturestation.capture.clock import SourceClock
from capturestation.records import SoundArray
from capturestation.records.capture import Candidate

_GATHER_S = 0.05
# To be woken for each block, a hundred times a second, costs more than to hear it.
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Listened:
    """A block on its way to the listener.

    Args:
        samples: (n,) mono.
        rate_hz: Samples a second.
        start_device_ns: Its first sample by the clock that it comes with, which has no gaps.
        clock: That clock against the host's.
    """

    samples: SoundArray
    rate_hz: int
    start_device_ns: int
    clock: SourceClock


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sounded:
    """Something heard, by the clock of the sound: what that is by the host's is known ever better.

    Args:
        candidate: Its time is the sound's own.
        clock: That clock.
    """

    candidate: Candidate
    clock: SourceClock

    def by_host(self) -> Candidate:
        """The same on the host's clock, as well as that is known by now."""
        at_ns = self.clock.line().host_ns(self.candidate.at_host_ns)
        return replace(self.candidate, at_host_ns=at_ns)


class Ear:
    """The thread between a source's sound and the listener.

    Args:
        listener: Hears.
        heard: Is told each candidate, from this thread.
    """

    def __init__(self, listener: Listener, heard: Callable[[Sounded], None]) -> None:
        self._listener = listener
        self._heard = heard
        self._blocks: queue.SimpleQueue[Listened] = queue.SimpleQueue()
        self._clock: SourceClock | None = None
        self._ending = threading.Event()
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
        self._ending.set()
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
            is_over = False
            while not is_over:
                is_over = self._ending.wait(_GATHER_S)
                blocks = [self._blocks.get() for _ in range(self._blocks.qsize())]
                if blocks:
                    self._measure(blocks)
                for block in blocks:
                    self._hear(block)
        except BaseException as error:  # noqa: BLE001 - kept, and raised by whoever asks
            self._failure = error

    def _hear(self, block: Listened) -> None:
        if block.clock is not self._clock:
            self._clock = block.clock
            self._listener.forget()
        heard = self._listener.hear(block.samples, block.rate_hz, block.start_device_ns)
        for candidate in heard:
            self._heard(Sounded(candidate=candidate, clock=block.clock))

    def _measure(self, blocks: Sequence[Listened]) -> None:
        samples = np.concatenate([block.samples for block in blocks])
        if not len(samples):
            return
        peak, power = float(np.abs(samples).max()), float(samples @ samples)
        with self._lock:
            count, highest, whole = self._level
            self._level = (count + len(samples), max(highest, peak), whole + power)
