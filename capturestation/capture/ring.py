"""The latest seconds of one source, in memory.

Owns the limits in bytes and in time. The reader's thread appends and is never kept waiting; others
take a stretch out, which keeps what they took alive however full the ring becomes.
"""

from __future__ import annotations

import threading
from collections import deque
from itertools import islice
from typing import Generic, Protocol, TypeVar


class Held(Protocol):
    """What a ring can hold."""

    @property
    def host_ns(self) -> int:
        """When it came."""

    @property
    def is_key(self) -> bool:
        """Whether it stands for itself."""

    @property
    def size_bytes(self) -> int:
        """Memory that it takes."""


Item = TypeVar("Item", bound=Held)


class Ring(Generic[Item]):
    """The latest items of one source, oldest first.

    What can't be shown without the key item before it goes together with it: the ring begins with
    a key item, the last one at or before its horizon.

    Args:
        limit_bytes: Never holds more, but for one group of its newest items.
        limit_ns: How far back it reaches, if the bytes allow.
    """

    def __init__(self, *, limit_bytes: int, limit_ns: int) -> None:
        self.limit_bytes = limit_bytes
        self.limit_ns = limit_ns
        self._items: deque[Item] = deque()
        self._keys_ns: deque[int] = deque()
        self._size_bytes = 0
        self._short = False
        self._gone = 0
        self._lock = threading.Lock()

    def append(self, item: Item) -> None:
        """Add the newest item and let go of what is too old or too much."""
        with self._lock:
            if not self._items and not item.is_key:
                return  # Nothing can be shown from it.
            self._items.append(item)
            self._size_bytes += item.size_bytes
            if item.is_key:
                self._keys_ns.append(item.host_ns)
            self._let_go(item.host_ns - self.limit_ns)

    def _let_go(self, horizon_ns: int) -> None:
        while len(self._keys_ns) > 1:
            too_old = self._keys_ns[1] <= horizon_ns
            if not too_old and self._size_bytes <= self.limit_bytes:
                return
            if not too_old:
                self._short = True
            self._drop_group()

    def _drop_group(self) -> None:
        self._keys_ns.popleft()
        self._drop_one()
        while not self._items[0].is_key:
            self._drop_one()

    def _drop_one(self) -> None:
        self._size_bytes -= self._items.popleft().size_bytes
        self._gone += 1

    def since(self, start_ns: int) -> list[Item]:
        """All from the key item at or before a time on; the oldest there are if that is gone."""
        return self.follow(start_ns).fresh()

    def follow(self, start_ns: int) -> Follower[Item]:
        """Take a stretch as by `since`, and what comes after it bit by bit."""
        return Follower(self, start_ns)

    def taken(self, start_ns: int) -> tuple[int, list[Item]]:
        """As `since`, with the place after the last one."""
        with self._lock:
            items, after = list(self._items), self._gone + len(self._items)
        # From the end: what is asked for is mostly the latest part of what there is.
        for place in range(len(items) - 1, -1, -1):
            if items[place].host_ns <= start_ns and items[place].is_key:
                return after, items[place:]
        return after, items

    def after(self, place: int) -> tuple[int, list[Item]]:
        """What came from a place on, with the place after it; from a key item if some are gone."""
        with self._lock:
            after = self._gone + len(self._items)
            # From the end: a follower is seldom far behind, and the ring is long.
            fresh = list(islice(reversed(self._items), max(after - place, 0)))
        fresh.reverse()
        return after, fresh

    def newest_key(self) -> Item | None:
        """The newest item that stands for itself, if any."""
        with self._lock:
            return next((item for item in reversed(self._items) if item.is_key), None)

    def clear(self) -> None:
        """Forget all."""
        with self._lock:
            self._gone += len(self._items)
            self._items.clear()
            self._keys_ns.clear()
            self._size_bytes = 0
            self._short = False

    @property
    def size_bytes(self) -> int:
        """Memory that its items take."""
        with self._lock:
            return self._size_bytes

    @property
    def span_ns(self) -> int:
        """From the oldest to the newest."""
        with self._lock:
            return self._items[-1].host_ns - self._items[0].host_ns if self._items else 0

    @property
    def short(self) -> bool:
        """Whether the bytes ever cut what the time asked for."""
        with self._lock:
            return self._short


class Follower(Generic[Item]):
    """What a ring held at first and everything since, each item once."""

    def __init__(self, ring: Ring[Item], start_ns: int) -> None:
        self._ring = ring
        self._place, self._first = ring.taken(start_ns)

    def fresh(self) -> list[Item]:
        """What was not handed out yet; what the ring let go of meanwhile is lost."""
        first, self._first = self._first, []
        self._place, later = self._ring.after(self._place)
        return [*first, *later]
