"""The recording process with a part that fails once a file is there, and works again without it.

`python -m tests.helpers.faulty_recording PART FILE`: `microphone`, an invented one in a quiet room
that falls silent and can't be opened, or `clock`, the time of day an hour back.
"""

from __future__ import annotations

import sys
import threading
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from capturestation.capture import wall
from capturestation.capture.bay import Senses, plain_senses
from capturestation.capture.process import main
from capturestation.errors import NotReadableError
from capturestation.media.microphone import Call

_ROOM = 0.0005


class Times:
    """A driver that doesn't know when a block was taken."""

    inputBufferAdcTime = 0.0  # noqa: N815 - the driver's name
    currentTime = 0.0  # noqa: N815 - the driver's name


class QuietInput:
    """An open input in a quiet room, until it is unplugged."""

    def __init__(self, gone: Path, rate_hz: int, block: int, call: Call) -> None:
        self._gone = gone
        self._wait_s = block / rate_hz
        self._block = block
        self._call = call
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def start(self) -> None:
        self._thread.start()

    def _run(self) -> None:
        room = np.random.default_rng(1)
        while not self._stop.wait(self._wait_s):
            if self._gone.exists():
                continue
            data = room.normal(0.0, _ROOM, (self._block, 1)).astype(np.float32)
            self._call(data, self._block, Times(), None)

    def stop(self) -> None:
        self._stop.set()

    def close(self) -> None:
        self._thread.join()


class Plug:
    """A driver whose microphone is there as long as a file is not."""

    def __init__(self, gone: Path) -> None:
        self._gone = gone

    def open_input(self, name: str, rate_hz: int, block: int, call: Call) -> QuietInput:
        if self._gone.exists():
            raise NotReadableError(
                "The microphone can't be opened.", try_next="Plug it in.", subject=name
            )
        return QuietInput(self._gone, rate_hz, block, call)


def senses(part: str, file: Path) -> Senses:
    """What fails."""
    whole = plain_senses()
    if part == "microphone":
        return Senses(listener=whole.listener, confirmer=whole.confirmer, driver=Plug(file))
    real = wall.time_of_day

    def shown() -> datetime:
        return real() - timedelta(hours=1) if file.exists() else real()

    wall.time_of_day = shown
    return whole


if __name__ == "__main__":
    code = main(lambda: senses(sys.argv[1], Path(sys.argv[2])))
    sys.exit(code)
