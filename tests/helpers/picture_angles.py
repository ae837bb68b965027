"""Angles of a golfer in the picture, and where real golfers have them.

Source:
    `picture_angles.csv`: percentiles 5, 50 and 95 of CaddieSet (Jung et al., CVPR Workshops 2025):
    1,757 shots of 8 right-handed golfers of differing skill, joints found automatically in the
    picture. Degrees, but for the stance, which is a ratio.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from capturestation.records import FloatArray, Moment, View
from sample_sessions.cameras import Camera
from sample_sessions.golfer import Golfer, Pose
from sample_sessions.moments import find_moments

CSV = Path(__file__).with_suffix(".csv")
JOINTS = [f"{side}_{joint}" for side in ("lead", "trail")
          for joint in ("shoulder", "elbow", "wrist", "hip", "knee", "ankle")]  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One quantity at one moment in one view, with its percentiles."""

    view: View
    moment: Moment
    quantity: str
    p5: float
    p50: float
    p95: float

    @property
    def name(self) -> str:
        """As a table's key."""
        return f"{self.view}, {self.moment}: {self.quantity}"

    def holds(self, value: float) -> bool:
        """Whether it lies between the 5th and the 95th percentile."""
        return self.p5 <= value <= self.p95


def table() -> list[Row]:
    """All rows."""
    with CSV.open(encoding="utf-8", newline="") as file:
        return [
            Row(
                view=View(row["view"]), moment=Moment(row["moment"]), quantity=row["quantity"],
                p5=float(row["p5"]), p50=float(row["p50"]), p95=float(row["p95"]),
            )
            for row in csv.DictReader(file)
        ]  # fmt: skip


def measured(golfer: Golfer, cameras: tuple[Camera, ...]) -> list[float]:
    """The value of every row of the table, from projected joints."""
    times = find_moments(golfer)
    by_view = {camera.view: camera for camera in cameras}
    values = []
    for row in table():
        at_s = times[row.moment]
        assert at_s is not None, row.name
        pose = golfer.pose(np.array([at_s]))
        values.append(QUANTITIES[row.quantity](_spots(by_view[row.view], pose)))
    return values


def _spots(camera: Camera, pose: Pose) -> dict[str, FloatArray]:
    spots = {name: camera.project(getattr(pose, name))[0] for name in JOINTS}
    for joint in ("hip", "shoulder"):
        spots[f"middle_{joint}"] = 0.5 * (spots[f"lead_{joint}"] + spots[f"trail_{joint}"])
    return spots


def _to_level(start: str, end: str) -> Callable[[dict[str, FloatArray]], float]:
    def angle_deg(spots: dict[str, FloatArray]) -> float:
        across, down = np.abs(spots[end] - spots[start])
        return float(np.degrees(np.arctan2(down, across)))

    return angle_deg


def _between(first: str, joint: str, last: str) -> Callable[[dict[str, FloatArray]], float]:
    def angle_deg(spots: dict[str, FloatArray]) -> float:
        a, b = spots[first] - spots[joint], spots[last] - spots[joint]
        return abs(float(np.degrees(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b))))

    return angle_deg


def _stance(spots: dict[str, FloatArray]) -> float:
    width = np.linalg.norm(spots["lead_shoulder"] - spots["trail_shoulder"])
    return float(np.linalg.norm(spots["lead_ankle"] - spots["trail_ankle"]) / width)


QUANTITIES = {
    "shoulder line to level": _to_level("trail_shoulder", "lead_shoulder"),
    "stance width over shoulder width": _stance,
    "lead arm": _between("lead_shoulder", "lead_elbow", "lead_wrist"),
    "trail arm": _between("trail_shoulder", "trail_elbow", "trail_wrist"),
    "lead leg": _between("lead_hip", "lead_knee", "lead_ankle"),
    "trail leg": _between("trail_hip", "trail_knee", "trail_ankle"),
    "lead ankle to trail hip to level": _to_level("lead_ankle", "trail_hip"),
    "hips to shoulders to level": _to_level("middle_hip", "middle_shoulder"),
}
