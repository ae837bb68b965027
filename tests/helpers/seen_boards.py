"""Boards as cameras would measure them: exact corners with noise, without any picture."""

from __future__ import annotations

import numpy as np

from calibration.boards import Board
from calibration.camera import Camera, project_points
from calibration.corners import Corners
from calibration.lens import Setting, View
from calibration.poses import looking_at, pose_rows, turned_by
from calibration.projection import FloatArray

SIZE_PX = (1280, 720)
BENT = (-0.18, 0.05, 0.0008, -0.0006, 0.0)
EDGE_PX, LEAST_SIDE_PX = 3.0, 5.5
# A board is found where all of its squares are in the picture, none of them smaller.
FACING = np.array([[1.0, 0, 0], [0, -1, 0], [0, 0, -1]])
# A board before the camera, upright and facing it: its axes in the camera's.


def pose_of(turn: FloatArray, at_m: FloatArray) -> FloatArray:
    """A pose as a matrix (4, 4)."""
    pose = np.eye(4)
    pose[:3, :3], pose[:3, 3] = turn, at_m
    return pose


def camera_at(
    name: str,
    at_m: FloatArray,
    target_m: FloatArray,
    *,
    hfov_deg: float = 66.0,
    roll_deg: float = 0.0,
) -> Camera:
    """A camera of the bay with a bent lens."""
    focal = 0.5 * SIZE_PX[0] / np.tan(np.radians(0.5 * hfov_deg))
    return Camera(
        name=name,
        size_px=SIZE_PX,
        focal_px=(float(focal), float(focal * 1.002)),
        centre_px=(645.0, 355.5),
        distortion=BENT,
        world_from_camera=pose_rows(looking_at(at_m, target_m, roll_deg=roll_deg), at_m),
    )


def before_lens(name: str = "face-on") -> Camera:
    """A camera whose axes are the world's, to hold a board before."""
    level = camera_at(name, np.array([0.0, 0, 0]), np.array([1.0, 0, 0]))
    rows = pose_rows(np.eye(3), np.zeros(3))
    return Camera(name=name, size_px=level.size_px, focal_px=level.focal_px,
                  centre_px=level.centre_px, distortion=level.distortion,
                  world_from_camera=rows)  # fmt: skip


def seen(
    camera: Camera, board: Board, pose: FloatArray, rng: np.random.Generator, noise_px: float = 0.1
) -> Corners | None:
    """What a camera measures of a board, or None where it isn't all in the picture."""
    pixels = project_points(camera, board.corners_m @ pose[:3, :3].T + pose[:3, 3])
    outline = project_points(camera, board.outline_m @ pose[:3, :3].T + pose[:3, 3])
    edge = np.asarray(camera.size_px) - 1 - EDGE_PX
    inside = all(((one > EDGE_PX) & (one < edge)).all() for one in (pixels, outline))
    lens_m = np.asarray(camera.world_from_camera)[:3, 3]
    if not inside or float((lens_m - pose[:3, 3]) @ pose[:3, 2]) <= 0:
        return None
    sides = np.linalg.norm(pixels[[1, board.inner[0]]] - pixels[0], axis=1)
    if sides.min() < LEAST_SIDE_PX:
        return None
    return Corners(
        board=board,
        size_px=camera.size_px,
        ids=np.arange(len(pixels)),
        pixels=pixels + rng.normal(0.0, noise_px, pixels.shape),
        square_px=float(sides.min()),
        window_px=3,
    )


def held_poses(
    board: Board, count: int, rng: np.random.Generator, *, tilt_deg: float = 35.0
) -> list[FloatArray]:
    """Poses of a board held before a camera: near and far, all over the picture, tilted."""
    wide, high = (0.001 * side for side in board.size_mm)
    poses = []
    for _ in range(count):
        tilts = rng.uniform(-tilt_deg, tilt_deg, 3) * (1, 1, 0.4)
        turn = turned_by(np.radians(tilts)) @ FACING
        depth = wide * rng.uniform(1.5, 3.0)
        middle = np.array([*rng.uniform((-0.4, -0.2), (0.4, 0.2)) * depth, depth])
        poses.append(pose_of(turn, middle - turn @ np.array([0.5 * wide, 0.5 * high, 0.0])))
    return poses


def lens_views(
    camera: Camera, board: Board, count: int, rng: np.random.Generator, *,
    noise_px: float = 0.1, tilt_deg: float = 35.0,
) -> list[View]:  # fmt: skip
    """As many views as asked for, all corners in the picture."""
    views: list[View] = []
    while len(views) < count:
        for pose in held_poses(board, count, rng, tilt_deg=tilt_deg):
            corners = seen(camera, board, pose, rng, noise_px)
            if corners is not None and len(views) < count:
                views.append(View(name=f"picture {len(views) + 1}", corners=corners))
    return views


def setting_of(camera: Camera) -> Setting:
    """What a camera's lens belongs to."""
    return Setting(camera=camera.name, size_px=camera.size_px)
