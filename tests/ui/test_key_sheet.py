"""The sheet shows every key that does something now, in as many columns as there is room for."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QLabel, QWidget
from pytestqt.qtbot import QtBot

from capturestation.ui.key_sheet import KeySheet
from capturestation.ui.keys import heard_in, with_learnt
from capturestation.ui.look import Look
from capturestation.ui.look_panel import LookPanel
from capturestation.ui.remote_panel import RemotePanel
from capturestation.ui.texts import say
from capturestation.ui.tv import Tv


@pytest.fixture
def sheet(qtbot: QtBot, look: Look) -> KeySheet:
    owner = QWidget()
    qtbot.addWidget(owner)
    made = KeySheet(look, LookPanel(look, Tv(owner)), RemotePanel(dict))
    qtbot.addWidget(made)
    made.resize(1280, 640)
    made.show()
    made.show_lines(heard_in("bench"))
    return made


def words(sheet: KeySheet) -> list[str]:
    """All that is written there."""
    return [label.text() for label in sheet.findChildren(QLabel)]


def lefts(sheet: KeySheet) -> set[int]:
    """Where its columns begin."""
    heads = {say(f"shell.sheet.group.{group}") for group in ("shell", "bench", "sketch")}
    heads |= {say("shell.sheet.look"), say("shell.sheet.remote")}
    found = [label for label in sheet.findChildren(QLabel) if label.text() in heads]
    return {label.mapTo(sheet, label.rect().topLeft()).x() for label in found}


def test_every_line_is_there_with_its_keys(sheet: KeySheet) -> None:
    written = words(sheet)

    for line in heard_in("bench"):
        assert say(line.text) in written
    assert sheet.words_of("bench.next_frame") == "→"
    assert sheet.words_of("shell.redo") == "Ctrl+Shift+Z or Ctrl+Y"


def test_other_lines_take_the_place_of_the_first(sheet: KeySheet) -> None:
    sheet.show_lines(heard_in("book"))

    assert say("shell.key.find") in words(sheet)
    assert say("shell.key.zoom_in") not in words(sheet)


def test_an_action_whose_key_a_remote_took_is_not_shown_with_none(sheet: KeySheet) -> None:
    sheet.show_lines(with_learnt(heard_in("bench"), {"remote.next": ("Right",)}))

    assert sheet.words_of("bench.next_frame") == ""
    assert say("shell.key.next_frame") not in words(sheet)


def test_a_wide_page_has_three_columns_and_large_letters_one(
    sheet: KeySheet, look: Look, qtbot: QtBot
) -> None:
    two = lefts(sheet)
    sheet.resize(2560, 1300)
    qtbot.waitUntil(lambda: len(lefts(sheet)) == 3)
    sheet.resize(1280, 640)
    look.enlarge(2.0)
    qtbot.waitUntil(lambda: len(lefts(sheet)) == 1)

    assert len(two) == 2


def test_back_puts_it_away(sheet: KeySheet, qtbot: QtBot) -> None:
    with qtbot.waitSignal(sheet.left):
        qtbot.mouseClick(sheet.back, Qt.MouseButton.LeftButton)
