"""Where cameras stand, with what errors, and what follows for joints, for redrawing and for bumps.

Fifty bays are filmed: six places of a board of 0.6 m, 720 lines, noise of 3 levels, blur of 0.6 px,
bent lenses, cameras 1.8 to 5 m from the golfer. Two hundred more are measured from corners and
marks with noise, without pictures, twice each, for whether stated errors hold. Lenses are found
from views of their own throughout. `pose_vs_bound` is against the Cramér-Rao bound of the same
bays for the noise that their corners really had. Joints are off by the root mean square over all
joints of all bays, each with 0.5 px of noise in each coordinate of both views.
"""

from __future__ import annotations

import time
from concurrent.futures import ProcessPoolExecutor

import cv2
import numpy as np

from calibration.boards import LENS_BOARD
from calibration.lens import calibrate_lens
from tests.bench._bay_errors import Off, together
from tests.bench._bays_filmed import Filmed, filmed
from tests.bench._bays_measured import Measured, measured
from tests.bench._bumps import bumps
from tests.bench.report import Bar, BenchReport, Detail
from tests.helpers.seen_boards import before_lens, lens_views, setting_of

FILMED, MEASURED, ROOMS, WORKERS = 50, 200, 60, 2
KINDS = {"lens": "px", "pose": "mm", "turn": "deg", "sticks": "mm", "sticks turn": "deg",
         "points": "mm", "map": "px"}  # fmt: skip


def run() -> BenchReport:
    """Film and measure all, then time one lens alone."""
    with ProcessPoolExecutor(max_workers=WORKERS, initializer=cv2.setNumThreads,
                             initargs=(1,)) as workers:  # fmt: skip
        pictures = list(workers.map(filmed, range(FILMED)))
        points = list(workers.map(measured, range(MEASURED)))
        rooms = list(workers.map(bumps, range(ROOMS)))
    kinds = {kind: together(off for one in points for off in one.kinds[kind]) for kind in KINDS}
    return BenchReport(
        bench="geometry",
        bars=(*_filmed_bars(pictures), *_stated_bars(kinds), *_other_bars(kinds, points, rooms)),
        details=_details(kinds, pictures),
    )


def _rms(values: list[float] | np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> float:
    return float(np.sqrt(np.mean(np.square(values))))


def _filmed_bars(pictures: list[Filmed]) -> tuple[Bar, ...]:
    poses = [together(one[k] for bay in pictures for one in bay.poses) for k in (0, 1)]
    bounds = [
        _rms([bound for bay in pictures for bound in getattr(bay, name)])
        for name in ("bound_mm", "bound_deg")
    ]
    ratio = max(pose.rms / bound for pose, bound in zip(poses, bounds, strict=True))
    joints = [
        _rms(np.concatenate([getattr(bay, name) for bay in pictures]))
        for name in ("joints_true_mm", "joints_found_mm")
    ]
    return (
        Bar(name="pose_rms_mm", value=poses[0].rms, unit="mm", op="<=", bar=12),
        Bar(name="pose_rms_deg", value=poses[1].rms, unit="deg", op="<=", bar=0.4),
        Bar(name="pose_vs_bound", value=ratio, unit="1", op="<=", bar=1.3),
        Bar(name="joint_true_cameras_mm", value=joints[0], unit="mm", op="<=", bar=3),
        Bar(name="joint_calibrated_mm", value=joints[1], unit="mm", op="<=", bar=15),
    )


def _stated_bars(kinds: dict[str, Off]) -> tuple[Bar, ...]:
    coverage = [off.coverage_pct for off in kinds.values()]
    sharpness = max(off.sharpness for off in kinds.values())
    return (
        Bar(name="coverage_low_pct", value=min(coverage), unit="%", op=">=", bar=92),
        Bar(name="coverage_high_pct", value=max(coverage), unit="%", op="<=", bar=98),
        Bar(name="sharpness", value=sharpness, unit="1", op="<=", bar=1.3),
    )


def _other_bars(
    kinds: dict[str, Off], points: list[Measured], rooms: list[tuple[list[bool], list[bool]]]
) -> tuple[Bar, ...]:
    left = sum(one.mapped_px2 for one in points) / sum(one.as_filmed_px2 for one in points)
    found, wrong = (np.array([one[k] for one in rooms]) for k in (0, 1))
    return (
        Bar(name="sticks_mm", value=kinds["sticks"].rms, unit="mm", op="<=", bar=50),
        Bar(name="sticks_deg", value=kinds["sticks turn"].rms, unit="deg", op="<=", bar=0.7),
        Bar(name="map_residual_ratio", value=float(np.sqrt(left)), unit="1", op="<=", bar=0.2),
        Bar(name="bump_found_pct", value=100 * float(found.mean()), unit="%", op=">=", bar=99),
        Bar(name="bump_false_pct", value=100 * float(wrong.mean()), unit="%", op="<=", bar=0),
        Bar(name="solve_30_views_s", value=_solve_s(), unit="s", op="<=", bar=10),
    )


def _solve_s() -> float:
    """Time for a lens from thirty views, the choice of its bend included."""
    camera = before_lens()
    views = lens_views(camera, LENS_BOARD, 30, np.random.default_rng(1), noise_px=0.06)
    begun = time.perf_counter()
    calibrate_lens(views, setting_of(camera))
    return time.perf_counter() - begun


def _details(kinds: dict[str, Off], pictures: list[Filmed]) -> dict[str, Detail]:
    by_kind: dict[str, Detail] = {
        kind: {
            "n": len(off.size),
            "coverage_pct": round(off.coverage_pct, 1),
            "sharpness": round(off.sharpness, 3),
            f"rms_{KINDS[kind]}": round(off.rms, 3),
        }
        for kind, off in kinds.items()
    }
    joints = [
        np.concatenate([getattr(bay, name) for bay in pictures])
        for name in ("joints_true_mm", "joints_found_mm")
    ]
    return {
        "kinds": by_kind,
        "bays_filmed": len(pictures),
        "pictures": sum(bay.pictures[0] for bay in pictures),
        "pictures_refused": sum(bay.pictures[1] for bay in pictures),
        "corner_rms_px": round(_rms([bay.corner_px for bay in pictures]), 4),
        "bound_mm": round(_rms([mm for bay in pictures for mm in bay.bound_mm]), 2),
        "bound_deg": round(_rms([deg for bay in pictures for deg in bay.bound_deg]), 3),
        "joints": sum(len(bay.joints_true_mm) for bay in pictures),
        "joint_bound_mm": round(_rms(np.concatenate([bay.joints_bound_mm for bay in pictures])), 2),
        "joint_median_mm": [round(float(np.median(one)), 2) for one in joints],
        "bump_pictures_each": 2 * ROOMS,
        "compared_with": "true poses; the Cramér-Rao bound of the same bays",
    }
