"""Tracks of a swing as arrays: what moves how much, when.

Owns the types that pictures are turned into below `tracking`, so that arithmetic here never sees a
picture.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from capturestation.records import FloatArray, IntArray, Sync


@dataclass(frozen=True, slots=True, kw_only=True)
class MotionTrack:
    """How much moves in one view.

    Args:
        times_ns: (n,) rising; half way between the two pictures that are compared.
        energy: (n,) 0 for a still picture; grows with how much moves and how fast.
    """

    times_ns: IntArray
    energy: FloatArray

    def __post_init__(self) -> None:
        if self.times_ns.ndim != 1 or self.times_ns.shape != self.energy.shape:
            msg = f"times (n,) and energy (n,), got {self.times_ns.shape} and {self.energy.shape}"
            raise ValueError(msg)
        if np.any(np.diff(self.times_ns) <= 0):
            msg = "times must rise"
            raise ValueError(msg)

    def placed(self, sync: Sync) -> MotionTrack:
        """The same track on the swing's clock."""
        return MotionTrack(times_ns=sync.to_swing(self.times_ns), energy=self.energy)
