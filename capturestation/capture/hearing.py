"""Which of the station's sounds is listened to, and kept beside cameras that have none.

The microphone if there is one; else the first camera that sends sound, and another when that one
goes. Called from the sources' threads.
"""

from __future__ import annotations

import threading
from collections.abc import Callable

from capturestation.capture.ear import Ear, Listened
from capturestation.capture.messages import Fact, SoundState
from capturestation.capture.part import Heard
from capturestation.capture.source import Life
from capturestation.media.packets import SoundBlock
from capturestation.timing.strike import LOWEST_RATE_HZ

MICROPHONE = "microphone"


class Hearing:
    """Feeds the ear from one sound at a time.

    Args:
        ear: Hears.
        tell: Is told which one, and when there is none.
    """

    def __init__(self, ear: Ear, tell: Callable[[Fact], None]) -> None:
        self._ear = ear
        self._tell = tell
        self._lock = threading.Lock()
        self._name = ""
        self._life: Life | None = None

    @property
    def life(self) -> Life | None:
        """Whose sound it is; None while there is none."""
        with self._lock:
            return self._life

    def take(self, name: str, life: Life, block: SoundBlock) -> None:
        """A block of sound came; never waits."""
        with self._lock:
            chosen = self._life is None or (name == MICROPHONE != self._name)
            if chosen:
                self._name = name
            is_ours = name == self._name
            if is_ours:
                self._life = life
        coarse = block.rate_hz < LOWEST_RATE_HZ
        if chosen:
            self._tell(_listening(name, block.rate_hz))
        if is_ours and not coarse:
            self._ear.take(
                Listened(
                    samples=block.samples,
                    rate_hz=block.rate_hz,
                    start_device_ns=block.device_ns,
                    clock=life.clock,
                )
            )

    def lost(self, name: str) -> None:
        """A source is gone; what is heard next from another is listened to."""
        with self._lock:
            gone = name == self._name
            if gone:
                self._name, self._life = "", None
        if gone:
            said = f"Nothing is heard: the {_words(name)} is gone."
            self._tell(SoundState(hears=False, said=said))

    def missing(self, said: str) -> None:
        """The microphone can't be had; a camera's sound is listened to if there is one."""
        self._tell(SoundState(hears=self.life is not None, said=said))

    def sound_for(self, life: Life) -> Heard | None:
        """Whose sound goes beside a camera's pictures: its own, else what is listened to."""
        if life.got.sound_rate_hz is not None:
            return Heard(life=life, own=True)
        ours = self.life
        return None if ours is None else Heard(life=ours, own=False)


def _listening(name: str, rate_hz: int) -> SoundState:
    if rate_hz < LOWEST_RATE_HZ:
        said = f"Nothing is heard: {rate_hz} samples a second of the {_words(name)} are too few."
        return SoundState(hears=False, said=said)
    return SoundState(hears=True, said=f"Listening by the {_words(name)}.")


def _words(name: str) -> str:
    return name if name == MICROPHONE else f"{name} camera's microphone"
