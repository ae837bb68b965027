"""Boards come out of the printer at their true size: read back from the PDF by another reader."""

from __future__ import annotations

import numpy as np
import pytest
from PyQt6.QtWidgets import QApplication

from capturestation.drawing.board_pages import BoardPage, PageWord, board_pdf
from capturestation.records import FrameArray
from tests.helpers.pdf_pages import DOTS_PER_MM, sides_of

WIDE = BoardPage(
    size_mm=(297.0, 210.0),
    dark=np.array([[20.0, 30.0, 60.0, 40.0], [200.0, 100.0, 32.0, 32.0]]),
    lines=((10.0, 200.0, 110.0, 200.0),),
    cuts=((5.0, 5.0, 5.0, 205.0),),
    words=(PageWord(text="100 mm", at_mm=(120.0, 195.0)),),
)
UPRIGHT = BoardPage(size_mm=(215.9, 279.4), dark=np.array([[10.0, 200.0, 100.0, 50.0]]))


@pytest.fixture(autouse=True)
def _application(qapp: QApplication) -> None:
    """Letters need it."""


def read_back(pdf: bytes) -> list[FrameArray]:
    """Each page on white paper."""
    return [side.rgb for side in sides_of(pdf)]


def test_dark_squares_stand_where_they_are_asked_for_to_a_quarter_of_a_millimetre() -> None:
    [page] = read_back(board_pdf([WIDE], "A board"))

    assert page.shape[:2] == (210 * DOTS_PER_MM, 297 * DOTS_PER_MM)
    dark = page.mean(axis=2) < 128
    for left, top, width, height in WIDE.dark:
        inside = dark[
            int((top + 1) * DOTS_PER_MM) : int((top + height - 1) * DOTS_PER_MM),
            int((left + 1) * DOTS_PER_MM) : int((left + width - 1) * DOTS_PER_MM),
        ]
        assert inside.all()
    rows, columns = np.nonzero(dark[: int(90 * DOTS_PER_MM), int(15 * DOTS_PER_MM) :])
    left, top, width, height = WIDE.dark[0] * DOTS_PER_MM
    assert (columns.min() + 15 * DOTS_PER_MM, rows.min()) == pytest.approx((left, top), abs=1)
    assert np.ptp(columns) + 1 == pytest.approx(width, abs=1)
    assert np.ptp(rows) + 1 == pytest.approx(height, abs=1)


def test_lines_and_words_are_there_and_every_page_has_its_own_paper() -> None:
    first, second = read_back(board_pdf([WIDE, UPRIGHT], "Two"))

    ruler = first[200 * DOTS_PER_MM - 2 : 200 * DOTS_PER_MM + 3, :, 0].min(axis=0) < 200
    columns = np.nonzero(ruler[8 * DOTS_PER_MM : 115 * DOTS_PER_MM])[0]
    assert np.ptp(columns) / DOTS_PER_MM == pytest.approx(100, abs=0.5)
    words = first[195 * DOTS_PER_MM : 200 * DOTS_PER_MM, 120 * DOTS_PER_MM : 140 * DOTS_PER_MM]
    assert words.min() < 100
    assert second.shape[:2] == (round(279.4 * DOTS_PER_MM), round(215.9 * DOTS_PER_MM))
    assert (second[205 * DOTS_PER_MM : 245 * DOTS_PER_MM, 15 * DOTS_PER_MM] < 50).all()
