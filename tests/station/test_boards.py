"""The printed boards are the ones that are looked for, at their true size."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PyQt6.QtWidgets import QApplication

from calibration.boards import LENS_BOARD
from calibration.corners import find_corners
from capturestation.errors import OutputError
from capturestation.station.boards import Paper, write_boards
from tests.drawing.test_board_pages import read_back
from tests.helpers.pdf_pages import DOTS_PER_MM


@pytest.fixture(autouse=True)
def _application(qapp: QApplication) -> None:
    """Letters need it."""


@pytest.mark.parametrize("paper", [Paper.A4, Paper.LETTER])
def test_the_board_for_the_lens_is_found_on_its_page_with_squares_of_its_size(
    paper: Paper, tmp_path: Path
) -> None:
    written = write_boards(tmp_path / "board.pdf", paper, ["lens"])

    [page] = read_back(written.file.read_bytes())
    grey = np.ascontiguousarray(page.mean(axis=2).astype(np.uint8))
    sight = find_corners(grey, LENS_BOARD)
    assert sight.corners is not None
    assert len(sight.corners.ids) == len(LENS_BOARD.corners_m)
    across = sight.corners.pixels[1] - sight.corners.pixels[0]
    assert np.linalg.norm(across) / DOTS_PER_MM == pytest.approx(LENS_BOARD.square_mm, abs=0.1)


def test_the_board_for_the_bay_is_cut_into_sheets(tmp_path: Path) -> None:
    small = write_boards(tmp_path / "a4.pdf", Paper.A4, ["bay"])
    large = write_boards(tmp_path / "a3.pdf", Paper.A3, ["bay"])

    assert small.pages > large.pages > 1
    assert len(read_back(large.file.read_bytes())) == large.pages


def test_pages_that_can_t_be_written_are_told(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="can't be written"):
        write_boards(tmp_path / "no such folder" / "a.pdf", Paper.A4)
