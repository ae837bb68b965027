"""Whether a camera was moved since its reference picture, by the background that stands still.

Details of the reference are looked for in today's picture; a turn of the camera moves all of them
by one rule, and whatever follows another rule (a golfer, a lamp's shine, other clothes) is left
out. Where too few details agree nothing is said, as on grass that moves in the wind.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.errors import CalibrationError
from calibration.poses import turned_by
from calibration.projection import FloatArray

Grey: TypeAlias = NDArray[np.uint8]

MOVED_DEG = 0.08
"""Above it a camera counts as moved: 5 mm at the golfer, less than a shift of 1 cm looks like.
Noise, another golfer and another lamp stay below 0.03."""
LEAST_DETAILS, LEAST_SHARE = 24, 0.3
"""Details that must agree, and their share of those that were found again."""
_DETAILS, _FIELDS = 400, (6, 10)
_EVEN_PX, _WINDOW_PX, _LEVELS = 24, 21, 4
_BACK_PX, _AGREE_PX = 0.5, 1.5
_TRIES, _ROUNDS = 200, 15


class BumpVerdict(StrEnum):
    """What the background says."""

    STILL = "still"
    MOVED = "moved"
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bump:
    """How a camera stands against its reference picture.

    Args:
        verdict: Still, moved, or not to be told.
        turn_deg: How far it is turned, all directions together.
        pan_deg: To its right.
        tilt_deg: Down.
        roll_deg: To its right side.
        shift_px: How far the background moved, in the middle of all details.
        u_deg: Standard error of the turn.
        used: How many details agree.
        found: How many were found again.
    """

    verdict: BumpVerdict
    turn_deg: float
    pan_deg: float
    tilt_deg: float
    roll_deg: float
    shift_px: float
    u_deg: float
    used: int
    found: int


def compare(reference: Grey, today: Grey, *, focal_px: float, seed: int = 0) -> Bump:
    """Compare today's picture with the reference.

    Args:
        reference: The picture taken when the bay was measured, grey.
        today: A picture of now, grey, of the same size.
        focal_px: The camera's focal length, about.
        seed: Of the tries that find the rule.

    Raises:
        CalibrationError: If sizes differ.
    """
    if reference.shape != today.shape or reference.ndim != 2:
        raise CalibrationError(
            f"The reference picture is {reference.shape[::-1]} and today's {today.shape[::-1]}.",
            try_next="Set the camera to the size it was measured with.",
        )
    before, after = _followed(_evened(reference), _evened(today))
    if len(before) < LEAST_DETAILS:
        return _unsure(len(before))
    middle = 0.5 * np.array(reference.shape[::-1]) - 0.5
    rays = (before - middle) / focal_px, (after - middle) / focal_px
    turn, agree = _turn_of(rays, focal_px, np.random.default_rng(seed))
    used = int(agree.sum())
    if used < max(LEAST_DETAILS, LEAST_SHARE * len(before)):
        return _unsure(len(before), used)
    off = focal_px * (rays[1] - _turned(turn, rays[0]))[agree]
    spread = float(np.sqrt((off**2).mean()))
    size = float(np.degrees(np.linalg.norm(turn)))
    moved = np.linalg.norm((after - before)[agree], axis=1)
    return Bump(
        verdict=BumpVerdict.MOVED if size > MOVED_DEG else BumpVerdict.STILL,
        turn_deg=size,
        pan_deg=float(-np.degrees(turn[1])),
        tilt_deg=float(np.degrees(turn[0])),
        roll_deg=float(-np.degrees(turn[2])),
        shift_px=float(np.median(moved)),
        u_deg=float(np.degrees(spread / focal_px / np.sqrt(used / 3))),
        used=used,
        found=len(before),
    )


def _unsure(found: int, used: int = 0) -> Bump:
    nan = float("nan")
    return Bump(verdict=BumpVerdict.UNSURE, turn_deg=nan, pan_deg=nan, tilt_deg=nan, roll_deg=nan,
                shift_px=nan, u_deg=nan, used=used, found=found)  # fmt: skip


def _evened(grey: Grey) -> Grey:
    """Detail alone: what is bright or dark against its surroundings, whatever the lamp."""
    picture = cv2.GaussianBlur(grey.astype(np.float32), (0, 0), 1.0)
    local = cv2.GaussianBlur(picture, (0, 0), _EVEN_PX)
    spread = cv2.GaussianBlur((picture - local) ** 2, (0, 0), _EVEN_PX)
    # Where nothing is, noise isn't made to look like detail.
    even = (picture - local) / np.sqrt(spread + 16.0)
    clipped: Grey = np.clip(128.0 + 40.0 * even, 0, 255).astype(np.uint8)
    return clipped


def _followed(reference: Grey, today: Grey) -> tuple[FloatArray, FloatArray]:
    """Details of the reference and where they are today, shape (n, 2) each."""
    spots = _details(reference)
    if not len(spots):
        return np.zeros((0, 2)), np.zeros((0, 2))
    size = (_WINDOW_PX, _WINDOW_PX)
    stop = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 40, 0.005)
    start = spots.astype(np.float32).reshape(-1, 1, 2)
    there, seen, _ = cv2.calcOpticalFlowPyrLK(
        reference, today, start, start.copy(), winSize=size, maxLevel=_LEVELS, criteria=stop
    )
    back, seen_back, _ = cv2.calcOpticalFlowPyrLK(
        today, reference, there, there.copy(), winSize=size, maxLevel=_LEVELS, criteria=stop
    )
    after = np.asarray(there, dtype=np.float64).reshape(-1, 2)
    off = np.linalg.norm(np.asarray(back, dtype=np.float64).reshape(-1, 2) - spots, axis=1)
    fair = (np.ravel(seen) > 0) & (np.ravel(seen_back) > 0) & (off < _BACK_PX)
    return spots[fair], after[fair]


def _details(picture: Grey) -> FloatArray:
    """Corners, some from every field of the picture, so that no poster rules alone."""
    rows, columns = _FIELDS
    height, width = picture.shape
    each = _DETAILS // (rows * columns)
    spots = []
    for row in range(rows):
        for column in range(columns):
            top, left = row * height // rows, column * width // columns
            field = picture[
                top : (row + 1) * height // rows, left : (column + 1) * width // columns
            ]
            corner = np.array([left, top], dtype=np.float64)
            spots.append(_corners(field, each) + corner)
    return np.concatenate(spots)


def _corners(field: Grey, most: int) -> FloatArray:
    found: object = cv2.goodFeaturesToTrack(field, most, 0.05, 8)
    # An even field gives None.
    if not isinstance(found, np.ndarray):
        return np.zeros((0, 2))
    return found.astype(np.float64).reshape(-1, 2)


def _turned(turn: FloatArray, flat: FloatArray) -> FloatArray:
    """Where directions are after the camera turned, shape (n, 2)."""
    rays = np.column_stack([flat, np.ones(len(flat))]) @ turned_by(turn).T
    after: FloatArray = rays[:, :2] / rays[:, 2:]
    return after


def _turn_of(
    rays: tuple[FloatArray, FloatArray], focal_px: float, rng: np.random.Generator
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """The turn that most details agree on, and which do."""
    before, after = rays
    best, most = np.zeros(3), -1
    for _ in range(_TRIES):
        pair = rng.choice(len(before), 2, replace=False)
        turn = _fitted(before[pair], after[pair], np.ones(2))
        agree = int((_off_px(turn, rays, focal_px) < _AGREE_PX).sum())
        if agree > most:
            best, most = turn, agree
    for _ in range(_ROUNDS):
        off = _off_px(best, rays, focal_px)
        # Beyond the limit a detail has no say; short of it less the farther it is off.
        weights = np.maximum(0.0, 1.0 - (off / (1.5 * _AGREE_PX)) ** 2) ** 2
        best = _fitted(before, after, weights, start=best)
    return best, _off_px(best, rays, focal_px) < _AGREE_PX


def _off_px(turn: FloatArray, rays: tuple[FloatArray, FloatArray], focal_px: float) -> FloatArray:
    off: FloatArray = focal_px * np.linalg.norm(rays[1] - _turned(turn, rays[0]), axis=1)
    return off


def _fitted(
    before: FloatArray, after: FloatArray, weights: FloatArray, start: FloatArray | None = None
) -> FloatArray:
    """The turn that takes directions to where they are now, by two steps of least squares."""
    turn = np.zeros(3) if start is None else start
    for _ in range(2):
        x, y = _turned(turn, before).T
        slopes = np.stack(
            [np.column_stack([-x * y, 1 + x * x, -y]), np.column_stack([-(1 + y * y), x * y, x])],
            axis=1,
        )
        off = after - np.column_stack([x, y])
        held = slopes * weights[:, None, None]
        normal = np.einsum("nij,nik->jk", held, slopes) + 1e-12 * np.eye(3)
        turn = turn + np.linalg.solve(normal, np.einsum("nij,ni->j", held, off))
    return turn
