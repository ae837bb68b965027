"""How the pictures of two cameras lie to each other: straight pictures and the lines between them.

Arrays out, so that whoever knows no cameras can ask whether two places may be one point.
"""

from __future__ import annotations

import numpy as np

from calibration.camera import Camera
from calibration.projection import FloatArray, unbend


def straight_px(camera: Camera, pixels: FloatArray) -> FloatArray:
    """Pixels as the same camera would draw them by a lens that bends nothing.

    Args:
        camera: Which.
        pixels: Shape (..., 2).

    Returns:
        Shape (..., 2); NaN where the lens has no way back.
    """
    flat = unbend(camera.lens_numbers, pixels)
    drawn: FloatArray = flat * np.array(camera.focal_px) + np.array(camera.centre_px)
    return drawn


def fundamental(first: Camera, second: Camera) -> FloatArray:
    """The matrix F of two straight pictures: x2ᵀ F x1 = 0 for one point in both.

    Args:
        first: Its places are taken
        second: to lines in this one's picture.

    Returns:
        Shape (3, 3).

    Source: R. Hartley and A. Zisserman, Multiple View Geometry, 2nd ed., 9.2 and 9.6.
    """
    poses = [np.asarray(camera.world_from_camera, dtype=np.float64) for camera in (first, second)]
    turn = poses[1][:3, :3].T @ poses[0][:3, :3]
    x, y, z = poses[1][:3, :3].T @ (first.lens_m - second.lens_m)
    across = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    inward = [np.linalg.inv(camera.matrix) for camera in (first, second)]
    found: FloatArray = inward[1].T @ across @ turn @ inward[0]
    return found
