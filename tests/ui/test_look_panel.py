"""Letters, paper and second screen by words: pressed they change, changed they show it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QLabel, QWidget
from pytestqt.qtbot import QtBot

from capturestation.ui.look import Look, Theme
from capturestation.ui.look_panel import LookPanel
from capturestation.ui.tv import Tv


@pytest.fixture
def tv(qtbot: QtBot) -> Iterator[Tv]:
    owner = QWidget()
    qtbot.addWidget(owner)
    owner.show()
    made = Tv(owner)
    yield made
    made.close()


@pytest.fixture
def panel(qtbot: QtBot, look: Look, tv: Tv) -> LookPanel:
    made = LookPanel(look, tv)
    qtbot.addWidget(made)
    made.show()
    return made


def test_the_words_change_letters_paper_and_screen(
    panel: LookPanel, look: Look, tv: Tv, qtbot: QtBot
) -> None:
    for pressed in (panel.larger, panel.themes[Theme.DARK], panel.tv_button):
        qtbot.mouseClick(pressed, Qt.MouseButton.LeftButton)
    larger = look.scale
    qtbot.mouseClick(panel.smaller, Qt.MouseButton.LeftButton)

    assert larger == 1.15
    assert look.scale == 1.0
    assert look.theme is Theme.DARK
    assert tv.is_on


def test_the_words_show_what_was_changed_elsewhere(panel: LookPanel, look: Look, tv: Tv) -> None:
    can_shrink_at_first = panel.smaller.isEnabled()

    look.enlarge(2.0)
    look.choose(Theme.DARK)
    tv.show()

    assert not can_shrink_at_first
    assert panel.smaller.isEnabled()
    assert not panel.larger.isEnabled()
    assert "200 %" in [label.text() for label in panel.findChildren(QLabel)]
    assert panel.themes[Theme.DARK].isChecked()
    assert not panel.themes[Theme.LIGHT].isChecked()
    assert panel.tv_button.text() == "Close it"


def test_the_chosen_paper_pressed_again_stays_chosen(panel: LookPanel, qtbot: QtBot) -> None:
    qtbot.mouseClick(panel.themes[Theme.LIGHT], Qt.MouseButton.LeftButton)

    assert panel.themes[Theme.LIGHT].isChecked()
