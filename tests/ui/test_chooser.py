"""A box of words has an arrow at its right end, in both themes."""

from __future__ import annotations

import numpy as np
import pytest
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from capturestation.ui.chooser import Chooser
from capturestation.ui.look import Look, Theme
from capturestation.ui.style import style_sheet
from tests.helpers.pixels import pixels


@pytest.mark.parametrize("theme", list(Theme))
def test_an_arrow_of_our_own_stands_in_its_column(qtbot: QtBot, theme: Theme) -> None:
    look = Look()
    look.choose(theme)
    made = Chooser(look)
    qtbot.addWidget(made)
    made.setStyleSheet(style_sheet(look))
    made.addItem("")
    made.resize(240, look.px("target"))

    shown = pixels(made.grab().toImage()).astype(int)

    ink = look.colour("ink")
    off = np.abs(shown - (ink.red(), ink.green(), ink.blue())).sum(axis=2)
    inside = off[6:-6, 6:-6]
    columns = np.flatnonzero((inside < 60).any(axis=0)) + 6
    target = look.px("target")
    assert columns.min() > 240 - target
    assert abs(columns.mean() - (240 - target / 2)) < 3
    assert QApplication.instance() is not None
