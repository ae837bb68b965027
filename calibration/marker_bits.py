"""The dark cells of a board's markers, for printing and for whoever draws a board.

Markers stand in the light squares, counted row by row from the upper left, and are those of an open
dictionary of 250 patterns of 5 x 5 cells inside a dark rim.
"""

from __future__ import annotations

import cv2
import numpy as np

from calibration.boards import Board, BoardKind

DICTIONARY = cv2.aruco.DICT_5X5_250
CELLS = 5


def marker_cells(board: Board) -> list[tuple[float, float, float]]:
    """Dark cells as left edge, upper edge and side, metres in the board's axes."""
    if board.kind is not BoardKind.CHARUCO:
        return []
    cell = 0.001 * board.marker_mm / (CELLS + 2)
    rim = 0.0005 * (board.square_mm - board.marker_mm)
    dictionary = cv2.aruco.getPredefinedDictionary(DICTIONARY)
    found: list[tuple[float, float, float]] = []
    for number, (column, row) in enumerate(_light_squares(board)):
        left = 0.001 * column * board.square_mm + rim
        top = 0.001 * (board.rows - row) * board.square_mm - rim
        dark = np.ones((CELLS + 2, CELLS + 2), dtype=bool)
        bits = dictionary.getBitsFromByteList(dictionary.bytesList[number : number + 1], CELLS)
        dark[1:-1, 1:-1] = np.asarray(bits) == 0
        found += [(left + c * cell, top - r * cell, cell) for r, c in np.argwhere(dark)]
    return found


def _light_squares(board: Board) -> list[tuple[int, int]]:
    """Columns and rows from the upper left, in the order of the markers' numbers."""
    return [
        (column, row)
        for row in range(board.rows)
        for column in range(board.columns)
        if (column + row) % 2
    ]
