"""What error a board and its places would give, before anything is filmed.

The same equations as the measurement itself, with nothing measured yet: how well corners will be
found is assumed, and which of the places each camera will see is worked out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from calibration.bay_build import build, placed_cameras, put
from calibration.boards import Board
from calibration.camera import Camera, project_points
from calibration.corners import SMALLEST_SQUARE_PX, Corners
from calibration.errors import CalibrationError
from calibration.lens import Lens
from calibration.places import Place, Stance, Surroundings
from calibration.poses import turned_by
from calibration.projection import FloatArray
from calibration.scene import known as known_by
from calibration.standing import PER_CAMERA, PoseError, pose_error

CORNER_U_PX = 0.07
"""A corner of a sharp picture at 4 m, of one coordinate."""
_LEAN_DEG = 10.0
_EDGE_PX = 4.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardAt:
    """Where a board will stand.

    Args:
        name: Of the place.
        stance: On its foot or on its back.
        pose: `world_from_board`, shape (4, 4).
        heading_deg: Of the place that gives the line.
    """

    name: str
    stance: Stance
    pose: FloatArray
    heading_deg: float | None = None


def standing_pose(
    board: Board, at_m: FloatArray, heading_deg: float, lean_deg: float
) -> FloatArray:
    """`world_from_board` of a board on its foot.

    Args:
        board: The board.
        at_m: The foot's middle, shape (3,).
        heading_deg: Which way the foot points from its reader's left to right, against the clock
            from the target's direction.
        lean_deg: How far it leans back.
    """
    pose = np.eye(4)
    lean = turned_by(np.radians([90.0 - lean_deg, 0.0, 0.0]))
    pose[:3, :3] = turned_by(np.radians([0.0, 0.0, heading_deg])) @ lean
    pose[:3, 3] = at_m - pose[:3, :3] @ board.foot_m.mean(axis=0)
    return pose


def usual_places(board: Board, *, side: int = 1) -> tuple[BoardAt, ...]:
    """The places that are asked for: on the line, then turned half towards each camera.

    Args:
        board: The board.
        side: +1 where the face-on camera looks from the right of the line, as at a right-hander.
    """
    line = 0.0 if side > 0 else 180.0
    half = -45.0 * side if side > 0 else -135.0
    spots = [(0.0, 0.0), (-0.45, 0.0), (0.45, 0.1), (0.0, 0.6), (-0.4, 0.5), (0.4, 0.5)]
    turns = [0.0, -12.0, 10.0, 0.0, 14.0, -15.0]
    places = []
    for number, ((x, y), turn) in enumerate(zip(spots, turns, strict=True)):
        heading = line if number == 0 else half + turn
        pose = standing_pose(board, np.array([x, side * y, 0.0]), heading, _LEAN_DEG)
        places.append(
            BoardAt(name=f"place {number + 1}", stance=Stance.STANDING, pose=pose,
                    heading_deg=line if number == 0 else None)
        )  # fmt: skip
    return tuple(places)


def forecast(
    cameras: Sequence[Camera],
    lenses: Mapping[str, Lens],
    board: Board,
    places: Sequence[BoardAt],
    *,
    u_px: float = CORNER_U_PX,
) -> dict[str, PoseError]:
    """How well cameras will be placed.

    Args:
        cameras: About where they stand.
        lenses: Their lenses.
        board: The board.
        places: Where it will stand.
        u_px: How well its corners will be found.

    Raises:
        CalibrationError: If a camera sees none of the places.
    """
    expected = [place for place in (expected_place(cameras, board, at) for at in places) if place]
    seen = {name for place in expected for name in place.sights}
    unseeing = [camera.name for camera in cameras if camera.name not in seen]
    if unseeing:
        raise CalibrationError(
            f"{', '.join(unseeing)} would see none of these places.",
            try_next="Turn the board half towards each camera, or move it nearer.",
        )
    stood = {at.name: at.pose for at in places}
    built = put(
        expected,
        {camera.name: lenses[camera.name] for camera in cameras},
        Surroundings(),
        ([np.asarray(camera.world_from_camera) for camera in cameras],
         [stood[place.name] for place in expected]),
    )  # fmt: skip
    covariance = known_by(built.scene, built.evidence, u_px)
    return {
        camera.name: pose_error(
            covariance[PER_CAMERA * k : PER_CAMERA * (k + 1), PER_CAMERA * k : PER_CAMERA * (k + 1)]
        )
        for k, camera in enumerate(cameras)
    }


def expected_place(cameras: Sequence[Camera], board: Board, at: BoardAt) -> Place | None:
    """What cameras will see of a place without any error, or None if none sees it."""
    sights = {}
    for camera in cameras:
        pixels = project_points(camera, board.corners_m @ at.pose[:3, :3].T + at.pose[:3, 3])
        outline = project_points(camera, board.outline_m @ at.pose[:3, :3].T + at.pose[:3, 3])
        edge = np.asarray(camera.size_px) - 1 - _EDGE_PX
        inside = all(((one > _EDGE_PX) & (one < edge)).all() for one in (pixels, outline))
        towards = (camera.lens_m - at.pose[:3, 3]) @ at.pose[:3, 2] > 0
        across = board.inner[0]
        sides = np.linalg.norm(pixels[[1, across]] - pixels[0], axis=1)
        if inside and towards and sides.min() >= SMALLEST_SQUARE_PX:
            sights[camera.name] = Corners(
                board=board, size_px=camera.size_px, ids=np.arange(len(pixels)), pixels=pixels,
                square_px=float(sides.min()), window_px=2,
            )  # fmt: skip
    if not sights:
        return None
    return Place(name=at.name, stance=at.stance, sights=sights, heading_deg=at.heading_deg)


def stood_so_far(
    places: Sequence[Place], lenses: Mapping[str, Lens]
) -> tuple[tuple[Camera, ...], tuple[BoardAt, ...]]:
    """Where cameras and boards stand, roughly, by what was seen up to now.

    Raises:
        CalibrationError: If that can't be told yet.
    """
    if not places:
        raise CalibrationError(
            "No place of the board was seen yet.", try_next="Stand it on the target line first."
        )
    built = build(places, lenses, Surroundings())
    boards = []
    for place, turn, at_m in zip(places, built.scene.board_turns, built.scene.board_m, strict=True):
        pose = np.eye(4)
        pose[:3, :3], pose[:3, 3] = turn, at_m
        boards.append(BoardAt(name=place.name, stance=place.stance, pose=pose,
                              heading_deg=place.heading_deg))  # fmt: skip
    return placed_cameras(built.scene), tuple(boards)
