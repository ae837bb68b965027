"""A board's corners stand where they are printed, and an impossible board is refused."""

from __future__ import annotations

import pytest

from calibration.boards import BAY_BOARD, LENS_BOARD, Board, BoardKind
from calibration.errors import CalibrationError


def chess(columns: int, rows: int, square_mm: float = 50.0) -> Board:
    """A plain board."""
    return Board(kind=BoardKind.CHESS, columns=columns, rows=rows, square_mm=square_mm)


def test_inner_corners_go_row_by_row_from_the_lower_left() -> None:
    corners = chess(5, 4).corners_m

    assert corners.shape == (12, 3)
    assert corners[0] == pytest.approx([0.05, 0.05, 0])
    assert corners[1] == pytest.approx([0.10, 0.05, 0])
    assert corners[-1] == pytest.approx([0.20, 0.15, 0])


def test_the_edge_that_stands_on_the_mat_lies_below_the_pattern() -> None:
    foot = chess(5, 4).foot_m

    assert foot[:, 1] == pytest.approx([-0.01, -0.01])
    assert foot[1, 0] - foot[0, 0] == pytest.approx(0.25)


def test_the_bays_board_is_half_a_metre_and_more_and_has_one_way_up() -> None:
    assert BAY_BOARD.size_mm[0] >= 500
    assert sum(BAY_BOARD.inner) % 2 == 1
    assert LENS_BOARD.kind is BoardKind.CHARUCO


@pytest.mark.parametrize(
    ("columns", "rows", "square_mm", "words"),
    [
        (6, 4, 50.0, "upside down"),
        (2, 5, 50.0, "none to calibrate with"),
        (6, 5, 0.0, "none to calibrate with"),
        (6, 5, float("nan"), "not a number"),
    ],
)
def test_an_impossible_board_is_refused(
    columns: int, rows: int, square_mm: float, words: str
) -> None:
    with pytest.raises(CalibrationError, match=words):
        chess(columns, rows, square_mm)


@pytest.mark.parametrize(
    ("kind", "marker_mm", "columns", "words"),
    [
        (BoardKind.CHARUCO, 0.0, 8, "needs their side"),
        (BoardKind.CHESS, 20.0, 8, "needs their side"),
        (BoardKind.CHARUCO, 40.0, 8, "doesn't fit"),
        (BoardKind.CHARUCO, 20.0, 120, "different markers"),
    ],
)
def test_markers_fit_their_squares(
    kind: BoardKind, marker_mm: float, columns: int, words: str
) -> None:
    with pytest.raises(CalibrationError, match=words):
        Board(kind=kind, columns=columns, rows=5, square_mm=32.0, marker_mm=marker_mm)
