"""Tracks of a swing as arrays: what moves how much, where the joints are, where the club is.

Owns the types that pictures are turned into below `tracking`, so that arithmetic here never sees a
picture.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Company:
    """Who else was about in one view.

    Args:
        others: How many others moved while the swing went on.
        is_doubtful: Whether it couldn't be told who of them swings: nobody was looked at then.
        hidden_share: In how many of the pictures looked at, 0..1, somebody else stood where the
            golfer was: his joints are not known there.
        lies_deg: How far the pictures are to be turned clockwise, by quarters, so that the golfer
            stands upright; 0 where he does.
    """

    others: int = 0
    is_doubtful: bool = False
    hidden_share: float = 0.0
    lies_deg: int = 0


class Joint(StrEnum):
    """What the body network finds, in the golfer's own words; lead is nearer to the target."""

    NOSE = "nose"
    LEAD_EAR = "lead ear"
    TRAIL_EAR = "trail ear"
    LEAD_SHOULDER = "lead shoulder"
    TRAIL_SHOULDER = "trail shoulder"
    LEAD_ELBOW = "lead elbow"
    TRAIL_ELBOW = "trail elbow"
    LEAD_WRIST = "lead wrist"
    TRAIL_WRIST = "trail wrist"
    LEAD_HAND = "lead hand"
    TRAIL_HAND = "trail hand"
    LEAD_HIP = "lead hip"
    TRAIL_HIP = "trail hip"
    LEAD_KNEE = "lead knee"
    TRAIL_KNEE = "trail knee"
    LEAD_ANKLE = "lead ankle"
    TRAIL_ANKLE = "trail ankle"
    LEAD_HEEL = "lead heel"
    TRAIL_HEEL = "trail heel"
    LEAD_TOE = "lead toe"
    TRAIL_TOE = "trail toe"

    @property
    def place(self) -> int:
        """Its row in a track."""
        return JOINTS.index(self)

    @property
    def other(self) -> Joint:
        """The same of the other side; the nose is its own."""
        if self is Joint.NOSE:
            return self
        ours, theirs = ("lead", "trail") if self.startswith("lead") else ("trail", "lead")
        return Joint(self.replace(ours, theirs))


JOINTS = tuple(Joint)


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyTrack:
    """Where the joints are in one view.

    Args:
        times_ns: (n,) rising, the middle of each exposure.
        joints_px: (n, 21, 2) in the order of `JOINTS`; NaN where a joint is not known.
        seen: (n, 21) 0..1, how sure the network is that it sees the joint; 0 where it is NaN.
    """

    times_ns: IntArray
    joints_px: FloatArray
    seen: FloatArray

    def __post_init__(self) -> None:
        n = len(self.times_ns)
        shapes = (self.joints_px.shape, self.seen.shape)
        if shapes != ((n, len(JOINTS), 2), (n, len(JOINTS))):
            msg = f"joints (n, {len(JOINTS)}, 2) and seen (n, {len(JOINTS)}), got {shapes}"
            raise ValueError(msg)
        if np.any(np.diff(self.times_ns) <= 0):
            msg = "times must rise"
            raise ValueError(msg)

    def at(self, joint: Joint) -> FloatArray:
        """Where one joint is, (n, 2)."""
        return self.joints_px[:, joint.place]

    def middle(self, joint: Joint) -> FloatArray:
        """Half way between a joint and the same of the other side, (n, 2)."""
        return 0.5 * (self.at(joint) + self.at(joint.other))

    def swapped(self) -> BodyTrack:
        """The same track with lead and trail the other way round, as for the other hand."""
        order = [joint.other.place for joint in JOINTS]
        return replace(self, joints_px=self.joints_px[:, order], seen=self.seen[:, order])

    def placed(self, sync: Sync) -> BodyTrack:
        """The same track on the swing's clock."""
        return replace(self, times_ns=sync.to_swing(self.times_ns))


def no_track() -> BodyTrack:
    """The track of nobody."""
    n = len(JOINTS)
    return BodyTrack(
        times_ns=np.zeros(0, np.int64), joints_px=np.zeros((0, n, 2)), seen=np.zeros((0, n))
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubTrack:
    """Where the club is in one view.

    Args:
        times_ns: (n,) rising, the middle of each exposure.
        grip_px: (n, 2) on the shaft, in the middle between the hands; NaN where not seen.
        head_px: (n, 2) the end of the shaft at the club's head; NaN where not seen.
        shaft_deg: (n,) where the shaft points in the picture from grip to head: 0 is right, 90
            straight down; NaN where not known.
        confidence: (n,) 0..1 that `shaft_deg` is within 10 degrees; 0 where it is NaN.
    """

    times_ns: IntArray
    grip_px: FloatArray
    head_px: FloatArray
    shaft_deg: FloatArray
    confidence: FloatArray

    def __post_init__(self) -> None:
        n = len(self.times_ns)
        shapes = tuple(
            one.shape for one in (self.grip_px, self.head_px, self.shaft_deg, self.confidence)
        )
        if shapes != ((n, 2), (n, 2), (n,), (n,)):
            msg = f"grip and head (n, 2), angle and confidence (n,) for n = {n}, got {shapes}"
            raise ValueError(msg)
        if np.any(np.diff(self.times_ns) <= 0):
            msg = "times must rise"
            raise ValueError(msg)

    def placed(self, sync: Sync) -> ClubTrack:
        """The same track on the swing's clock."""
        return replace(self, times_ns=sync.to_swing(self.times_ns))
