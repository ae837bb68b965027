"""Where boards and cameras are, roughly, before they are adjusted together.

A flat board far away looks almost the same tilted towards or away; both ways are kept until the
cameras agree on one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from calibration.corners import Corners
from calibration.errors import CalibrationError
from calibration.lens import Lens
from calibration.poses import angle_deg
from calibration.projection import FloatArray, draw

Poses = list[FloatArray]
_AGREE_M_PER_RAD = 2.0
# A turn's share in how far two poses differ: what a radian moves at a board's usual distance.


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chain:
    """Rough poses in the axes of the first camera.

    Args:
        cameras: `first_from_camera` by name.
        boards: `first_from_board` by place.
    """

    cameras: dict[str, FloatArray]
    boards: dict[str, FloatArray]


def chain(sights: Mapping[str, Mapping[str, Corners]], lenses: Mapping[str, Lens]) -> Chain:
    """Tie cameras together by the boards that two of them see.

    Args:
        sights: What was seen at each place, by camera.
        lenses: Each camera's lens.

    Raises:
        CalibrationError: If a camera sees no board that another one sees.
    """
    ways = {
        (place, camera): board_ways(lenses[camera], corners)
        for place, seen in sights.items()
        for camera, corners in seen.items()
    }
    names = sorted(
        {camera for _, camera in ways}, key=lambda c: -sum(c in s for s in sights.values())
    )
    cameras = {names[0]: np.eye(4)}
    while len(cameras) < len(names):
        found = _next_camera(sights, ways, cameras, names)
        if found is None:
            lone = ", ".join(name for name in names if name not in cameras)
            raise CalibrationError(
                f"No place of the board is seen by {lone} and by another camera.",
                try_next="Stand the board so that both cameras see it, turned half towards each.",
            )
        cameras[found[0]] = found[1]
    boards = {
        place: _best_board(seen, place, ways, cameras, lenses) for place, seen in sights.items()
    }
    return Chain(cameras=cameras, boards=boards)


def board_ways(lens: Lens, corners: Corners) -> Poses:
    """Both ways in which a board may stand, `camera_from_board`, the better first."""
    n = lens.numbers
    matrix = np.array([[n[0], 0, n[2]], [0, n[1], n[3]], [0, 0, 1.0]])
    _, turns, shifts, _ = cv2.solvePnPGeneric(
        corners.on_board_m, corners.pixels, matrix, n[4:], flags=cv2.SOLVEPNP_IPPE
    )
    poses = []
    for turn, shift in zip(turns, shifts, strict=True):
        pose = np.eye(4)
        pose[:3, :3], pose[:3, 3] = cv2.Rodrigues(turn)[0], np.asarray(shift).ravel()
        poses.append(pose)
    return poses


def _next_camera(
    sights: Mapping[str, Mapping[str, Corners]],
    ways: Mapping[tuple[str, str], Poses],
    cameras: Mapping[str, FloatArray],
    names: Sequence[str],
) -> tuple[str, FloatArray] | None:
    """A camera that shares boards with a placed one, and the pose most of these agree on."""
    for name in names:
        if name in cameras:
            continue
        votes = [
            cameras[other] @ seen_by_other @ np.linalg.inv(own)
            for place, seen in sights.items()
            if name in seen
            for other in seen
            if other in cameras
            for seen_by_other in ways[place, other]
            for own in ways[place, name]
        ]
        if votes:
            return name, _most_agreed(votes)
    return None


def _most_agreed(votes: Poses) -> FloatArray:
    """The pose from which the middle of the others is least far."""
    if len(votes) <= 2:
        return votes[0]
    apart = [[_apart(one, other) for other in votes] for one in votes]
    # A quarter of the votes are right: one way of each camera at each place.
    near = [float(np.mean(sorted(row)[: max(2, len(votes) // 4)])) for row in apart]
    return votes[int(np.argmin(near))]


def _apart(one: FloatArray, other: FloatArray) -> float:
    moved = float(np.linalg.norm(one[:3, 3] - other[:3, 3]))
    turned = np.radians(angle_deg(one[:3, :3].T @ other[:3, :3]))
    return moved + _AGREE_M_PER_RAD * float(turned)


def _best_board(
    seen: Mapping[str, Corners],
    place: str,
    ways: Mapping[tuple[str, str], Poses],
    cameras: Mapping[str, FloatArray],
    lenses: Mapping[str, Lens],
) -> FloatArray:
    """The way of any camera that all of them see best."""
    tried = [cameras[camera] @ way for camera in seen for way in ways[place, camera]]
    misfits = [
        sum(_misfit(np.linalg.inv(cameras[c]) @ pose, seen[c], lenses[c]) for c in seen)
        for pose in tried
    ]
    return tried[int(np.argmin(misfits))]


def _misfit(pose: FloatArray, corners: Corners, lens: Lens) -> float:
    drawn = draw(lens.numbers, corners.on_board_m @ pose[:3, :3].T + pose[:3, 3])
    off = np.nan_to_num(drawn - corners.pixels, nan=1e4)
    return float(np.sqrt((off**2).mean()))
