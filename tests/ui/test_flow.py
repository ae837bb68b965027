"""Words flow like text: whole, from left to right, then on the next line."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import QSize
from PyQt6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from capturestation.ui.flow import Flow, flowing

GAP = 10


class Word(QWidget):
    """A widget of one size."""

    def __init__(self, width: int, height: int) -> None:
        super().__init__()
        self._size = QSize(width, height)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        return self._size


@pytest.fixture
def words(qtbot: QtBot) -> list[Word]:
    return [Word(100, 40), Word(60, 20), Word(100, 40)]


def laid(words: list[Word], width: int, qtbot: QtBot) -> QWidget:
    row = flowing(GAP, *words)
    qtbot.addWidget(row)
    row.resize(width, 200)
    row.show()
    return row


def test_where_there_is_room_all_stand_on_one_line(words: list[Word], qtbot: QtBot) -> None:
    row = laid(words, 300, qtbot)

    assert [(w.x(), w.y()) for w in words] == [(0, 0), (110, 10), (180, 0)]
    assert row.sizeHint() == QSize(280, 40)
    assert row.heightForWidth(280) == 40


def test_where_it_ends_the_next_word_begins_a_line(words: list[Word], qtbot: QtBot) -> None:
    row = laid(words, 170, qtbot)

    assert [(w.x(), w.y()) for w in words] == [(0, 0), (110, 10), (0, 50)]
    assert row.heightForWidth(170) == 90


def test_a_word_wider_than_all_is_cut_to_the_room(words: list[Word], qtbot: QtBot) -> None:
    wide, above = Word(300, 20), QWidget()
    qtbot.addWidget(above)
    row = flowing(GAP, wide, *words)
    row.setParent(above)
    row.resize(120, 200)
    above.show()

    assert (wide.x(), wide.width()) == (0, 120)
    assert [w.x() for w in words] == [0, 0, 0]
    assert row.heightForWidth(120) == 20 + 40 + 20 + 40 + 3 * GAP


def test_hidden_words_take_no_room(words: list[Word], qtbot: QtBot) -> None:
    row = laid(words, 300, qtbot)
    words[0].hide()
    words[1].hide()
    layout = row.layout()
    assert isinstance(layout, Flow)
    layout.activate()

    assert layout.sizeHint() == QSize(100, 40)
    words[2].hide()
    assert layout.heightForWidth(300) == 0


def test_a_word_that_is_taken_out_is_laid_no_more(words: list[Word], qtbot: QtBot) -> None:
    row = laid(words, 300, qtbot)
    layout = row.layout()
    assert isinstance(layout, Flow)

    layout.takeAt(0)

    assert layout.count() == 2
    assert layout.itemAt(7) is None
    assert layout.takeAt(7) is None
