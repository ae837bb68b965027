"""Where the cameras stand, from two sticks laid across each other on the mat and taken away again.

One stick lies on the target line with its middle on the mat mark; the other one lies over it there,
square to it by the edge of a sheet of paper (0.5 degrees; by eye it would be 1.5, and the cameras
half as badly again placed). All four ends are marked in every view. How well the sticks are laid is
part of the error, and so is that the first one lies a degree or two off the true line.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass, replace

import cv2
import numpy as np

from calibration.bay_build import EXACT_M, STICK_RADIUS_M, STICK_U_M, placed_cameras
from calibration.errors import CalibrationError
from calibration.lens import Lens
from calibration.projection import FloatArray, check_finite, unbend
from calibration.scene import (
    Apart,
    Evidence,
    Held,
    PointsSeen,
    Scene,
    Solved,
    misfit,
    settle,
    spread,
)
from calibration.standing import METRES_GOOD_MM, BayCalibration, Kind, PlaceFit

LENGTH_U_M = 0.001
"""How well a stick's length is known, to where its tips are marked."""
OVER_M, OVER_U_M = 0.008, 0.004
"""The stick that lies over the other one: one end up, one down, or bent over it."""
LARGEST_TIMES_U = 5.0
"""Marks that miss by more than this many of their errors aren't of sticks laid like this."""
STICKS_LINE_U_DEG = 1.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MarkedSticks:
    """Two sticks as marked in each view.

    Args:
        ends_px: By camera, shape (4, 2), looking at the target: rear and front end of the stick on
            the line, then the left and the right end of the one across.
        length_m: Of both sticks.
        u_px: How well ends are marked.
        u_square_deg: How well the second stick is laid square.
        u_middle_m: How well its middle is laid on the mat mark.
    """

    ends_px: Mapping[str, FloatArray]
    length_m: float = 1.22
    u_px: float = 1.0
    u_square_deg: float = 0.5
    u_middle_m: float = 0.004

    @property
    def laid_m(self) -> FloatArray:
        """Where the four ends lie if laid without error, shape (4, 3)."""
        half, low = 0.5 * self.length_m, STICK_RADIUS_M
        return np.array([[-half, 0, low], [half, 0, low], [0, half, low], [0, -half, low]])


def calibrate_sticks(
    marked: MarkedSticks, lenses: Mapping[str, Lens], *, line_u_deg: float = STICKS_LINE_U_DEG
) -> BayCalibration:
    """Find where the cameras stand.

    Args:
        marked: The sticks' ends in each view.
        lenses: Each camera's lens; where only its field of view is known, both cameras together
            solve the focal length, and metres aren't good.
        line_u_deg: How far the stick may lie off the true line.

    Raises:
        CalibrationError: If ends are missing, swapped or mirrored, or don't fit sticks laid like
            this. Nothing is changed.
    """
    names = _checked(marked, lenses)
    evidence = Evidence(
        points=tuple(
            PointsSeen(camera=place, points=(0, 1, 2, 3), pixels=marked.ends_px[name],
                       u_px=marked.u_px)
            for place, name in enumerate(names)
        ),
        held=_held(marked),
        apart=(
            Apart(first=0, second=1, length_m=marked.length_m, u_m=LENGTH_U_M),
            Apart(first=2, second=3, length_m=marked.length_m, u_m=LENGTH_U_M),
        ),
    )  # fmt: skip
    ways = [_ways(marked.ends_px[name], marked.laid_m, lenses[name]) for name in names]
    solved = [
        settle(_scene(poses, [lenses[name] for name in names], marked), evidence, sigma_px=1.0)
        for poses in itertools.product(*ways)
    ]
    best = min(solved, key=lambda one: misfit(one.scene, evidence, 1.0))
    _check_fit(best, evidence, marked)
    return _result(best, names, lenses, line_u_deg)


def _checked(marked: MarkedSticks, lenses: Mapping[str, Lens]) -> list[str]:
    names = [name for name in lenses if name in marked.ends_px]
    lacking = [name for name in marked.ends_px if name not in lenses]
    if not names or lacking:
        raise CalibrationError(
            f"Of {', '.join(lacking) or 'no camera'} neither lens nor field of view is known.",
            try_next="Calibrate its lens, or enter how wide its picture looks.",
        )
    for name in names:
        ends = check_finite(f"The sticks' ends in {name}", marked.ends_px[name])
        if ends.shape != (4, 2):
            raise CalibrationError(
                f"{len(ends)} ends of sticks are marked in {name}; four are needed.",
                try_next="Mark both ends of each stick.",
            )
    return names


def _held(marked: MarkedSticks) -> tuple[Held, ...]:
    along, left, up = np.eye(3)
    half, middle = 0.5 * marked.length_m, (0.5, 0.5)
    return (
        Held(axis=up, value_m=STICK_RADIUS_M, u_m=STICK_U_M, points=(0, 1)),
        Held(axis=up, value_m=OVER_M, u_m=OVER_U_M, points=(2, 3)),
        Held(axis=left, value_m=0.0, u_m=EXACT_M, points=(0, 1)),
        Held(axis=along, value_m=0.0, u_m=EXACT_M, points=(0, 1), shares=middle),
        Held(axis=along, value_m=0.0, u_m=marked.u_middle_m, points=(2, 3), shares=middle),
        Held(axis=left, value_m=0.0, u_m=marked.u_middle_m, points=(2, 3), shares=middle),
        Held(axis=along, value_m=0.0, u_m=half * np.radians(marked.u_square_deg), points=(2, 3),
             shares=(0.5, -0.5)),
    )  # fmt: skip


def _ways(ends_px: FloatArray, laid_m: FloatArray, lens: Lens) -> list[FloatArray]:
    """Where the camera may stand, `camera_from_world`, above the mat."""
    flat = unbend(lens.numbers, np.asarray(ends_px, dtype=np.float64))
    lift = np.array([0.0, 0.0, STICK_RADIUS_M])
    _, turns, shifts, _ = cv2.solvePnPGeneric(
        laid_m - lift, flat, np.eye(3), np.zeros(5), flags=cv2.SOLVEPNP_IPPE
    )
    ways = []
    for turn, shift in zip(turns, shifts, strict=True):
        pose = np.eye(4)
        pose[:3, :3], pose[:3, 3] = cv2.Rodrigues(turn)[0], np.asarray(shift).ravel()
        if np.linalg.inv(pose)[2, 3] > 0:
            ways.append(pose)
    if not ways:
        raise CalibrationError(
            f"By these marks {lens.setting.camera} would look from under the mat.",
            try_next="Mark the ends in the order asked for; switch a mirrored picture's setting "
            "off.",
        )
    return ways


def _scene(poses: tuple[FloatArray, ...], lenses: list[Lens], marked: MarkedSticks) -> Scene:
    spreads = tuple(spread(lens) for lens in lenses)
    return Scene(
        turns=np.array([pose[:3, :3] for pose in poses]),
        lens_m=np.array([np.linalg.inv(pose)[:3, 3] for pose in poses]),
        lenses=tuple(lenses),
        spreads=spreads,
        shares=tuple(np.zeros(one.shape[1]) for one in spreads),
        board_turns=np.zeros((0, 3, 3)),
        board_m=np.zeros((0, 3)),
        points_m=marked.laid_m,
    )


def _check_fit(best: Solved, evidence: Evidence, marked: MarkedSticks) -> None:
    worst = max(best.point_rms_px)
    strain = misfit(best.scene, evidence, 1.0) / (8 * len(evidence.points))
    if worst > LARGEST_TIMES_U * marked.u_px or strain > LARGEST_TIMES_U**2:
        raise CalibrationError(
            f"The marks don't fit two sticks of {marked.length_m:g} m laid crosswise: "
            f"{worst:.1f} px are left over.",
            try_next="Check the order of the ends, the length, and that they lie square.",
        )


def _result(
    solved: Solved, names: list[str], lenses: Mapping[str, Lens], line_u_deg: float
) -> BayCalibration:
    fits = tuple(
        PlaceFit(name="sticks", camera=name, rms_px=rms, used=True)
        for name, rms in zip(names, solved.point_rms_px, strict=True)
    )
    found = BayCalibration(
        cameras=placed_cameras(solved.scene),
        covariance=solved.covariance,
        kind=Kind.STICKS,
        sigma_px=float(np.sqrt(np.mean([one.rms_px**2 for one in fits]) / 2)),
        places=fits,
        bad=(),
        line_u_deg=line_u_deg,
        metres_good=False,
    )
    known = all(lenses[name].model is not None for name in names)
    good = known and max(found.error(name).mm for name in names) <= METRES_GOOD_MM
    return replace(found, metres_good=good)
