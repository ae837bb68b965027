"""Invented bays: two cameras, a board at several places, all by chance, and the truth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calibration.boards import BAY_BOARD, Board
from calibration.camera import Camera
from calibration.forecast import standing_pose
from calibration.lens import Lens, LensModel, Setting
from calibration.places import Place, Stance
from calibration.poses import looking_at, pose_rows, turned_by
from calibration.projection import FloatArray
from tests.helpers.seen_boards import SIZE_PX, seen

FACE_ON, DOWN_THE_LINE = "face-on", "down-the-line"
GOLFER_M = np.array([0.0, 0.55, 0.0])
"""Where a right-handed golfer stands, about."""
GROUND_U_MM = 1.5
LENS_U = np.array([1.0, 1.0, 1.0, 1.0, 1.5e-3, 4e-3, 1.5e-4, 1.5e-4, 0.0])
"""Standard errors of a lens found with a dozen pictures of a board."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MadeBay:
    """A bay and its truth.

    Args:
        cameras: As they really stand.
        lenses: As they were found before, with their errors.
        stood: Name, stance, heading and `world_from_board` of each place.
        board: The board.
    """

    cameras: tuple[Camera, Camera]
    lenses: dict[str, Lens]
    stood: tuple[tuple[str, Stance, float | None, FloatArray], ...]
    board: Board

    def places(self, rng: np.random.Generator, noise_px: float = 0.06) -> list[Place]:
        """What the cameras measure of the board at its places."""
        places = []
        for name, stance, heading, pose in self.stood:
            found = {c.name: seen(c, self.board, pose, rng, noise_px) for c in self.cameras}
            sights = {name: one for name, one in found.items() if one is not None}
            if sights:
                places.append(Place(name=name, stance=stance, sights=sights, heading_deg=heading))
        return places


def made_bay(rng: np.random.Generator, board: Board = BAY_BOARD) -> MadeBay:
    """A bay by chance: cameras 1.8 to 5 m from the golfer, about 90 degrees apart.

    Distances are drawn once; aims and places are drawn again until the cameras see the board, or
    near cameras would be rarer than far ones.
    """
    face_on_m, behind_m = rng.uniform(1.8, 5.0, 2)
    while True:
        cameras = (
            _camera(FACE_ON, face_on_m, np.array([rng.normal(0, 0.15), -1.0, 0.0]), rng),
            _camera(DOWN_THE_LINE, behind_m, np.array([-1.0, rng.normal(0, 0.08), 0.0]), rng),
        )
        stood = _stood(board, rng)
        bay = MadeBay(
            cameras=cameras,
            lenses={camera.name: found_lens(camera, rng) for camera in cameras},
            stood=stood,
            board=board,
        )
        if is_seen(bay):
            return bay


def _camera(name: str, away_m: float, direction: FloatArray, rng: np.random.Generator) -> Camera:
    at = GOLFER_M + away_m * direction / np.linalg.norm(direction)
    at[2] = rng.uniform(0.9, 1.3)
    # A near camera looks down, or the ball would lie below its picture.
    high = np.interp(away_m, [1.8, 3.2], [0.35, 0.75])
    target = np.array([rng.normal(0, 0.1), 0.3 + rng.normal(0, 0.1), high])
    focal = 0.5 * SIZE_PX[0] / np.tan(np.radians(0.5 * rng.uniform(60, 75)))
    return Camera(
        name=name,
        size_px=SIZE_PX,
        focal_px=(float(focal), float(focal * (1 + rng.normal(0, 0.001)))),
        centre_px=(639.5 + rng.normal(0, 6), 359.5 + rng.normal(0, 6)),
        distortion=(rng.uniform(-0.25, 0.05), rng.uniform(-0.05, 0.08), rng.normal(0, 5e-4),
                    rng.normal(0, 5e-4), 0.0),
        world_from_camera=pose_rows(looking_at(at, target, roll_deg=rng.normal(0, 1)), at),
    )  # fmt: skip


def found_lens(camera: Camera, rng: np.random.Generator) -> Lens:
    """A camera's lens as a calibration might have found it."""
    covariance = np.diag(LENS_U**2)
    # Both focal lengths are mostly wrong together.
    covariance[0, 1] = covariance[1, 0] = 0.9 * LENS_U[0] * LENS_U[1]
    off = rng.multivariate_normal(np.zeros(9), covariance)
    return Lens(
        setting=Setting(camera=camera.name, size_px=camera.size_px),
        numbers=camera.lens_numbers + off,
        covariance=covariance,
        model=LensModel.SIDEWAYS,
        rms_px=0.06,
    )


def _stood(
    board: Board, rng: np.random.Generator
) -> tuple[tuple[str, Stance, float | None, FloatArray], ...]:
    """Six places: one on the line, towards the face-on camera; five turned half to each."""
    stood: list[tuple[str, Stance, float | None, FloatArray]] = []
    line = _on_uneven_mat(standing_pose(board, np.zeros(3), 0.0, 8.0), board, rng)
    stood.append(("place 1", Stance.STANDING, 0.0, line))
    for number in range(2, 7):
        at = np.array([*rng.uniform((-0.5, -0.1), (0.5, 0.6)), 0.0])
        heading = -45.0 + rng.uniform(-18, 18)
        lean = rng.uniform(4, 20)
        pose = standing_pose(board, at, heading, lean)
        stood.append((f"place {number}", Stance.STANDING, None, _on_uneven_mat(pose, board, rng)))
    return tuple(stood)


def _on_uneven_mat(pose: FloatArray, board: Board, rng: np.random.Generator) -> FloatArray:
    """A foot's ends stand as high as the mat happens to be."""
    lifts = 0.001 * rng.normal(0, GROUND_U_MM, 2)
    ends = board.foot_m @ pose[:3, :3].T + pose[:3, 3]
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    tilt = (lifts[1] - lifts[0]) / np.linalg.norm(ends[1] - ends[0])
    axis = np.cross(along, [0.0, 0.0, 1.0])
    turn = turned_by(tilt * axis)
    middle = ends.mean(axis=0)
    moved = pose.copy()
    moved[:3, :3] = turn @ pose[:3, :3]
    moved[:3, 3] = turn @ (pose[:3, 3] - middle) + middle + [0.0, 0.0, lifts.mean()]
    return moved


def is_seen(bay: MadeBay) -> bool:
    """Whether the face-on camera sees the line's place and both see at least four others."""
    places = {place.name: place.sights for place in bay.places(np.random.default_rng(0), 0.0)}
    both = sum(len(sights) == 2 for sights in places.values())
    return FACE_ON in places.get("place 1", {}) and both >= 4
