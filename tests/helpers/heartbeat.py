"""How long the window's thread was away: a beat that comes late says how long nothing was heard.

Whoever waits for a picture or a key waits for that thread. A second thread looks at what the first
is at while it is away.
"""

from __future__ import annotations

import sys
import threading
import time
from pathlib import Path
from types import FrameType

from PyQt6.QtCore import QObject, Qt, QTimer

from tests.helpers.seen_window import Stall

BEAT_MS = 5
LONG_MS = 50.0
"""More is felt as a hitch."""
_KEPT = 12
_DEPTH = 6
_IDLE = "run_window"
_COUNT = Path("/proc/thread-self/schedstat")


class Heartbeat(QObject):
    """Beats on the thread on which it was made; close it."""

    def __init__(self) -> None:
        super().__init__()
        self._stalls: list[Stall] = []
        self._thread = threading.get_ident()
        self._last_s = time.perf_counter()
        self._cpu_s = time.thread_time()
        self._starved_ms = starved_ms()
        self._seen: tuple[str, ...] = ()
        self._stop = threading.Event()
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self.beat)
        self._timer.start(BEAT_MS)
        self._watcher = threading.Thread(target=self._watch, name="heartbeat", daemon=True)
        self._watcher.start()

    def beat(self) -> None:
        """Note how long it was since the last one."""
        now_s, cpu_s = time.perf_counter(), time.thread_time()
        late_ms = (now_s - self._last_s) * 1e3 - BEAT_MS
        if late_ms > BEAT_MS:
            self._keep(
                Stall(
                    ms=round(late_ms, 1),
                    cpu_ms=round((cpu_s - self._cpu_s) * 1e3, 1),
                    starved_ms=round(starved_ms() - self._starved_ms, 1),
                    where=self._seen,
                )
            )
        self.forgive()

    def forgive(self) -> None:
        """Count from now: what was done since the last beat was the test's own doing."""
        self._seen = ()
        self._last_s, self._cpu_s = time.perf_counter(), time.thread_time()
        self._starved_ms = starved_ms()

    @property
    def stalls(self) -> tuple[Stall, ...]:
        """The longest, longest first."""
        return tuple(self._stalls)

    def forget(self) -> None:
        """Begin anew."""
        self._stalls.clear()
        self.forgive()

    def close(self) -> None:
        """End both."""
        self._timer.stop()
        self._stop.set()
        self._watcher.join(timeout=2)

    def _keep(self, stall: Stall) -> None:
        self._stalls.append(stall)
        self._stalls.sort(key=lambda kept: -kept.ms)
        del self._stalls[_KEPT:]

    def _watch(self) -> None:
        while not self._stop.wait(LONG_MS / 4e3):
            away_ms = (time.perf_counter() - self._last_s) * 1e3
            if away_ms > LONG_MS / 2 and not self._seen:
                self._seen = self._look()

    def _look(self) -> tuple[str, ...]:
        frames = sys._current_frames()
        own = where_is(frames.pop(self._thread, None))
        frames.pop(threading.get_ident(), None)
        if own and own[0].endswith(_IDLE):
            # Nothing to do, and still not heard: somebody else keeps Python to himself.
            return (*own[:1], *(f"beside: {' < '.join(where_is(f)[:3])}" for f in frames.values()))
        return own


def starved_ms() -> float:
    """How long this thread has waited for a core since it began, by Linux's own count."""
    if not _COUNT.exists():
        return 0.0
    return int(_COUNT.read_text(encoding="ascii").split()[1]) / 1e6


def where_is(frame: FrameType | None) -> tuple[str, ...]:
    """What a thread is at, innermost first, the beat itself left out."""
    told: list[str] = []
    while frame is not None and len(told) < _DEPTH:
        code = frame.f_code
        told.append(f"{Path(code.co_filename).name}:{frame.f_lineno} {code.co_name}")
        frame = frame.f_back
    return tuple(told)
