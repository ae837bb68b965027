"""The thread that writes facts to whoever reads them, so that nobody else waits for a slow reader.

Owns what is let go when the reader is slow: older previews and health, never a ball.
"""

from __future__ import annotations

import threading
from collections import deque
from typing import BinaryIO

from capturestation.capture.messages import Doing, Fact, Preview, to_line

_MOST_WAITING = 10_000


class Speaker:
    """Writes facts as lines.

    Args:
        stream: Where to.
    """

    def __init__(self, stream: BinaryIO) -> None:
        self._stream = stream
        self._waiting: deque[Fact] = deque()
        self._lock = threading.Condition()
        self._ending = False
        self.is_cut = threading.Event()
        self._thread = threading.Thread(target=self._run, name="speaker", daemon=True)
        self._thread.start()

    def tell(self, fact: Fact) -> None:
        """Have a fact said; never waits."""
        with self._lock:
            if isinstance(fact, Preview | Doing):
                self._forget_older(fact)
            if len(self._waiting) < _MOST_WAITING:
                self._waiting.append(fact)
            self._lock.notify()

    def _forget_older(self, fact: Preview | Doing) -> None:
        for old in self._waiting:
            same_view = not isinstance(old, Preview) or getattr(fact, "view", None) is old.view
            if type(old) is type(fact) and same_view:
                self._waiting.remove(old)
                return

    def end(self) -> None:
        """Say what is left, then end; a reader that takes nothing is not waited for long."""
        with self._lock:
            self._ending = True
            self._lock.notify()
        self._thread.join(5.0)

    def _run(self) -> None:
        while True:
            with self._lock:
                while not self._waiting and not self._ending:
                    self._lock.wait()
                if not self._waiting:
                    return
                fact = self._waiting.popleft()
            try:
                self._stream.write(to_line(fact).encode())
                self._stream.flush()
            except OSError:
                # Nobody reads any more: what is struck is still finished.
                self.is_cut.set()
                return
