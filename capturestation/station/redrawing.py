"""An earlier recording redrawn as today's camera sees it, for the upright plane through the golfer.

Owns which plane that is and what is said of the map: how exact it is in that plane, and how far off
what stands before or behind it may be. Balls are laid over one another on the mat; feet never are.
"""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np

from calibration.camera import project_points
from capturestation.compare.overlay import Placing
from capturestation.records import FloatArray, View
from capturestation.station.ground import ball_m
from capturestation.station.standpoints import Standpoint, Standpoints

REACH_M = 0.75
"""From ball to the middle of the golfer, an iron's; a driver's ball lies 0.15 m further away."""
OFF_M = 0.3
"""Arms and shoulders move this far out of the plane."""
_HALF_WIDE_M, _HIGH_M, _STEP_M = 0.9, 2.0, 0.1
_LEAST_SEEN = 0.5
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
    by_ball = ball is not None and earlier is not None
    both = (ball, earlier) if by_ball else (np.zeros(3), np.zeros(3))
    feet = [np.asarray(one) * (1.0, 1.0, 0.0) for one in both]
    plane, out = _plane(view, now.side)
    pixels = [
        [project_points(one.camera, plane + at + way * out) for way in (0.0, -OFF_M, OFF_M)]
        for one, at in zip((ours, theirs), feet, strict=True)
    ]
    (now_px, *now_off), (then_px, *then_off) = pixels
    matrix = _map(then_px, now_px)
    if matrix is None:
        return None
    laid = Placing(now_from_then=matrix, said="")
    pairs = zip(now_off, then_off, strict=True)
    off_px = max(_rms(laid.to_now(before) - after) for after, before in pairs)
    if not off_px < _MOST_OFF_PX:
        return None
    u_px = math.hypot(_rms(laid.to_now(then_px) - now_px), _u_px(ours, plane), _u_px(theirs, plane))
    return replace(laid, said=_said(u_px, off_px, by_ball=by_ball))


def _plane(view: View, side: int) -> tuple[FloatArray, FloatArray]:
    """Points of the plane, (n, 3), from the ball, and the way out of it, (3,).

    Upright, square to where the camera looks: along the target line seen face on, across it seen
    down the line.
    """
    aside, up = np.meshgrid(
        np.arange(-_HALF_WIDE_M, _HALF_WIDE_M + _STEP_M / 2, _STEP_M),
        np.arange(0.0, _HIGH_M + _STEP_M / 2, _STEP_M),
    )
    a, z = aside.ravel(), up.ravel()
    still = np.zeros_like(a)
    if view is View.DOWN_THE_LINE:
        return np.stack([still, a + side * REACH_M, z], axis=1), np.array([1.0, 0.0, 0.0])
    return np.stack([a, still + side * REACH_M, z], axis=1), np.array([0.0, 1.0, 0.0])


def _map(then_px: FloatArray, now_px: FloatArray) -> FloatArray | None:
    """The flat map with the least squared distances in today's picture; None where none is."""
    seen = np.isfinite(then_px).all(axis=1) & np.isfinite(now_px).all(axis=1)
    if np.mean(seen) < _LEAST_SEEN:
        return None
    found, _ = cv2.findHomography(then_px[seen], now_px[seen], 0)
    return np.asarray(found, dtype=np.float64)


def _rms(apart_px: FloatArray) -> float:
    return float(np.sqrt(np.nanmean(np.sum(np.square(apart_px), axis=1))))


def _u_px(one: Standpoint, plane: FloatArray) -> float:
    """What the error of a calibration is worth at the golfer; 0 where it was never measured."""
    if one.row.u_place_mm is None or one.row.u_turn_deg is None:
        return 0.0
    far_m = float(np.linalg.norm(plane.mean(axis=0) - one.camera.lens_m))
    by_place = one.row.u_place_mm / 1000.0 / far_m
    return one.camera.focal_px[0] * math.hypot(by_place, math.radians(one.row.u_turn_deg))


def _said(u_px: float, off_px: float, *, by_ball: bool) -> str:
    what = "ball and target line" if by_ball else "mat mark and target line"
    return (
        f"Redrawn as today's camera sees it, by {what}: \N{PLUS-MINUS SIGN} {u_px:.0f} px in the "
        f"golfer's plane, {off_px:.0f} px more {100 * OFF_M:.0f} cm before or behind it."
    )
