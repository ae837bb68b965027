"""Room for the bytes of packets, a megabyte at a time.

A ring lets go of hundreds of packets a second, each of another size: given back to the system's
memory one by one, they leave holes that the next ones don't fit, a tenth of what they took. Laid
into large pieces in the order they come, they go in that order, and each piece goes whole.
"""

from __future__ import annotations

from typing import cast

import av
from av.stream import Stream

_PIECE_BYTES = 1 << 20


class Store:
    """Lays bytes into pieces; a piece lives as long as anything that lies in it."""

    def __init__(self) -> None:
        self._piece = memoryview(bytearray())
        self._used = 0

    def put(self, data: memoryview) -> memoryview:
        """A copy that nobody can change."""
        size_bytes = len(data)
        if len(self._piece) - self._used < size_bytes:
            self._piece = memoryview(bytearray(max(_PIECE_BYTES, size_bytes)))
            self._used = 0
        place = self._piece[self._used : self._used + size_bytes]
        place[:] = data
        self._used += size_bytes
        return place.toreadonly()


def packet_of(data: bytes | memoryview) -> av.Packet[Stream]:
    """Bytes as the library's packet, which takes any that lie in one piece and says bytes."""
    return av.Packet(cast("bytes", data))
