"""The invented bay's cameras as a measured bay, exactly known or off within its stated errors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from calibration.poses import camera_pose, pose_rows, turned_by
from calibration.standing import PER_CAMERA, BayCalibration, Kind
from capturestation.records import NS_PER_S, FloatArray, Hand, IntArray, View
from capturestation.station.in_space import Clocks, Filmed, InSpace, mirrored, triangulated
from capturestation.swing.figure import Pictured
from sample_sessions.cameras import Camera
from tests.helpers.calibrated import calibrated

U_TURN_RAD, U_PLACE_M, U_FOCAL_PX = 0.002, 0.004, 1.5
"""What measuring with a board in several places leaves: about 0.2 degrees and 7 mm."""


def covariance(cameras: int = 2) -> FloatArray:
    """Of so many cameras, errors not shared."""
    one = np.zeros(PER_CAMERA)
    one[:3], one[3:6], one[6:8] = U_TURN_RAD**2, U_PLACE_M**2, U_FOCAL_PX**2
    return np.diag(np.tile(one, cameras))


def known_bay(cameras: Sequence[Camera], *, seed: int | None = None) -> BayCalibration:
    """Where cameras stand; with a seed they are off as their errors say, else exactly known."""
    whole = [calibrated(camera) for camera in cameras]
    spread = np.zeros_like(covariance(len(whole)))
    if seed is not None:
        random, spread = np.random.default_rng((776, seed)), covariance(len(whole))
        for place, camera in enumerate(whole):
            off = random.normal(size=PER_CAMERA) * np.sqrt(np.diag(spread)[:PER_CAMERA])
            turn, lens_m = camera_pose(camera)
            rows = pose_rows(turned_by(off[:3]) @ turn, lens_m + off[3:6])
            fx, fy = camera.focal_px
            focal = (fx + float(off[6]), fy + float(off[7]))
            whole[place] = replace(camera, world_from_camera=rows, focal_px=focal)
    return BayCalibration(
        cameras=tuple(whole), covariance=spread, kind=Kind.BOARD, sigma_px=0.1, places=(), bad=(),
        line_u_deg=1.0, metres_good=True,
    )  # fmt: skip


def seen_in_space(
    views: dict[View, Pictured],
    cameras: Sequence[Camera],
    bay: BayCalibration,
    *,
    hand: Hand,
    set_ns: int,
    times_ns: IntArray,
) -> InSpace:
    """A golfer in metres by what such cameras saw, their clocks exactly known."""
    clocks = Clocks(u_ns={}, read_out_ns={c.view: round(c.read_out_s * NS_PER_S) for c in cameras})
    filmed = Filmed(bay=bay, names={c.view: c.name for c in cameras}, clocks=clocks)
    found = triangulated(views, filmed, set_ns=set_ns, times_ns=times_ns)
    if found.figure is None or hand is Hand.RIGHT:
        return found
    return InSpace(figure=mirrored(found.figure))
