"""Small pictures that come one after another, watched for a swing.

Owns the way from pictures to how much moves; what a swing is says `swing.spotted`.
"""

from __future__ import annotations

import numpy as np

from capturestation.records import FrameArray
from capturestation.swing.spotted import SwingSpotter
from capturestation.tracking.motion import motion_energy


class SwingSeer:
    """Says when somebody swung."""

    def __init__(self) -> None:
        self._spotter = SwingSpotter()
        self._last: tuple[int, FrameArray] | None = None

    def forget(self) -> None:
        """Begin anew: what comes next does not follow on what came."""
        self._spotter.forget()
        self._last = None

    def see(self, at_ns: int, grey: FrameArray) -> int | None:
        """Take the next picture.

        Args:
            at_ns: When, later than the last.
            grey: (h, w), of one size with the last.

        Returns:
            When a swing had its fastest motion, each swing once, some 1.6 s later.
        """
        last, self._last = self._last, (at_ns, grey)
        if last is None or last[1].shape != grey.shape:
            return None
        moved = motion_energy([last[1], grey], np.array([last[0], at_ns], np.int64))
        return self._spotter.add(int(moved.times_ns[0]), float(moved.energy[0]))
