"""The page of words at a clip's end."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.drawing import theme
from capturestation.drawing.layout import LayoutName, layout_of
from capturestation.drawing.note_page import MOST_SIGNS, note_page
from capturestation.records import FrameArray

pytestmark = pytest.mark.usefixtures("qapp")
LAYOUTS = (LayoutName.ALL_FOUR, LayoutName.BOTH_ANGLES_UPRIGHT)


def page(note: str, name: LayoutName = LayoutName.ALL_FOUR) -> FrameArray:
    return note_page(layout_of(name, short_side_px=360), "To work on", note, "30 Oct 2026")


def ink(pixels: FrameArray) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    return np.asarray(np.abs(pixels.astype(int) - theme.PAPER).max(axis=2) > 40)


@pytest.mark.parametrize("name", LAYOUTS)
@pytest.mark.parametrize("note", ["Hold.", "word " * (MOST_SIGNS // 5), "m" * 20 + " wide words"])
def test_all_words_stand_inside_the_margins(name: LayoutName, note: str) -> None:
    rows, columns = np.nonzero(ink(page(note, name)))

    layout = layout_of(name, short_side_px=360)
    assert columns.min() >= 36
    assert columns.max() < layout.width_px - 36
    assert rows.min() >= 36
    assert rows.max() < layout.height_px - 36


def test_few_words_are_written_larger_than_many() -> None:
    def highest(pixels: FrameArray) -> int:
        body = ink(pixels)[100:260].any(axis=1)
        changes = np.flatnonzero(np.diff(np.concatenate([[0], body.astype(int), [0]])))
        return int((changes[1::2] - changes[::2]).max())

    assert highest(page("Hold.")) > 1.2 * highest(page("hold it " * 35))


def test_paragraphs_stand_apart() -> None:
    together = ink(page("One. Two."))[90:].sum(axis=1)
    apart = ink(page("One.\nTwo."))[90:].sum(axis=1)

    def lines(rows: np.ndarray[tuple[int, ...], np.dtype[np.int64]]) -> int:
        return int((np.diff((rows > 0).astype(int)) == 1).sum())

    assert lines(apart) == lines(together) + 1


def test_the_page_is_as_large_as_the_clip() -> None:
    assert page("Hold.").shape == (360, 640, 3)
