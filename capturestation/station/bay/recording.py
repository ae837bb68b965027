"""The recording process, begun and ended beside the window: nobody waits for it.

Owns the order of beginnings and ends, one after the other on a thread of its own. What is said to
a process that is still being begun reaches it. Knows neither who is hitting nor what is shown.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from typing import Protocol

from capturestation.capture.messages import Command
from capturestation.errors import StationError
from capturestation.records.capture import CaptureSetting
from capturestation.station.capture_client import CaptureClient, Told


@dataclass(frozen=True, slots=True, kw_only=True)
class Began:
    """A recording process is there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotBegun:
    """None could be begun."""

    why: StationError


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """It is gone, as it was asked to; all that was struck is kept or said to be lost."""


Said = Told | Began | NotBegun | Ended


class Client(Protocol):
    """What a recording process is to this: `CaptureClient`."""

    def say(self, command: Command) -> None:
        """Tell it something."""

    def facts(self) -> list[Told]:
        """All that it said."""

    def stop(self) -> None:
        """Have it finish what is struck, and wait for that."""


class Recording:
    """At most one recording process.

    Args:
        make: Begins one; for trials another one.
    """

    def __init__(self, make: Callable[[CaptureSetting], Client] = CaptureClient) -> None:
        self._make = make
        self._lock = threading.Lock()
        self._client: Client | None = None
        self._unsaid: list[Command] = []
        self._said: queue.SimpleQueue[Said] = queue.SimpleQueue()
        self._turns = ThreadPoolExecutor(max_workers=1, thread_name_prefix="recording")
        self._wanted = False

    @property
    def is_wanted(self) -> bool:
        """Whether one is there, or being begun, and not asked to end."""
        return self._wanted

    def begin(self, setting: CaptureSetting) -> None:
        """Begin one; one that is there ends first. Returns at once."""
        self.end()
        with self._lock:
            self._wanted = True
            self._unsaid.clear()
        self._turns.submit(self._begin, setting)

    def end(self) -> None:
        """Have it finish what is struck and end. Returns at once; `Ended` comes when it is so."""
        if self._wanted:
            self._wanted = False
            self._turns.submit(self._end)

    def say(self, command: Command) -> None:
        """Tell it something; nothing where none is wanted."""
        with self._lock:
            client = self._client if self._wanted else None
            if client is None:
                if self._wanted:
                    self._unsaid.append(command)
                return
        client.say(command)

    def told(self) -> list[Said]:
        """All that was said, in its order, and nobody asked for yet."""
        found: list[Said] = []
        with self._lock:
            client = self._client
        self._drain(found)
        if client is not None:
            found += client.facts()
        return found

    def wait(self) -> None:
        """Wait until what was asked for by now is done."""
        self._turns.submit(_nothing).result()

    def close(self) -> None:
        """End it and wait for that."""
        self.end()
        self._turns.shutdown(wait=True)

    def _drain(self, found: list[Said]) -> None:
        with suppress(queue.Empty):
            while True:
                found.append(self._said.get_nowait())

    def _begin(self, setting: CaptureSetting) -> None:
        try:
            client = self._make(setting)
        except StationError as error:
            self._said.put(NotBegun(why=error))
            return
        self._said.put(Began())
        with self._lock:
            # What was said meanwhile comes first.
            for command in self._unsaid:
                client.say(command)
            self._unsaid.clear()
            self._client = client

    def _end(self) -> None:
        with self._lock:
            client = self._client
        if client is None:
            return
        client.stop()
        with self._lock:
            self._client = None
            for fact in client.facts():
                self._said.put(fact)
        self._said.put(Ended())


def _nothing() -> None:
    """Its turn comes when what was before it is done."""
