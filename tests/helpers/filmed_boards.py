"""Pictures of boards as a camera of the bay would take them: bent, blurred and noisy.

Each picture point is followed to the board's plane, so corners fall exactly where the camera model
says; three by three samples a pixel, each with its share of dark and light, then the lens's blur,
then the sensor's noise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.boards import Board, BoardKind
from calibration.camera import Camera
from calibration.marker_bits import CELLS, marker_cells
from calibration.poses import camera_pose
from calibration.projection import FloatArray, draw, unbend

Grey: TypeAlias = NDArray[np.uint8]
FINE, STEP_PX = 3, 3
DARK, LIGHT, RIM_SQUARES = 40.0, 215.0, 0.7


@dataclass(frozen=True, slots=True, kw_only=True)
class Filming:
    """How a camera films.

    Args:
        blur_px: Sigma of the lens's blur.
        noise: Sigma of the sensor's noise in levels.
        light: Share of full light.
    """

    blur_px: float = 0.6
    noise: float = 3.0
    light: float = 1.0


def film(
    camera: Camera,
    boards: Sequence[tuple[Board, FloatArray]],
    rng: np.random.Generator,
    filming: Filming | None = None,
) -> Grey:
    """One picture.

    Args:
        camera: The camera.
        boards: Boards with their `world_from_board` (4, 4).
        rng: For background and noise.
        filming: Blur, noise and light.
    """
    how = filming or Filming()
    width, height = camera.size_px
    picture = _background(width, height, rng)
    for board, pose in boards:
        _put(picture, camera, board, pose, how)
    picture *= how.light
    picture += rng.normal(0.0, how.noise, picture.shape).astype(np.float32)
    grey: Grey = np.clip(np.rint(picture), 0, 255).astype(np.uint8)
    return grey


def _background(width: int, height: int, rng: np.random.Generator) -> NDArray[np.float32]:
    small = rng.uniform(60, 150, (height // 80 + 2, width // 80 + 2))
    wall = np.asarray(cv2.resize(small, (width, height)), dtype=np.float32)
    for _ in range(12):
        x, y = int(rng.integers(0, width)), int(rng.integers(0, height))
        wide, high = (int(side) for side in rng.integers(20, 200, 2))
        wall[y : y + high, x : x + wide] = rng.uniform(50, 180)
    return wall


def _put(
    picture: NDArray[np.float32], camera: Camera, board: Board, pose: FloatArray, how: Filming
) -> None:
    """Lay one board over the picture."""
    box = _box(camera, board, pose)
    if box is None:
        return
    x0, y0, x1, y1 = box
    rows, columns = (y1 - y0) * FINE, (x1 - x0) * FINE
    coarse_x, coarse_y = _coarse(x0, x1), _coarse(y0, y1)
    coarse = _on_board(camera, pose, np.stack(np.meshgrid(coarse_x, coarse_y), axis=-1))
    across, down = _between(coarse_x, x0, columns), _between(coarse_y, y0, rows)
    slope = [np.hypot(*np.gradient(coarse[..., k], STEP_PX * FINE)) for k in (0, 1)]
    x, y, wide, high = (down @ one @ across.T for one in (coarse[..., 0], coarse[..., 1], *slope))
    there = on_paper(board, x, y)
    value = np.where(there, board_value(board, x, y, (wide, high)), 0.0).astype(np.float32)
    sigma = how.blur_px * FINE
    soft = [cv2.GaussianBlur(one, (0, 0), sigma) for one in (value, there.astype(np.float32))]
    shown, share = (
        cv2.resize(one, (x1 - x0, y1 - y0), interpolation=cv2.INTER_AREA) for one in soft
    )
    picture[y0:y1, x0:x1] = picture[y0:y1, x0:x1] * (1.0 - share) + shown


def _coarse(low: int, high: int) -> FloatArray:
    return np.arange(low - STEP_PX, high + 2 * STEP_PX, STEP_PX, dtype=np.float64)


def _between(coarse: FloatArray, low: int, count: int) -> FloatArray:
    """Weights that fill in the fine samples between the coarse ones, (count, len(coarse))."""
    at = (low - 0.5 + (np.arange(count) + 0.5) / FINE - coarse[0]) / STEP_PX
    left = np.floor(at).astype(np.int64)
    weights: FloatArray = np.zeros((count, len(coarse)))
    weights[np.arange(count), left] = 1.0 - (at - left)
    weights[np.arange(count), left + 1] = at - left
    return weights


def _box(camera: Camera, board: Board, pose: FloatArray) -> tuple[int, int, int, int] | None:
    rim = 0.001 * RIM_SQUARES * board.square_mm
    wide, high = (0.001 * side for side in board.size_mm)
    low = min(-rim, -0.001 * board.foot_mm)
    grown = np.array(
        [[-rim, low, 0], [wide + rim, low, 0], [wide + rim, high + rim, 0], [-rim, high + rim, 0]]
    )
    turn, lens_m = camera_pose(camera)
    local = (grown @ pose[:3, :3].T + pose[:3, 3] - lens_m) @ turn.T
    if (local[:, 2] <= 0.05).any():
        return None
    spots = draw(camera.lens_numbers, local)
    low_px, high_px = np.floor(spots.min(axis=0)) - 6, np.ceil(spots.max(axis=0)) + 6
    x0, y0 = (int(max(0, v)) for v in low_px)
    x1, y1 = (int(min(s, v)) for s, v in zip(camera.size_px, high_px, strict=True))
    return (x0, y0, x1, y1) if x1 > x0 and y1 > y0 else None


def _on_board(camera: Camera, pose: FloatArray, pixels: FloatArray) -> FloatArray:
    """Where pixels' rays meet the board's plane, in the board's axes; NaN seen from behind."""
    turn, lens_m = camera_pose(camera)
    flat = unbend(camera.lens_numbers, pixels)
    rays = np.concatenate([flat, np.ones((*flat.shape[:-1], 1))], axis=-1) @ turn @ pose[:3, :3]
    start = pose[:3, :3].T @ (lens_m - pose[:3, 3])
    far = -start[2] / rays[..., 2]
    far = np.where((far > 0) & (start[2] > 0), far, np.nan)
    met: FloatArray = start[:2] + far[..., None] * rays[..., :2]
    return met


def on_paper(board: Board, x: FloatArray, y: FloatArray) -> NDArray[np.bool_]:
    """Whether board points are on the sheet, rim and foot with it."""
    rim = 0.001 * RIM_SQUARES * board.square_mm
    wide, high = (0.001 * side for side in board.size_mm)
    low = min(-rim, -0.001 * board.foot_mm)
    with np.errstate(invalid="ignore"):
        return (x > -rim) & (x < wide + rim) & (y > low) & (y < high + rim)


def board_value(
    board: Board, x: FloatArray, y: FloatArray, sample_m: tuple[FloatArray, FloatArray]
) -> FloatArray:
    """Grey of board points.

    Args:
        board: The board.
        x: Across.
        y: Up.
        sample_m: How far x and y go on to the next sample: an edge is that wide.
    """
    square = 0.001 * board.square_mm
    wide, high = (0.001 * side for side in board.size_mm)
    with np.errstate(invalid="ignore"):
        on = (x >= -0.5 * sample_m[0]) & (x < wide + 0.5 * sample_m[0])
        on &= (y >= -0.5 * sample_m[1]) & (y < high + 0.5 * sample_m[1])
    u, v = np.where(on, x, 0.0) / square, np.where(on, y, 0.0) / square
    signs = [_stripes(one, step / square) for one, step in zip((u, v), sample_m, strict=True)]
    upper_left = 1.0 if board.rows % 2 else -1.0
    dark = np.where(on, 0.5 + 0.5 * upper_left * signs[0] * signs[1], 0.0)
    if board.kind is BoardKind.CHARUCO:
        dark = np.maximum(dark, on & _in_marker(board, square * u, square * v))
    value: FloatArray = LIGHT + (DARK - LIGHT) * dark
    return value


def _stripes(u: FloatArray, step: FloatArray) -> FloatArray:
    """+1 and -1 in turn between whole numbers, with edges one sample wide."""
    line = np.round(u)
    edge: FloatArray = np.clip(2.0 * (u - line) / np.maximum(step, 1e-9), -1.0, 1.0)
    return np.where(line % 2 == 0, edge, -edge)


def _in_marker(board: Board, x: FloatArray, y: FloatArray) -> NDArray[np.bool_]:
    """Whether points lie on a dark cell of a marker."""
    cell = 0.001 * board.marker_mm / (CELLS + 2)
    per_square = round(0.001 * board.square_mm / (0.5 * cell))
    dark = np.zeros((board.rows * per_square, board.columns * per_square), dtype=bool)
    fine = 0.001 * board.square_mm / per_square
    for left, top, side in marker_cells(board):
        first, last = round(left / fine), round((left + side) / fine)
        low, high = round((top - side) / fine), round(top / fine)
        dark[low:high, first:last] = True
    row, column = (np.clip((one / fine).astype(np.int64), 0, size - 1)
                   for one, size in zip((y, x), dark.shape, strict=True))  # fmt: skip
    inside: NDArray[np.bool_] = dark[row, column]
    return inside
