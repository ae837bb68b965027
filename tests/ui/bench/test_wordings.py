"""Rows of words of which one is chosen."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.ui.bench.wordings import Words, with_key


@pytest.fixture
def pressed() -> list[int]:
    return []


@pytest.fixture
def words(qtbot: QtBot, pressed: list[int]) -> Words[int]:
    made = Words([(1, "one"), (2, "two"), (3, "three")], pressed.append, name="numbers")
    qtbot.addWidget(made)
    made.show()
    return made


def test_a_press_says_which(words: Words[int], qtbot: QtBot, pressed: list[int]) -> None:
    qtbot.mouseClick(words.button_of(2), Qt.MouseButton.LeftButton)
    qtbot.keyClick(words.button_of(3), Qt.Key.Key_Space)

    assert pressed == [2, 3]


def test_one_is_shown_as_chosen_and_others_are_not(words: Words[int]) -> None:
    words.show_chosen(2)

    assert [words.button_of(n).isChecked() for n in (1, 2, 3)] == [False, True, False]
    words.show_chosen(None)
    assert not any(words.button_of(n).isChecked() for n in (1, 2, 3))


def test_a_screen_reader_hears_the_row_and_the_word(words: Words[int]) -> None:
    assert words.button_of(1).accessibleName() == "numbers: one"
    with pytest.raises(KeyError):
        words.button_of(9)


def test_a_last_word_that_would_stand_alone_fills_its_row(words: Words[int]) -> None:
    words.resize(400, 200)

    assert words.button_of(3).width() > 1.8 * words.button_of(1).width()


def test_a_word_tells_the_key_that_does_the_same() -> None:
    assert with_key("Line", "sketch.line") == "Line  1"
    assert with_key("Line", "sketch.nothing") == "Line"
