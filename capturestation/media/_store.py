"""Room for the bytes of packets, a megabyte at a time.

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

_PIECE_BYTES = 1 << 20
_MORE = 1.01
# One camera's pictures are nearly of one size: a piece has room for a whole number of them.


class Store:
    """Lays bytes into pieces; a piece lives as long as anything that lies in it.

    Called from one thread; what lies in it may be let go from any.
    """

    def __init__(self) -> None:
        self._piece = memoryview(bytearray())
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

    def _room(self, first_bytes: int) -> memoryview:
        """An empty piece, that comes back here once nothing in it is held."""
        spare = self._spare.pop() if self._spare else None
        if spare is None or len(spare) < first_bytes:
            alike_bytes = max(round(first_bytes * _MORE), 1)
            spare = np.empty(max(_PIECE_BYTES // alike_bytes, 1) * alike_bytes, np.uint8)
        lent = spare[:]
        if len(spare) <= _PIECE_BYTES:
            weakref.finalize(lent, self._spare.append, spare).atexit = False
        return lent.data


def packet_of(data: bytes | memoryview) -> av.Packet[Stream]:
    """Bytes as the library's packet, which takes any that lie in one piece and says bytes."""
    return av.Packet(cast("bytes", data))
