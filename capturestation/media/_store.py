"""Room for the bytes of packets, two megabytes at a time.

A ring lets go of hundreds of packets a second, each of another size: given back to the system's
memory one by one, they leave holes that the next ones don't fit, a tenth of what they took. Laid
into large pieces in the order they come, they go in that order, and each piece goes whole. The
last one that went is filled again: new room from the system costs ten times what copying costs.
"""

from __future__ import annotations

import weakref
from collections import deque
from typing import cast

import av
import numpy as np
from av.stream import Stream

from capturestation.records import FrameArray

_PIECE_BYTES = 2 << 20
# Less is left over at the ends of larger ones, more in the one that is being emptied.


class Store:
    """Lays bytes into pieces; a piece lives as long as anything that lies in it.

    Called from one thread; what lies in it may be let go from any.
    """

    def __init__(self) -> None:
        self._piece = memoryview(b"")
        self._used = 0
        self._spare: deque[FrameArray] = deque(maxlen=1)

    def put(self, data: memoryview) -> memoryview:
        """A copy that nobody can change."""
        size_bytes = len(data)
        if len(self._piece) - self._used < size_bytes:
            self._piece = self._room(size_bytes)
            self._used = 0
        place = self._piece[self._used : self._used + size_bytes]
        place[:] = data
        self._used += size_bytes
        return place.toreadonly()

    def _room(self, least_bytes: int) -> memoryview:
        """An empty piece, that comes back here once nothing in it is held."""
        if least_bytes > _PIECE_BYTES:
            return np.empty(least_bytes, np.uint8).data
        room = self._spare.pop() if self._spare else np.empty(_PIECE_BYTES, np.uint8)
        lent = room[:]
        weakref.finalize(lent, self._spare.append, room).atexit = False
        return lent.data


def packet_of(data: bytes | memoryview) -> av.Packet[Stream]:
    """Bytes as the library's packet, which takes any that lie in one piece and says bytes."""
    return av.Packet(cast("bytes", data))
