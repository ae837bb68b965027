"""What is printed and glued together is the board, at true size, with a ruler to check it."""

from __future__ import annotations

import numpy as np
import pytest

from calibration.boards import BAY_BOARD, LENS_BOARD, Board, BoardKind
from calibration.corners import IntArray
from calibration.errors import CalibrationError
from calibration.marker_bits import marker_cells
from calibration.projection import FloatArray
from calibration.sheets import MARGIN_MM, Paper, Sheet, sheets
from tests.helpers.filmed_boards import DARK, board_value


def rounded(shift: FloatArray, x: float, y: float) -> IntArray:
    """A point of a sheet in whole millimetres of the board."""
    return np.asarray(np.round(shift + np.array([x, y])), dtype=np.int64)


def glued(parts: tuple[Sheet, ...], board: Board) -> FloatArray:
    """The dark share of each millimetre of the board, sheets laid over one another in order."""
    tiled = len(parts) > 1
    rim = max(MARGIN_MM, 0.3 * board.square_mm) if tiled else 0.0
    columns, rows = (max(getattr(one, side) for one in parts) + 1 for side in ("column", "row"))
    wide = (board.size_mm[0] + 2 * rim) / columns
    high = (board.size_mm[1] + rim + board.foot_mm) / rows
    ink = np.zeros((int(board.size_mm[1]), int(board.size_mm[0])))
    for one in parts:
        left = MARGIN_MM if tiled else 0.5 * (one.size_mm[0] - board.size_mm[0])
        shift = np.array([one.column * wide - rim - left, one.row * high - rim - MARGIN_MM])
        x0, y0 = rounded(shift, left, MARGIN_MM).clip(0)
        ink[y0:, x0:] = 0.0
        for x, y, w, h in one.dark:
            a, b = (
                rounded(shift, x, y),
                rounded(shift, x + w, y + h),
            )
            ink[max(a[1], y0) : b[1], max(a[0], x0) : b[0]] = 1.0
    return ink


@pytest.mark.parametrize("paper", Paper)
def test_the_bays_board_is_whole_when_its_sheets_are_glued(paper: Paper) -> None:
    ink = glued(sheets(BAY_BOARD, paper), BAY_BOARD)

    high, wide = ink.shape
    x, y = np.meshgrid(np.arange(wide) + 0.5, high - np.arange(high) - 0.5)
    fine = np.full(x.shape, 1e-6)
    dark = board_value(BAY_BOARD, 0.001 * x, 0.001 * y, (fine, fine)) == DARK
    # Half a millimetre of rounding along the squares' edges.
    assert (ink.astype(bool) != dark).mean() < 0.02


@pytest.mark.parametrize("paper", Paper)
def test_everything_stays_on_the_paper_that_a_printer_reaches(paper: Paper) -> None:
    for one in sheets(BAY_BOARD, paper):
        ends = one.dark[:, :2] + one.dark[:, 2:]
        assert (one.dark[:, :2] >= MARGIN_MM - 1e-9).all()
        assert (ends[:, 0] <= one.size_mm[0] - MARGIN_MM + 1e-9).all()
        assert (ends[:, 1] <= min(t.end_mm[1] for t in one.ruler.ticks)).all()


def test_the_lens_board_fits_one_sheet_of_any_paper_with_all_its_markers() -> None:
    for paper in Paper:
        (only,) = sheets(LENS_BOARD, paper)
        assert len(only.dark) == 20 + len(marker_cells(LENS_BOARD))
        assert len(only.cut) == 1
        assert only.lay == ()


def test_tiles_say_where_to_cut_and_where_the_next_one_lies() -> None:
    parts = {(one.row, one.column): one for one in sheets(BAY_BOARD, Paper.A3)}

    assert len(parts) == 4
    assert [len(parts[place].cut) for place in ((0, 0), (0, 1), (1, 0), (1, 1))] == [0, 1, 2, 3]
    assert [len(parts[place].lay) for place in ((0, 0), (0, 1), (1, 0), (1, 1))] == [2, 1, 1, 0]
    assert [one.number for one in parts.values()] == [1, 2, 3, 4]


def test_the_ruler_is_as_long_as_it_says() -> None:
    ruler = sheets(LENS_BOARD, Paper.A4)[0].ruler

    assert ruler.line.end_mm[0] - ruler.line.start_mm[0] == ruler.length_mm
    assert len(ruler.ticks) == 11


def test_more_sheets_than_anyone_glues_are_refused() -> None:
    wall = Board(kind=BoardKind.CHESS, columns=10, rows=7, square_mm=200.0)

    with pytest.raises(CalibrationError, match=r"needs .* sheets of A4"):
        sheets(wall, Paper.A4)
