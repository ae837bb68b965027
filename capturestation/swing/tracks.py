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

    def without_blinks(self) -> MotionTrack:
        """The same track, each energy the middle one of three: a lamp's blink is one frame long."""
        around = np.pad(self.energy, 1, mode="edge") if len(self.energy) else self.energy
        three = np.stack([around[:-2], around[1:-1], around[2:]]) if len(around) else around[None]
        return MotionTrack(times_ns=self.times_ns, energy=np.median(three, axis=0))

    def between(self, from_ns: int, until_ns: int) -> MotionTrack:
        """The same track from one time to another."""
        inside = (self.times_ns >= from_ns) & (self.times_ns <= until_ns)
        return MotionTrack(times_ns=self.times_ns[inside], energy=self.energy[inside])

    def busiest_ns(self, most: int, apart_ns: int) -> tuple[int, ...]:
        """When most moves, the busiest first, no two nearer to each other than `apart_ns`."""
        found: list[int] = []
        for place in np.argsort(-self.energy, kind="stable"):
            at_ns = int(self.times_ns[place])
            if all(abs(at_ns - other) >= apart_ns for other in found):
                found.append(at_ns)
            if len(found) == most:
                break
        return tuple(found)

    def placed(self, sync: Sync) -> MotionTrack:
        """The same track on the swing's clock."""
        return MotionTrack(times_ns=sync.to_swing(self.times_ns), energy=self.energy)
