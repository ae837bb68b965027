"""The boards: what is printed, and where its corners are on it.

A board's axes: origin at the lower left corner of the pattern as its reader sees it, x to the
right, y up, z towards the reader. Inner corners are counted row by row from the lower left.
Metres inside; millimetres where a person reads or prints.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from calibration.errors import CalibrationError
from calibration.projection import FloatArray

LEAST_SQUARES = 3
LARGEST_MM = 2000.0
DICTIONARY_MARKERS = 250


class BoardKind(StrEnum):
    """What is printed: plain squares, or squares with numbered markers in the light ones."""

    CHESS = "chess"
    CHARUCO = "charuco"


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """A flat board of squares.

    Args:
        kind: Plain, or with markers.
        columns: Squares across.
        rows: Squares up. One of both is odd and the other even, so that it has no second way up.
        square_mm: Side of a square, as measured on the print.
        marker_mm: Side of a marker; 0 for a plain board.
        foot_mm: From the pattern's lower edge to the edge that stands on the mat.

    Raises:
        CalibrationError: If it can't be told which way up it is, or a size is impossible.
    """

    kind: BoardKind
    columns: int
    rows: int
    square_mm: float
    marker_mm: float = 0.0
    foot_mm: float = 10.0

    def __post_init__(self) -> None:
        sizes = (self.square_mm, self.marker_mm, self.foot_mm)
        if not all(math.isfinite(size) for size in sizes):
            raise CalibrationError(
                "The board's sizes hold something that is not a number.",
                try_next="Measure a square of the print and enter its side in millimetres.",
            )
        if min(self.columns, self.rows) < LEAST_SQUARES or not 0 < self.square_mm <= LARGEST_MM:
            raise CalibrationError(
                f"A board of {self.columns} x {self.rows} squares of {self.square_mm:g} mm "
                f"is none to calibrate with.",
                try_next=f"Use at least {LEAST_SQUARES} squares each way, and a side above 0 mm.",
            )
        if (self.columns + self.rows) % 2 == 0:
            raise CalibrationError(
                f"A board of {self.columns} x {self.rows} squares looks the same upside down.",
                try_next="Use one more square across, so that one number is odd and one even.",
            )
        self._check_markers()

    def _check_markers(self) -> None:
        if self.foot_mm < 0 or not 0 <= self.marker_mm < self.square_mm:
            raise CalibrationError(
                f"A marker of {self.marker_mm:g} mm doesn't fit a square of {self.square_mm:g} mm, "
                f"or the foot ({self.foot_mm:g} mm) is below nought.",
                try_next="Markers are smaller than squares: about 0.75 of a square's side.",
            )
        if (self.kind is BoardKind.CHARUCO) != (self.marker_mm > 0):
            raise CalibrationError(
                "A board with markers needs their side, and a plain one has none.",
                try_next="Give the marker's side in millimetres, or choose the plain board.",
            )
        if self.kind is BoardKind.CHARUCO and self.columns * self.rows // 2 > DICTIONARY_MARKERS:
            raise CalibrationError(
                f"{self.columns} x {self.rows} squares need more than {DICTIONARY_MARKERS} "
                f"different markers.",
                try_next="Use fewer and larger squares.",
            )

    @property
    def inner(self) -> tuple[int, int]:
        """Inner corners across and up."""
        return self.columns - 1, self.rows - 1

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the pattern."""
        return self.columns * self.square_mm, self.rows * self.square_mm

    @property
    def corners_m(self) -> FloatArray:
        """Inner corners in the board's axes, shape (n, 3), row by row from the lower left."""
        across, up = self.inner
        x, y = np.meshgrid(np.arange(1, across + 1), np.arange(1, up + 1))
        corners: FloatArray = np.zeros((x.size, 3))
        corners[:, 0], corners[:, 1] = x.ravel(), y.ravel()
        return corners * (0.001 * self.square_mm)

    @property
    def outline_m(self) -> FloatArray:
        """The pattern's outer corners, anticlockwise from the lower left, shape (4, 3)."""
        w, h = (0.001 * side for side in self.size_mm)
        return np.array([[0.0, 0, 0], [w, 0, 0], [w, h, 0], [0, h, 0]])

    @property
    def foot_m(self) -> FloatArray:
        """Both ends of the edge that stands on the mat, left then right, shape (2, 3)."""
        down = -0.001 * self.foot_mm
        return np.array([[0.0, down, 0.0], [0.001 * self.size_mm[0], down, 0.0]])


LENS_BOARD = Board(kind=BoardKind.CHARUCO, columns=8, rows=5, square_mm=32.0, marker_mm=24.0)
"""For the lens, held close: fits one A4 or Letter sheet laid sideways, with its ruler."""

BAY_BOARD = Board(kind=BoardKind.CHESS, columns=10, rows=7, square_mm=60.0, foot_mm=40.0)
"""For the bay: 0.6 x 0.42 m and a light rim, on tiled sheets; found at 5 m in 720 lines."""
