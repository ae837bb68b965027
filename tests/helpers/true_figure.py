"""An invented golfer in space as he is, in the axes that measures are taken in."""

from __future__ import annotations

import numpy as np

from capturestation.records import NS_PER_S, Hand, IntArray
from capturestation.swing.figure import Figure
from sample_sessions.golfer import Golfer
from tests.helpers.invented_tracks import joints_m


def true_figure(golfer: Golfer, times_ns: IntArray, set_ns: int) -> tuple[Figure, float]:
    """The golfer in heights from nose to ankles, mirrored to a right-handed one.

    Returns:
        The figure, and how many metres the height is.
    """
    pose = golfer.pose(np.append(times_ns, set_ns) / NS_PER_S)
    points = np.stack([*joints_m(pose), pose.lead_hand, pose.club_hosel, pose.ball], axis=1)
    points[:-1, -1] = points[-1, -1]
    if golfer.swing.hand is Hand.LEFT:
        points = points * np.array([1.0, -1.0, 1.0])
    ankles = 0.5 * (pose.lead_ankle[-1] + pose.trail_ankle[-1])
    tall = float(points[-1, 0, 2] - ankles[2])
    return Figure(times_ns=times_ns, points=points[:-1] / tall), tall
