"""Bays from corners and marks with noise, without pictures: do the stated errors hold.

Each bay is measured twice, before and after its cameras were moved by 10 cm and 3 degrees, each
time with lenses found from their own views; then joints are placed, the earlier view is redrawn as
seen from today's camera, and two sticks are laid.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from calibration.bay import calibrate_bay
from calibration.boards import LENS_BOARD
from calibration.camera import Camera, project_points
from calibration.lens import Lens, LensModel, calibrate_lens
from calibration.planemap import golfer_plane, plane_map
from calibration.points import Seen, triangulate
from calibration.poses import camera_pose, pose_rows, turned_by
from calibration.standing import BayCalibration
from calibration.sticks import calibrate_sticks
from tests.bench._bay_errors import JOINT_PX, Off, joints_in_view, off_by, pose_off
from tests.helpers.laid_sticks import marked_sticks
from tests.helpers.made_bays import MadeBay, is_seen, made_bay
from tests.helpers.seen_boards import lens_views, setting_of

CORNER_PX, LENS_VIEWS = 0.06, 14
MOVED_M, MOVED_DEG = 0.10, 3.0
U_DEPTH_M, NEAR_PLANE_M = 0.15, 0.3
U_TIME_S, SPEED_PX_S = 5e-4, 600.0
JOINTS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One bay's errors by kind, and squared sums of the redrawn joints."""

    kinds: dict[str, list[Off]]
    mapped_px2: float
    as_filmed_px2: float


def measured(seed: int) -> Measured:
    """Measure one bay, all kinds."""
    rng = np.random.default_rng((7_193, seed))
    now = made_bay(rng)
    then = _another_day(now, rng)
    kinds: dict[str, list[Off]] = {"lens": [], "pose": [], "turn": [], "points": [],
                                   "map": [], "sticks": [], "sticks turn": []}  # fmt: skip
    found: list[BayCalibration] = []
    lenses: dict[str, Lens] = {}
    for bay in (then, now):
        lenses = {camera.name: found_lens(camera, rng) for camera in bay.cameras}
        kinds["lens"] += [_lens_off(lenses[camera.name], camera) for camera in bay.cameras]
        found.append(calibrate_bay(bay.places(rng, CORNER_PX), lenses))
        for camera in bay.cameras:
            for kind, off in zip(("pose", "turn"), pose_off(found[-1], camera), strict=True):
                kinds[kind].append(off)
    kinds["points"] = _points_off(found[1], now, rng)
    sticks = calibrate_sticks(marked_sticks(now.cameras, rng), lenses)
    for camera in now.cameras:
        for kind, off in zip(("sticks", "sticks turn"), pose_off(sticks, camera), strict=True):
            kinds[kind].append(off)
    mapped, as_filmed = 0.0, 0.0
    for place in (0, 1):
        off, squares = _map_off(found, (then.cameras[place], now.cameras[place]), rng)
        kinds["map"].append(off)
        mapped, as_filmed = mapped + squares[0], as_filmed + squares[1]
    return Measured(kinds=kinds, mapped_px2=mapped, as_filmed_px2=as_filmed)


def found_lens(camera: Camera, rng: np.random.Generator) -> Lens:
    """A camera's lens from views of the board held before it."""
    held = replace(camera, world_from_camera=pose_rows(np.eye(3), np.zeros(3)))
    views = lens_views(held, LENS_BOARD, LENS_VIEWS, rng, noise_px=CORNER_PX)
    return calibrate_lens(views, setting_of(camera), models=[LensModel.SIDEWAYS]).lens


def _another_day(bay: MadeBay, rng: np.random.Generator) -> MadeBay:
    """The bay with its cameras set up elsewhere, so that they see the board."""
    while True:
        face_on, behind = (_moved(camera, rng) for camera in bay.cameras)
        then = replace(bay, cameras=(face_on, behind))
        if is_seen(then):
            return then


def _moved(camera: Camera, rng: np.random.Generator) -> Camera:
    """The camera as it was set up another day."""
    turn, lens_m = camera_pose(camera)
    axis, shift = (one / np.linalg.norm(one) for one in rng.normal(size=(2, 3)))
    turned = turned_by(np.radians(MOVED_DEG) * axis) @ turn
    return replace(camera, world_from_camera=pose_rows(turned, lens_m + MOVED_M * shift))


def _lens_off(lens: Lens, truth: Camera) -> Off:
    """Focal lengths and centre by their size, every free number by whether it is held."""
    errors = lens.numbers - truth.lens_numbers
    pixels = off_by(errors[:4], lens.covariance[:4, :4])
    bend = off_by(errors[4:8], lens.covariance[4:8, 4:8])
    return replace(pixels, held=np.concatenate([pixels.held, bend.held]))


def _points_off(bay: BayCalibration, made: MadeBay, rng: np.random.Generator) -> list[Off]:
    """Moving joints seen by two cameras, one of which is late by an unknown little."""
    points = joints_in_view(made.cameras, rng, JOINTS)
    seen = {}
    for number, camera in enumerate(made.cameras):
        drawn = project_points(camera, points)
        speed = rng.normal(0, SPEED_PX_S, drawn.shape) if number else np.zeros(drawn.shape)
        late = rng.normal(0, U_TIME_S, (len(points), 1))
        pixels = drawn + rng.normal(0, JOINT_PX, drawn.shape) + late * speed
        seen[camera.name] = Seen(pixels=pixels, u_px=JOINT_PX, speed_px_s=speed, u_time_s=U_TIME_S)
    found = triangulate(bay, seen)
    spread = 1e6 * (found.random_m2 + found.shared_m2)
    return [
        off_by(1000.0 * (at - truth), own)
        for at, truth, own, why in zip(found.points_m, points, spread, found.refused, strict=True)
        if why is None
    ]


def _map_off(
    found: list[BayCalibration], cameras: tuple[Camera, Camera], rng: np.random.Generator
) -> tuple[Off, tuple[float, float]]:
    """One joint's error with its stated one, and all joints' squares mapped and as filmed."""
    then, now = cameras
    plane = golfer_plane(now, np.array([0.0, 0.0, 0.02]), reach_m=0.6)
    across = np.cross(plane.normal, [0.0, 0.0, 1.0])
    count = 12
    wide, high = rng.uniform((-0.45, 0.1), (0.45, 1.5), (count, 2)).T
    upright = plane.point_m + wide[:, None] * across + high[:, None] * np.array([0.0, 0.0, 1.0])
    way = plane_map(found[0].placed(then.name), found[1].placed(now.name), plane)
    near = rng.uniform(-NEAR_PLANE_M, NEAR_PLANE_M, (count, 1))
    before, after = (project_points(one, upright + near * plane.normal) for one in cameras)
    off, bare = way.map(before) - after, before - after
    deep = upright[:1] + rng.normal(0, U_DEPTH_M) * plane.normal
    exact = way.way
    if exact is None:
        msg = "a plane's map has its exact way"
        raise TypeError(msg)
    error = exact.map(project_points(then, deep)) - project_points(now, deep)
    spread = exact.error_px2(project_points(then, deep), u_depth_m=U_DEPTH_M)
    return off_by(error[0], spread[0]), (float((off**2).sum()), float((bare**2).sum()))
