"""Bays from rendered pictures: the board is filmed at each place, found, and the bay measured."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from calibration.bay import calibrate_bay
from calibration.bay_build import put
from calibration.camera import project_points
from calibration.corners import find_corners
from calibration.places import Place, Surroundings
from calibration.points import Seen, triangulate
from calibration.projection import FloatArray
from calibration.scene import known
from calibration.standing import PER_CAMERA, BayCalibration, pose_error
from tests.bench._bay_errors import JOINT_PX, Off, joints_in_view, pose_off
from tests.bench._bays_measured import found_lens
from tests.helpers.filmed_boards import Filming, film
from tests.helpers.made_bays import MadeBay, made_bay

FILMING = Filming(blur_px=0.6, noise=3.0)
JOINTS = 40


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Filmed:
    """One bay.

    Args:
        poses: Place and turn of each camera.
        bound_mm: What the Cramér-Rao bound gives each camera for the corners' own noise.
        bound_deg: The same of its turn.
        corner_px: Root mean square of what corners are off, of one coordinate.
        pictures: How many were filmed, and how many refused though all of the board was in them.
        joints_bound_mm: What half a pixel makes each joint's place uncertain by, at the least.
        joints_true_mm: What joints are off with the true cameras.
        joints_found_mm: What they are off with the measured ones.
    """

    poses: list[tuple[Off, Off]]
    bound_mm: list[float]
    bound_deg: list[float]
    corner_px: float
    pictures: tuple[int, int]
    joints_bound_mm: FloatArray
    joints_true_mm: FloatArray
    joints_found_mm: FloatArray


def filmed(seed: int) -> Filmed:
    """Film, find and measure one bay."""
    rng = np.random.default_rng((2_287, seed))
    bay = made_bay(rng)
    lenses = {camera.name: found_lens(camera, rng) for camera in bay.cameras}
    places, off, refused = _found_places(bay, rng)
    found = calibrate_bay(places, lenses)
    truth = {name: pose for name, _, _, pose in bay.stood}
    built = put(
        places,
        {camera.name: replace(lenses[camera.name], numbers=camera.lens_numbers)
         for camera in bay.cameras},
        Surroundings(),
        ([np.asarray(camera.world_from_camera) for camera in bay.cameras],
         [truth[place.name] for place in places]),
    )  # fmt: skip
    corner_px = float(np.sqrt((off**2).mean()))
    covariance = known(built.scene, built.evidence, corner_px)
    bounds = [
        pose_error(covariance[first : first + PER_CAMERA, first : first + PER_CAMERA])
        for first in (0, PER_CAMERA)
    ]
    exact = replace(found, cameras=bay.cameras, covariance=np.zeros_like(found.covariance))
    points = joints_in_view(bay.cameras, rng, JOINTS)
    seen = {
        camera.name: Seen(
            pixels=project_points(camera, points) + rng.normal(0, JOINT_PX, (len(points), 2)),
            u_px=JOINT_PX,
        )
        for camera in bay.cameras
    }
    return Filmed(
        poses=[pose_off(found, camera) for camera in bay.cameras],
        bound_mm=[bound.mm for bound in bounds],
        bound_deg=[bound.deg for bound in bounds],
        corner_px=corner_px,
        pictures=(len(off) // len(bay.board.corners_m) + refused, refused),
        joints_bound_mm=1000.0 * np.sqrt(np.einsum("nii->n", triangulate(exact, seen).random_m2)),
        joints_true_mm=_joints_off(exact, seen, points),
        joints_found_mm=_joints_off(found, seen, points),
    )


def _found_places(bay: MadeBay, rng: np.random.Generator) -> tuple[list[Place], FloatArray, int]:
    """What is found in the pictures, how far corners are off, and how many were refused."""
    exact = {place.name: place for place in bay.places(rng, 0.0)}
    places, off, refused = [], [], 0
    for name, stance, heading, pose in bay.stood:
        sights = {}
        for camera in bay.cameras:
            wanted = exact[name].sights.get(camera.name) if name in exact else None
            if wanted is None:
                continue
            sight = find_corners(film(camera, [(bay.board, pose)], rng, FILMING), bay.board)
            if sight.corners is None:
                refused += 1
                continue
            sights[camera.name] = sight.corners
            off.append(sight.corners.pixels - wanted.pixels)
        if sights:
            places.append(Place(name=name, stance=stance, sights=sights, heading_deg=heading))
    return places, np.concatenate(off), refused


def _joints_off(bay: BayCalibration, seen: dict[str, Seen], points: FloatArray) -> FloatArray:
    """Millimetres; a joint that is refused counts as lost."""
    found = triangulate(bay, seen)
    off: FloatArray = 1000.0 * np.linalg.norm(found.points_m - points, axis=1)
    return off
