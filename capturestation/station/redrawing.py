"""An earlier recording redrawn as today's camera sees it, for the upright plane through the golfer.

Owns which plane that is and what is said of the map: how exact it is in that plane, and how far off
what stands before or behind it may be. Balls are laid over one another on the mat; feet never are.
"""

from __future__ import annotations

import math

import numpy as np

from calibration.errors import CalibrationError
from calibration.planemap import OFF_PLANE_M, PlaneMap, golfer_plane, plane_map
from capturestation.compare.overlay import Placing
from capturestation.records import View
from capturestation.station.ground import ball_m
from capturestation.station.standpoints import Standpoints

_MOST_OFF_PX = 40.0
# Beyond it the two cameras stand too differently for a flat map to be of use.


def redrawn(now: Standpoints, then: Standpoints, view: View) -> Placing | None:
    """How the earlier picture of a view lies over today's by where both cameras stood.

    Args:
        now: Of today's swing.
        then: Of the earlier one.
        view: Which picture.

    Returns:
        None where one of the two was not calibrated, or they stand too differently.
    """
    ours, theirs = now.by_view.get(view), then.by_view.get(view)
    if ours is None or theirs is None:
        return None
    ball, earlier = ball_m(now), ball_m(then)
    moved, stood = (0.0, 0.0), np.zeros(3)
    by_ball = ball is not None and earlier is not None
    if ball is not None and earlier is not None:
        moved = (float(ball[0] - earlier[0]), float(ball[1] - earlier[1]))
        stood = earlier
    try:
        plane = golfer_plane(theirs.camera, stood, side=then.side)
        found = plane_map(theirs.placed, ours.placed, plane, moved_m=moved)
    except CalibrationError:
        return None
    if not found.off_plane_px < _MOST_OFF_PX:
        return None
    return Placing(now_from_then=found.matrix, said=_said(found, by_ball=by_ball))


def _said(found: PlaneMap, *, by_ball: bool) -> str:
    what = "ball and target line" if by_ball else "mat mark and target line"
    u_px = math.hypot(found.u_px, found.fit_px)
    return (
        f"Redrawn as today's camera sees it, by {what}: \N{PLUS-MINUS SIGN} {u_px:.0f} px in the "
        f"golfer's plane, {found.off_plane_px:.0f} px more {100 * OFF_PLANE_M:.0f} cm before or "
        "behind it."
    )
