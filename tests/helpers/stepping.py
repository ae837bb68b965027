"""An invented golfer who loses his balance after the finish: he walks off as he stands."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np

from capturestation.records import FloatArray
from sample_sessions.golfer import Golfer, Pose
from sample_sessions.parameters import SwingParameters

_DIRECTIONS = frozenset({"pelvis_side", "chest_side", "spine_up", "head_up", "gaze", "club_toe"})
_STAYS = frozenset({"ball"})
_FOR_S = 0.8


class Stepping(Golfer):
    """Walks off after a while.

    Args:
        swing: What shapes the swing.
        leaves_s: When he begins, swing clock.
        way_m_s: Where to and how fast, (3,).
    """

    def __init__(self, swing: SwingParameters, leaves_s: float, way_m_s: FloatArray) -> None:
        super().__init__(swing)
        self.leaves_s, self.way_m_s = leaves_s, way_m_s

    def pose(self, time_s: FloatArray) -> Pose:
        """Where he is."""
        times_s = np.atleast_1d(np.asarray(time_s, dtype=np.float64))
        pose = super().pose(times_s)
        gone = np.clip(times_s - self.leaves_s, 0.0, _FOR_S)[:, None] * self.way_m_s
        there = {f.name for f in fields(Pose)} - _DIRECTIONS - _STAYS
        return replace(pose, **{name: getattr(pose, name) + gone for name in there})
