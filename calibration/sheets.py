"""A board as sheets to print at true size: squares, markers, a ruler to check it, where to cut.

Millimetres from a sheet's upper left corner, y downwards, as a painter wants them. A board that
doesn't fit one sheet is cut into tiles: the sheet to the right and the one below are trimmed along
their lines and laid over the strip that the sheet before them leaves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from calibration.boards import Board
from calibration.errors import CalibrationError
from calibration.marker_bits import marker_cells
from calibration.projection import FloatArray

MARGIN_MM = 8.0
"""What ordinary printers leave white."""
RULER_BAND_MM, GLUE_MM = 14.0, 12.0
RULER_MM = 100.0
MOST_SHEETS, RIM_SQUARES = 24, 0.3


class Paper(StrEnum):
    """Paper, laid on its long side."""

    A4 = "A4"
    A3 = "A3"
    LETTER = "Letter"

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height, laid on its long side."""
        return {"A4": (297.0, 210.0), "A3": (420.0, 297.0), "Letter": (279.4, 215.9)}[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A thin line from one point to another."""

    start_mm: tuple[float, float]
    end_mm: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruler:
    """A ruler along a sheet's lower edge: its line, and a tick every 10 mm."""

    line: Line
    ticks: tuple[Line, ...]
    length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """One sheet.

    Args:
        number: 1 is the board's upper left, then to the right, then down.
        of: How many there are.
        row: From the top, 0 first.
        column: From the left, 0 first.
        size_mm: Of the paper.
        dark: Left, top, width and height of each dark rectangle, shape (n, 4).
        ruler: To check the print with.
        cut: Where to cut it.
        lay: Where the next sheet's cut edge comes to lie.
    """

    number: int
    of: int
    row: int
    column: int
    size_mm: tuple[float, float]
    dark: FloatArray
    ruler: Ruler
    cut: tuple[Line, ...]
    lay: tuple[Line, ...]


def sheets(board: Board, paper: Paper) -> tuple[Sheet, ...]:
    """Cut a board into sheets.

    Args:
        board: The board.
        paper: What it is printed on.

    Raises:
        CalibrationError: If it needs more sheets than anyone wants to glue.
    """
    rim = 0.0 if _fits(board, paper) else max(MARGIN_MM, RIM_SQUARES * board.square_mm)
    wide, high = board.size_mm
    room = _printable_mm(paper)
    across = _tiles(wide + 2 * rim, room[0])
    down = _tiles(high + rim + board.foot_mm, room[1])
    count = len(across) * len(down)
    if count > MOST_SHEETS:
        raise CalibrationError(
            f"A board of {wide:.0f} x {high:.0f} mm needs {count} sheets of {paper}.",
            try_next="Use larger paper or smaller squares, or let a copy shop print it whole.",
        )
    # A single sheet's pattern stands in its middle.
    left = MARGIN_MM if count > 1 else 0.5 * (paper.size_mm[0] - wide)
    dark = _dark_mm(board) + np.array([rim, rim, 0.0, 0.0])
    return tuple(
        Sheet(
            number=row * len(across) + column + 1,
            of=count,
            row=row,
            column=column,
            size_mm=paper.size_mm,
            dark=_on_sheet(dark, (across[column], down[row]), left),
            ruler=_ruler(paper),
            cut=_edges((column > 0, row > 0, False, row == len(down) - 1),
                       (across[column], down[row]), left),
            lay=_edges((False, False, column < len(across) - 1, row < len(down) - 1),
                       (across[column], down[row]), left),
        )
        for row in range(len(down))
        for column in range(len(across))
    )  # fmt: skip


def _printable_mm(paper: Paper) -> tuple[float, float]:
    wide, high = paper.size_mm
    return wide - 2 * MARGIN_MM, high - 2 * MARGIN_MM - RULER_BAND_MM


def _fits(board: Board, paper: Paper) -> bool:
    room = _printable_mm(paper)
    return board.size_mm[0] <= room[0] and board.size_mm[1] + board.foot_mm <= room[1]


Span = tuple[float, float]


def _tiles(side_mm: float, room_mm: float) -> list[Span]:
    """Start and length of each tile along one side; all but the last leave a strip for glue."""
    if side_mm <= room_mm:
        return [(0.0, side_mm)]
    count = math.ceil(side_mm / (room_mm - GLUE_MM))
    each = side_mm / count
    return [(number * each, each) for number in range(count)]


def _dark_mm(board: Board) -> FloatArray:
    """Every dark rectangle of the board from its upper left corner, y downwards."""
    side = board.square_mm
    squares = [
        (column * side, row * side, side, side)
        for row in range(board.rows)
        for column in range(board.columns)
        if (column + row) % 2 == 0
    ]
    cells = [
        (1000 * left, board.size_mm[1] - 1000 * top, 1000 * cell, 1000 * cell)
        for left, top, cell in marker_cells(board)
    ]
    return np.array(squares + cells)


def _on_sheet(dark: FloatArray, tile: tuple[Span, Span], left_mm: float) -> FloatArray:
    """What of the board falls on one tile and the strip beyond it, on its sheet."""
    (left, wide), (top, high) = tile
    x0, y0 = np.maximum(dark[:, 0], left), np.maximum(dark[:, 1], top)
    x1 = np.minimum(dark[:, 0] + dark[:, 2], left + wide + GLUE_MM)
    y1 = np.minimum(dark[:, 1] + dark[:, 3], top + high + GLUE_MM)
    kept = (x1 - x0 > 1e-9) & (y1 - y0 > 1e-9)
    parts = np.column_stack([x0 - left + left_mm, y0 - top + MARGIN_MM, x1 - x0, y1 - y0])
    on_sheet: FloatArray = parts[kept]
    return on_sheet


def _edges(
    which: tuple[bool, bool, bool, bool], tile: tuple[Span, Span], left_mm: float
) -> tuple[Line, ...]:
    """Left, upper, right and lower edge of a tile on its sheet, as far as they are wanted."""
    (_, wide), (_, high) = tile
    x0, y0, x1, y1 = left_mm, MARGIN_MM, left_mm + wide, MARGIN_MM + high
    ends = (
        ((x0, y0), (x0, y1)), ((x0, y0), (x1, y0)), ((x1, y0), (x1, y1)), ((x0, y1), (x1, y1))
    )  # fmt: skip
    return tuple(
        Line(start_mm=start, end_mm=end)
        for wanted, (start, end) in zip(which, ends, strict=True)
        if wanted
    )


def _ruler(paper: Paper) -> Ruler:
    low = paper.size_mm[1] - MARGIN_MM - 4.0
    left = MARGIN_MM
    line = Line(start_mm=(left, low), end_mm=(left + RULER_MM, low))
    ticks = tuple(
        Line(start_mm=(left + at, low), end_mm=(left + at, low - (6.0 if at % 50 == 0 else 3.0)))
        for at in range(0, int(RULER_MM) + 1, 10)
    )
    return Ruler(line=line, ticks=ticks, length_mm=RULER_MM)
