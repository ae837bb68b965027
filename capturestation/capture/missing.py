"""Frames that by their stamps should have come and didn't, or came in parts."""

from __future__ import annotations

import statistics
from collections import deque
from collections.abc import Sequence
from itertools import pairwise

from capturestation.media.packets import Packet

_LEARNT = 31
_WIDE = 1.5
# A gap of more than one and a half frames holds a missing one.


class Missing:
    """Counts while packets come, in the order in which they are due at the decoder."""

    def __init__(self) -> None:
        self.count = 0
        self._last: int | None = None
        self._gaps: deque[int] = deque(maxlen=_LEARNT)

    def add(self, packet: Packet) -> None:
        """Look at the next packet."""
        self.count += packet.is_damaged
        last, self._last = self._last, packet.dts
        if last is None:
            return
        gap = packet.dts - last
        if gap <= 0:
            return
        if len(self._gaps) == _LEARNT:
            usual = self.usual
            if gap > _WIDE * usual:
                self.count += round(gap / usual) - 1
        self._gaps.append(gap)

    @property
    def usual(self) -> float:
        """The usual gap, in the stamps' unit; 0 before any."""
        return statistics.median(self._gaps) if self._gaps else 0.0


def missing_in(due: Sequence[int]) -> int:
    """How many frames are missing in a stretch, by its own usual gap.

    Args:
        due: Stamps at the decoder, in any order.
    """
    gaps = [later - earlier for earlier, later in pairwise(sorted(due))]
    usual = statistics.median(gaps) if gaps else 0
    if usual <= 0:
        return 0
    return sum(round(gap / usual) - 1 for gap in gaps if gap > _WIDE * usual)
