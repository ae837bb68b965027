"""What is private lies closed while a student may stand beside."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.ui.book.private import Private
from capturestation.ui.look import Look


@pytest.fixture
def notes(qtbot: QtBot) -> Private:
    made = Private(Look(), "book.lesson.notes", 3)
    qtbot.addWidget(made)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    return made


def test_what_is_written_is_read_only_when_it_is_asked_for(notes: Private, qtbot: QtBot) -> None:
    notes.begin("pushes it when tired")
    assert not notes.paper.isVisible()
    assert "tired" not in notes.open_word.accessibleName()

    qtbot.mouseClick(notes.open_word, Qt.MouseButton.LeftButton)

    assert notes.paper.hasFocus()
    assert not notes.open_word.isVisible()
    assert notes.paper.toPlainText() == "pushes it when tired"


def test_where_nothing_is_written_one_writes_at_once(notes: Private) -> None:
    notes.begin(" \n")

    assert notes.is_open
    assert not notes.open_word.isVisible()


def test_closed_words_are_kept_and_close_again_for_the_next(notes: Private) -> None:
    notes.begin("a")
    notes.open()
    notes.begin("b")

    assert (notes.is_open, notes.text) == (False, "b")
