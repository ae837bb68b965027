"""Published pictures of a chessboard: our lens and our two cameras against the published ones.

One camera: the corners of a window of 11 px, with which the published result was made, and plain
least squares with its model. Two cameras: corners as this project finds them, adjusted together.
Where the package can be had, corners are found again in the pictures themselves and compared with
the facts kept beside the tests.
"""

from __future__ import annotations

import time

import cv2
import numpy as np
from scipy.spatial.transform import Rotation

from calibration.boards import Board, BoardKind
from calibration.corners import find_corners
from calibration.lens import LensModel, free_steps
from calibration.lens_fit import Fit, first_guess, solve, together
from tests.bench.report import Bar, BenchReport, Detail
from tests.helpers.real_chessboards import (
    SIZE_PX,
    STEREO_BOARD,
    WIDE,
    CannotFetchError,
    corner_facts,
    lens,
    pictures_folder,
    right_from_left,
    two_cameras,
    views,
)

PUBLISHED_F_PX = 535.91573396
PUBLISHED_T_MM, PUBLISHED_T_U = (-99.80198, 1.12443, 0.05041), (0.14200, 0.11352, 0.49773)
PUBLISHED_OM, PUBLISHED_OM_U = (0.00669, 0.00452, -0.00350), (0.00270, 0.00308, 0.00029)
PUBLISHED_BASELINE_MM = 99.8083
# OpenCV project, samples/data/left_intrinsics.yml; J.-Y. Bouguet, Camera Calibration Toolbox,
# fifth example (stereo), with the errors that it states.


def run() -> BenchReport:
    """Solve both and compare."""
    begun = time.perf_counter()
    one = published_lens()
    turn, shift_m = right_from_left(two_cameras())
    shift_mm, om = 1000.0 * shift_m, Rotation.from_matrix(turn).as_rotvec()
    within = [
        int((np.abs(np.subtract(ours, theirs)) <= u).sum())
        for ours, theirs, u in ((shift_mm, PUBLISHED_T_MM, PUBLISHED_T_U),
                                (om, PUBLISHED_OM, PUBLISHED_OM_U))
    ]  # fmt: skip
    baseline = abs(float(np.linalg.norm(shift_mm)) - PUBLISHED_BASELINE_MM)
    focal = abs(float(one.lens[0]) - PUBLISHED_F_PX)
    return BenchReport(
        bench="chessboards",
        bars=(
            Bar(name="bouguet_T_in_error", value=within[0], unit="of 3", op=">=", bar=3),
            Bar(name="bouguet_om_in_error", value=within[1], unit="of 3", op=">=", bar=3),
            Bar(name="baseline_error_mm", value=baseline, unit="mm", op="<=", bar=0.15),
            Bar(name="opencv_f_error_px", value=focal, unit="px", op="<=", bar=1),
        ),
        details={
            "T_mm": [round(float(v), 4) for v in shift_mm],
            "om_rad": [round(float(v), 5) for v in om],
            "opencv_lens": [round(float(v), 4) for v in one.lens],
            "opencv_rms_px": round(float(np.sqrt((one.view_rms_px**2).mean())), 4),
            "left_f_px": [round(float(v), 3) for v in lens("left").numbers[:2]],
            "right_f_px": [round(float(v), 3) for v in lens("right").numbers[:2]],
            "solved_s": round(time.perf_counter() - begun, 2),
            **_found_again(),
            "compared_with": "OpenCV's one-camera result, Bouguet's two-camera result",
        },
    )


def published_lens() -> Fit:
    """The published one-camera result made again: its corners, its model, plain least squares."""
    board = Board(kind=BoardKind.CHESS, columns=10, rows=7, square_mm=25.0)
    block = together([view.corners for view in views("left", WIDE, board)])
    free = free_steps(LensModel.FULL, square_pixels=True)
    start = solve(block, first_guess(block, SIZE_PX), free[:, :3], hold=False)
    return solve(block, start, free, hold=False)


def _found_again() -> dict[str, Detail]:
    """How far corners found in the pictures now are from the facts that are kept."""
    try:
        folder = pictures_folder()
    except CannotFetchError as error:
        return {"pictures": str(error)}
    off = []
    for camera in ("left", "right"):
        for picture, facts in corner_facts(camera).items():
            grey = cv2.imread(str(folder / f"{camera}{picture}.jpg"), cv2.IMREAD_GRAYSCALE)
            found = find_corners(np.asarray(grey, dtype=np.uint8), STEREO_BOARD).corners
            off.append(np.inf if found is None else float(np.abs(found.pixels - facts).max()))
    return {"pictures": len(off), "corners_off_facts_px": round(max(off), 4)}
