"""Where the club is in a rendered view, and how much of the shaft a camera sees."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from capturestation.records import FloatArray
from sample_sessions.cameras import Camera
from sample_sessions.clothes import Clothes, Reader
from sample_sessions.golfer import Golfer
from sample_sessions.raster import FINE, Box, Canvas, box_around, seen_by
from sample_sessions.rings import joined
from sample_sessions.surfaces import arms, slow_faces

SPOTS = 17
GRIP_SPOT_M, BEHIND_M = 0.035, 0.035
# From the lead hand's middle down to the middle between the hands; hands round a grip hide nothing.


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueClub:
    """The club in one view.

    Args:
        grip_px: (n, 2) between the hands.
        end_px: (n, 2) where the shaft ends.
        shaft_deg: (n,) from grip to end, 0 right, 90 straight down.
        long_share: (n,) its length in the picture over what it would be square to the view.
        seen_share: (n,) how much of it is in the picture and hidden by nobody.
    """

    grip_px: FloatArray
    end_px: FloatArray
    shaft_deg: FloatArray
    long_share: FloatArray
    seen_share: FloatArray


def true_club(golfer: Golfer, camera: Camera, times_s: FloatArray) -> TrueClub:
    """Work it out from geometry; what hides it, from the depths of the drawn golfer."""
    pose = golfer.pose(times_s)
    along = pose.club_hosel - pose.club_butt
    axis = along / np.linalg.norm(along, axis=1, keepdims=True)
    grip = pose.club_butt + (golfer.swing.club.butt_m + GRIP_SPOT_M) * axis
    long_m = np.linalg.norm(pose.club_hosel - grip, axis=1)
    grip_px, end_px = camera.project(grip), camera.project(pose.club_hosel)
    way = end_px - grip_px
    whole_px = camera.lens.focal_px * long_m / camera.seen(grip)[:, 2]
    share = np.linspace(0.0, 1.0, SPOTS)[:, None]
    seen = [
        _seen(golfer, camera, Reader(pose, place, golfer.body), g + share * (h - g))
        for place, (g, h) in enumerate(zip(grip, pose.club_hosel, strict=True))
    ]
    return TrueClub(
        grip_px=grip_px,
        end_px=end_px,
        shaft_deg=np.degrees(np.arctan2(way[:, 1], way[:, 0])),
        long_share=np.linalg.norm(way, axis=1) / whole_px,
        seen_share=np.array(seen),
    )


def _seen(golfer: Golfer, camera: Camera, at: Reader, spots_m: FloatArray) -> float:
    """Share of spots that lie in the picture before everything that is drawn there."""
    spots, far_m = camera.project(spots_m), camera.seen(spots_m)[:, 2]
    size = np.array([camera.lens.width_px, camera.lens.height_px])
    inside = ((spots > -0.5) & (spots < size - 0.5)).all(axis=1)
    if not inside.any():
        return 0.0
    box = box_around(camera, spots[inside])
    canvas = Canvas(np.zeros((box.size[1], box.size[0], 3), np.float32), box)
    for faces in (slow_faces(at, Clothes()), joined(arms(at, Clothes()))):
        canvas.draw(seen_by(camera, faces, np.ones(len(faces.corners))))
    before_m = _depths(canvas, box, spots[inside])
    return float((before_m > far_m[inside] - BEHIND_M).sum()) / SPOTS


def _depths(canvas: Canvas, box: Box, spots: FloatArray) -> FloatArray:
    fine = np.round((spots - (box.left, box.top) + 0.5) * FINE - 0.5).astype(int)
    height, width = canvas.depth.shape
    x, y = np.clip(fine[:, 0], 0, width - 1), np.clip(fine[:, 1], 0, height - 1)
    return np.asarray(canvas.depth[y, x], dtype=np.float64)
