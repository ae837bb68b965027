"""The invented bay: do its golfers stand and move like real ones, and how long does a frame take.

Angles are measured from projected joints, as the open data set measured them in pictures, over a
hundred full swings without departures: bodies, ages, hands, clubs, tempo and the cameras' places
drawn by seed. A frame is timed over a whole swing from both cameras on one thread, as it is first
drawn: nothing comes from the cache.
"""

from __future__ import annotations

import time
from dataclasses import replace

import cv2
import numpy as np

from capturestation.records import FloatArray, Hand
from sample_sessions.cameras import Camera, Placement, cameras_for
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from sample_sessions.people import somebody
from sample_sessions.render import Renderer
from tests.bench.report import Bar, BenchReport, Detail
from tests.helpers.picture_angles import measured, table

SWINGS = 100
STEP_S = 0.04
# Every fifth frame or so; the strike itself is among them.
SHIFT_M, AIM_M, ROLL_DEG = 0.10, 0.05, 1.0
# How far a camera stands from its usual place, looks aside and is tilted.


def run() -> BenchReport:
    """Measure a hundred golfers, then time one swing's frames."""
    values = np.array([_angles(seed) for seed in range(SWINGS)])
    rows = table()
    inside = np.array([[row.holds(v) for row, v in zip(rows, one, strict=True)] for one in values])
    frames_ms = _frames_ms(read_out_s=0.0)
    rolling_ms = _frames_ms(read_out_s=0.0055)
    by_row: dict[str, Detail] = {}
    for place, row in enumerate(rows):
        low, middle, high = np.percentile(values[:, place], (5, 50, 95))
        by_row[row.name] = {
            "in_band_pct": round(100.0 * float(inside[:, place].mean()), 1),
            "ours_5_50_95": [round(float(v), 1) for v in (low, middle, high)],
            "theirs_5_50_95": [row.p5, row.p50, row.p95],
        }
    return BenchReport(
        bench="render",
        bars=(
            Bar(name="angles_in_band_pct", value=100.0 * float(inside.mean()), unit="%", op=">=",
                bar=90),
            Bar(name="frame_ms", value=float(frames_ms.mean()), unit="ms", op="<=", bar=80),
        ),
        details={
            "rows": by_row,
            "swings": SWINGS,
            "frame_ms_p95": round(float(np.percentile(frames_ms, 95)), 1),
            "rolling_shutter_frame_ms": round(float(rolling_ms.mean()), 1),
            "frames_timed": len(frames_ms),
            "compared_with": "percentiles 5 to 95 of an open data set of 1,757 shots",
        },
    )  # fmt: skip


def _angles(seed: int) -> list[float]:
    swing = somebody(seed)
    return measured(Golfer(swing), tuple(_off(c, seed) for c in cameras_for(swing.hand)))


def _off(camera: Camera, seed: int) -> Camera:
    """The camera within what a coach's set-up is usually off by."""
    random = np.random.default_rng((seed, len(camera.name)))
    return camera.placed(
        Placement(
            shift_m=tuple(random.uniform(-SHIFT_M, SHIFT_M, 3)),
            aim_shift_m=tuple(random.uniform(-AIM_M, AIM_M, 3)),
            roll_deg=float(random.uniform(-ROLL_DEG, ROLL_DEG)),
        )
    )


def _frames_ms(*, read_out_s: float) -> FloatArray:
    """Processor time of frames at 1280 x 720 with blur, both cameras, one thread."""
    threads = cv2.getNumThreads()
    cv2.setNumThreads(1)
    taken = []
    try:
        for camera in cameras_for(Hand.RIGHT):
            draw = Renderer(Golfer(SwingParameters()), replace(camera, read_out_s=read_out_s))
            draw.frame(-1.0)
            for time_s in np.arange(-1.4, 1.0, STEP_S):
                begun = time.process_time()
                draw.frame(float(time_s))
                taken.append(1000.0 * (time.process_time() - begun))
    finally:
        cv2.setNumThreads(threads)
    return np.array(taken)
