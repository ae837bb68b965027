"""A thread that does one thing again and again until it is stopped, and keeps what it died of."""

from __future__ import annotations

import threading
from abc import ABC, abstractmethod

_JOIN_S = 5.0


class Regular(ABC):
    """Does something every so often.

    Args:
        name: Of the thread.
        each_s: From the end of one turn to the next.
    """

    def __init__(self, name: str, each_s: float) -> None:
        self._each_s = each_s
        self._stop = threading.Event()
        self._failure: BaseException | None = None
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)

    @abstractmethod
    def turn(self) -> None:
        """Do it once, on the thread."""

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """End.

        Raises:
            RuntimeError: If it died of a mistake of ours.
        """
        self._stop.set()
        if self._thread.is_alive():
            self._thread.join(_JOIN_S)
        self.check()

    def check(self) -> None:
        """Raise what the thread died of, if it did.

        Raises:
            RuntimeError: If it died of a mistake of ours.
        """
        if self._failure is not None:
            msg = f"the thread {self._thread.name} died"
            raise RuntimeError(msg) from self._failure

    def _run(self) -> None:
        try:
            while not self._stop.wait(self._each_s):
                self.turn()
        except BaseException as error:  # noqa: BLE001 - kept, and raised by whoever asks
            self._failure = error
