"""Finds a board's corners in one picture, to a few hundredths of a pixel, or says why not.

The sub-pixel window follows the square's size in the picture: a fixed one reaches the next corner
where squares are small and pulls the point towards it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.boards import Board, BoardKind
from calibration.errors import CalibrationError
from calibration.markers import find_marked
from calibration.projection import FloatArray

Grey: TypeAlias = NDArray[np.uint8]
IntArray: TypeAlias = NDArray[np.int64]

SMALLEST_SQUARE_PX = 5.0
"""Below it the sub-pixel window has no room: 0.05 px becomes 0.2 px and more."""
_WINDOW_SHARE, _LARGEST_WINDOW = 0.32, 9
_LEAST_CONTRAST = 25.0
"""Levels between dark and light squares; with noise of 3 levels the corner is then good to 0.2."""
_WIDEST_EDGE_PX, _WIDEST_EDGE_SHARE = 2.5, 0.3
_LEAST_SPREAD = 6.0
_SMALL_PX = 4
_PIECES, _MOST_PIECES = 4, 2
# A piece is a quarter of the picture each way: a board that is too small fills a quarter of that.


class Refused(StrEnum):
    """Why a picture gives no corners."""

    NOT_THERE = "not there"
    CUT_OFF = "cut off"
    TOO_SMALL = "too small"
    BLURRED = "blurred"
    FLAT_LIGHT = "flat light"
    MIRRORED = "mirrored"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Corners:
    """The corners found in one picture.

    Args:
        board: Which board.
        size_px: Width and height of the picture.
        ids: Which of the board's corners, shape (n,), rising.
        pixels: Where, shape (n, 2).
        square_px: Shortest side of a square in the picture.
        window_px: Half the sub-pixel window's side.
    """

    board: Board
    size_px: tuple[int, int]
    ids: IntArray
    pixels: FloatArray
    square_px: float
    window_px: int

    def __post_init__(self) -> None:
        if self.pixels.shape != (len(self.ids), 2):
            raise CalibrationError(
                f"Corners and their numbers differ: {self.pixels.shape} and {self.ids.shape}.",
                try_next="Give one pixel for each corner's number.",
            )

    @property
    def on_board_m(self) -> FloatArray:
        """Their places on the board, shape (n, 3)."""
        points: FloatArray = self.board.corners_m[self.ids]
        return points


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """What one picture shows: corners, or the reason why none are taken."""

    corners: Corners | None = None
    refused: Refused | None = None


def find_corners(grey: Grey, board: Board) -> Sight:
    """Look for a board.

    Args:
        grey: The picture, shape (H, W), uint8.
        board: The board that is shown.

    Returns:
        All inner corners of a plain board; of one with markers those that are seen.

    Raises:
        CalibrationError: If it is no grey picture.
    """
    if grey.ndim != 2 or grey.dtype != np.uint8 or min(grey.shape) < 60:
        raise CalibrationError(
            f"A grey picture of bytes is asked for, got {grey.dtype} {grey.shape}.",
            try_next="Convert it to grey; at least 60 px a side.",
        )
    if float(grey.std()) < _LEAST_SPREAD:
        return Sight(refused=Refused.FLAT_LIGHT)
    if board.kind is BoardKind.CHARUCO:
        marked = find_marked(grey, board)
        if marked is None:
            seen = find_marked(np.ascontiguousarray(grey[:, ::-1]), board)
            return Sight(refused=Refused.NOT_THERE if seen is None else Refused.MIRRORED)
        return _measured(grey, board, *marked)
    rough = _rough_grid(grey, board.inner)
    if rough is None:
        return Sight(refused=_why_not(grey, board))
    pixels = _right_way_up(grey, board, rough)
    return _measured(grey, board, np.arange(len(pixels)), pixels)


def _rough_grid(grey: Grey, inner: tuple[int, int]) -> FloatArray | None:
    """Corners of a plain board in whatever order; (n, 2)."""
    flags = cv2.CALIB_CB_NORMALIZE_IMAGE
    found, corners = cv2.findChessboardCornersSB(grey, inner, flags=flags)
    if not found:
        quick = cv2.CALIB_CB_ADAPTIVE_THRESH | cv2.CALIB_CB_NORMALIZE_IMAGE
        found, corners = cv2.findChessboardCorners(
            grey, inner, flags=quick | cv2.CALIB_CB_FAST_CHECK
        )
    return np.asarray(corners, dtype=np.float64).reshape(-1, 2) if found else None


def _why_not(grey: Grey, board: Board) -> Refused:
    """Look again for what may be in the way of a plain board.

    Where none is, that takes longest: the whole picture is looked through at half its size, and at
    its own or double size only where most corners lie.
    """
    across, up = board.inner
    height, width = grey.shape
    lively = _lively(grey)
    for piece in lively:
        size = (2 * piece.shape[1], 2 * piece.shape[0])
        if _shows(cv2.resize(piece, size, interpolation=cv2.INTER_CUBIC), board.inner):
            return Refused.TOO_SMALL
    half = cv2.resize(grey, (width // 2, height // 2), interpolation=cv2.INTER_AREA)
    if _shows(half, board.inner):
        return Refused.BLURRED
    for less in ((across - 2, up), (across, up - 2), (across - 2, up - 2)):
        if min(less) >= 3 and any(_shows(one, less) for one in (half, *lively)):
            return Refused.CUT_OFF
    return Refused.NOT_THERE


def _shows(grey: cv2.typing.MatLike, inner: tuple[int, int]) -> bool:
    """Whether a board of so many corners is in a picture."""
    return bool(cv2.findChessboardCornersSB(np.asarray(grey, dtype=np.uint8), inner)[0])


def _lively(grey: Grey) -> list[Grey]:
    """The pieces of a picture in which most saddles are: where four squares meet is one."""
    height, width = grey.shape
    high, wide = max(height // _PIECES, 60), max(width // _PIECES, 60)
    smooth = cv2.GaussianBlur(grey.astype(np.float32), (0, 0), 1.0)
    ways = ((1, 1), (2, 0), (0, 2))
    twist, along, down = (cv2.Sobel(smooth, cv2.CV_32F, dx, dy) for dx, dy in ways)
    saddles = np.sqrt(np.maximum(twist * twist - along * down, 0.0))
    lively = cv2.boxFilter(saddles, -1, (wide, high), borderType=cv2.BORDER_CONSTANT)
    pieces = []
    for _ in range(_MOST_PIECES):
        row, column = divmod(int(lively.argmax()), width)
        top = min(max(row - high // 2, 0), height - high)
        left = min(max(column - wide // 2, 0), width - wide)
        pieces.append(np.ascontiguousarray(grey[top : top + high, left : left + wide]))
        lively[top : top + high, left : left + wide] = 0.0
    return pieces


def _right_way_up(grey: Grey, board: Board, rough: FloatArray) -> FloatArray:
    """Corners row by row from the board's own lower left, whichever way it is held."""
    across, up = board.inner
    grid = rough.reshape(up, across, 2)
    along, rise = grid[:, -1].mean(0) - grid[:, 0].mean(0), grid[-1].mean(0) - grid[0].mean(0)
    if along[0] * rise[1] - along[1] * rise[0] > 0:
        # Seen from its front, right and up turn against the clock; pixels count downwards.
        grid = grid[::-1]
    middles = 0.25 * (grid[:-1, :-1] + grid[1:, :-1] + grid[:-1, 1:] + grid[1:, 1:])
    column, row = np.meshgrid(np.arange(1, across), np.arange(1, up))
    dark = (column + board.rows - 1 - row) % 2 == 0
    levels = _levels(grey, middles.reshape(-1, 2)).reshape(dark.shape)
    if levels[dark].mean() > levels[~dark].mean():
        grid = grid[::-1, ::-1]
    upright: FloatArray = grid.reshape(-1, 2)
    return upright


def _levels(grey: Grey, spots: FloatArray) -> FloatArray:
    """Grey values between pixels, (n, 2) to (n,)."""
    x, y = (spots[:, k].astype(np.float32).reshape(-1, 1) for k in (0, 1))
    found = cv2.remap(grey.astype(np.float32), x, y, cv2.INTER_LINEAR)
    return np.asarray(found, dtype=np.float64).ravel()


def _measured(grey: Grey, board: Board, ids: IntArray, rough: FloatArray) -> Sight:
    """Corners to a fraction of a pixel, if squares are large, sharp and bright enough."""
    order = np.argsort(ids)
    ids, rough = ids[order], rough[order]
    square_px = _shortest_side(board, ids, rough)
    if square_px < SMALLEST_SQUARE_PX:
        return Sight(refused=Refused.TOO_SMALL)
    window = _window(board, square_px)
    pixels = sub_pixel(grey, rough, window)
    off = np.linalg.norm(pixels - rough, axis=1)
    pixels = np.where((off < window)[:, None], pixels, rough)
    contrast, edge_px = _edges(grey, board, ids, pixels)
    if contrast < _LEAST_CONTRAST:
        return Sight(refused=Refused.FLAT_LIGHT)
    if edge_px > min(_WIDEST_EDGE_PX, _WIDEST_EDGE_SHARE * square_px):
        return Sight(refused=Refused.BLURRED)
    height, width = grey.shape
    corners = Corners(board=board, size_px=(width, height), ids=ids.astype(np.int64),
                      pixels=pixels, square_px=square_px, window_px=window)  # fmt: skip
    return Sight(corners=corners)


def _window(board: Board, square_px: float) -> int:
    """Half the side of a window that reaches no other corner, nor a marker's."""
    share = min(_WINDOW_SHARE, 0.7 * _free_share(board))
    return int(np.clip(np.rint(share * square_px), 2, _LARGEST_WINDOW))


def _free_share(board: Board) -> float:
    """How far from an edge nothing else is printed, in squares."""
    if board.kind is BoardKind.CHESS:
        return 0.4
    return 0.45 * (1.0 - board.marker_mm / board.square_mm)


def sub_pixel(grey: Grey, rough: FloatArray, window_px: int) -> FloatArray:
    """Corners where all gradients about them point past them, (n, 2)."""
    stop = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 60, 1e-4)
    start = np.ascontiguousarray(rough, dtype=np.float32).reshape(-1, 1, 2)
    found = cv2.cornerSubPix(grey, start, (window_px, window_px), (-1, -1), stop)
    return np.asarray(found, dtype=np.float64).reshape(-1, 2)


def _sides(board: Board, ids: IntArray, pixels: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Both ends of every square's side between two corners that were found, (m, 2) each."""
    across, up = board.inner
    flat = np.full((up * across, 2), np.nan)
    flat[ids] = pixels
    grid = flat.reshape(up, across, 2)
    starts = np.concatenate([grid[:, :-1].reshape(-1, 2), grid[:-1].reshape(-1, 2)])
    ends = np.concatenate([grid[:, 1:].reshape(-1, 2), grid[1:].reshape(-1, 2)])
    both = np.isfinite(starts).all(axis=1) & np.isfinite(ends).all(axis=1)
    return starts[both], ends[both]


def _shortest_side(board: Board, ids: IntArray, pixels: FloatArray) -> float:
    starts, ends = _sides(board, ids, pixels)
    if len(starts) < _SMALL_PX:
        return 0.0
    return float(np.percentile(np.linalg.norm(ends - starts, axis=1), 3))


def _edges(grey: Grey, board: Board, ids: IntArray, pixels: FloatArray) -> tuple[float, float]:
    """Levels between dark and light at the middles of sides, and the edges' sigma."""
    starts, ends = _sides(board, ids, pixels)
    along = ends - starts
    length = np.linalg.norm(along, axis=1, keepdims=True)
    aside = np.column_stack([-along[:, 1], along[:, 0]]) / length
    middle = 0.5 * (starts + ends)
    reach = np.minimum(_free_share(board) * length, 12.0)
    steps = np.linspace(-1.0, 1.0, 33)
    lines = middle[:, None] + steps[None, :, None] * (reach * aside)[:, None]
    levels = _levels(grey, lines.reshape(-1, 2)).reshape(len(middle), -1)
    levels = levels * np.sign(levels[:, -1:] - levels[:, :1])
    heights = levels[:, -4:].mean(axis=1) - levels[:, :4].mean(axis=1)
    steepest = np.abs(levels[:, 2:] - levels[:, :-2]).max(axis=1) / (reach[:, 0] * 4 / 32)
    contrast = float(np.median(heights))
    sigma = heights / (np.maximum(steepest, 1e-6) * np.sqrt(2 * np.pi))
    return contrast, float(np.median(sigma))
