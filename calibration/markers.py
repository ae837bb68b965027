"""Finds a board by its numbered markers, so that a part of it is enough."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from calibration.boards import Board
from calibration.marker_bits import DICTIONARY
from calibration.projection import FloatArray

LEAST_CORNERS = 8


def find_marked(
    grey: NDArray[np.uint8], board: Board
) -> tuple[NDArray[np.int64], FloatArray] | None:
    """Numbers and rough places of the inner corners seen, or None for fewer than eight."""
    found: tuple[object, ...] = _detector(board).detectBoard(grey)
    parts = [np.asarray(part) for part in found[:2] if part is not None]
    if len(parts) < 2 or len(parts[1]) < LEAST_CORNERS:
        return None
    across, up = board.inner
    theirs = parts[1].astype(np.int64).ravel()
    # Theirs are counted from the upper left.
    ours = (up - 1 - theirs // across) * across + theirs % across
    if len(set((ours // across).tolist())) < 2 or len(set((ours % across).tolist())) < 2:
        return None
    return ours, parts[0].astype(np.float64).reshape(-1, 2)


@cache
def _detector(board: Board) -> cv2.aruco.CharucoDetector:
    dictionary = cv2.aruco.getPredefinedDictionary(DICTIONARY)
    drawn = cv2.aruco.CharucoBoard(
        (board.columns, board.rows), 0.001 * board.square_mm, 0.001 * board.marker_mm, dictionary
    )
    return cv2.aruco.CharucoDetector(drawn)
