"""Keys reach the shell and the place that is seen; what is being typed stays with the text."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PyQt6.QtCore import QEvent, Qt
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QLineEdit, QListWidget, QPushButton, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from capturestation.ui.binding import Keyboard, key_words, keys_as_printed
from tests.ui.conftest import shown

KEY = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier
NONE = Qt.KeyboardModifier.NoModifier


class Page(QWidget):
    """A window with each kind of thing that can have the keyboard."""

    def __init__(self) -> None:
        super().__init__()
        self.done: list[str] = []
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.field, self.list, self.button = QLineEdit(), QListWidget(), QPushButton("press")
        self.list.addItems(["one", "two", "three"])
        self.list.setCurrentRow(0)
        self.button.clicked.connect(lambda: self.done.append("pressed"))
        layout = QVBoxLayout(self)
        for widget in (self.field, self.list, self.button):
            layout.addWidget(widget)
        self.keys = Keyboard(self, {"shell.undo": lambda: self.done.append("undo")})

    def hear(self, place: str, *actions: str) -> None:
        """Listen to actions of a place, each of which is noted."""
        noted = {action: self.noting(action) for action in actions}
        self.keys.listen_to(place, noted)

    def noting(self, action: str) -> Callable[[], None]:
        return lambda: self.done.append(action)


@pytest.fixture
def page(qtbot: QtBot) -> Page:
    made = Page()
    qtbot.addWidget(made)
    shown(made, qtbot)
    made.setFocus()
    return made


def test_a_key_of_the_place_that_is_seen_is_heard_and_no_other_s(page: Page, qtbot: QtBot) -> None:
    page.hear("bench", "bench.next_frame")
    qtbot.keyClick(page, KEY.Key_Right)
    page.hear("book", "book.star")
    qtbot.keyClick(page, KEY.Key_Right)
    qtbot.keyClick(page, KEY.Key_S)
    qtbot.keyClick(page, KEY.Key_Z, CTRL)

    assert page.done == ["bench.next_frame", "book.star", "undo"]


def test_each_of_an_action_s_keys_does_it(page: Page, qtbot: QtBot) -> None:
    page.hear("bench", "bench.play")
    qtbot.keyClick(page, KEY.Key_Space)
    qtbot.keyClick(page, KEY.Key_K)

    assert page.done == ["bench.play", "bench.play"]


def test_what_is_typed_goes_into_the_text(page: Page, qtbot: QtBot) -> None:
    page.hear("bench", "bench.play", "bench.next_frame", "bench.previous_moment", "remote.view")
    page.field.setFocus()

    qtbot.keyClicks(page.field, "ken b.")
    qtbot.keyClick(page.field, KEY.Key_Left)
    qtbot.keyClick(page.field, KEY.Key_Up)

    assert page.field.text() == "ken b."
    assert page.done == []


def test_a_remote_is_heard_while_something_is_typed(page: Page, qtbot: QtBot) -> None:
    page.hear("book", "remote.next", "remote.play")
    page.field.setFocus()

    qtbot.keyClick(page.field, KEY.Key_PageDown)
    qtbot.keyClick(page.field, KEY.Key_F5)

    assert page.done == ["remote.next", "remote.play"]


def test_the_space_bar_presses_the_word_that_has_the_keyboard(page: Page, qtbot: QtBot) -> None:
    page.hear("bench", "bench.play")
    page.button.setFocus()

    qtbot.keyClick(page.button, KEY.Key_Space)

    assert page.done == ["pressed"]


def test_arrows_move_in_a_list_and_letters_still_act(page: Page, qtbot: QtBot) -> None:
    page.hear("bench", "bench.next_moment", "bench.star")
    page.list.setFocus()

    qtbot.keyClick(page.list, KEY.Key_Down)
    qtbot.keyClick(page.list, KEY.Key_S)

    assert page.list.currentRow() == 1
    assert page.done == ["bench.star"]


def test_an_arrow_from_a_remote_is_the_remote_s_even_in_a_list(page: Page, qtbot: QtBot) -> None:
    page.hear("bench", "remote.next", "bench.next_moment")
    page.keys.learn({"remote.next": ("Down",)})
    page.list.setFocus()
    page.activateWindow()
    qtbot.waitUntil(lambda: page.isActiveWindow() and page.list.hasFocus())

    qtbot.keyClick(page.list, KEY.Key_Down)

    assert page.done == ["remote.next"]
    assert page.list.currentRow() == 0


def test_learning_moves_a_key_and_forgetting_brings_it_back(page: Page, qtbot: QtBot) -> None:
    page.hear("bench", "remote.next", "bench.next_frame")
    page.keys.learn({"remote.next": ("Right",)})
    qtbot.keyClick(page, KEY.Key_Right)
    page.keys.learn({})
    qtbot.keyClick(page, KEY.Key_Right)
    qtbot.keyClick(page, KEY.Key_PageDown)

    assert page.done == ["remote.next", "bench.next_frame", "remote.next"]


def test_a_hushed_place_hears_nothing_but_the_shell_does(page: Page, qtbot: QtBot) -> None:
    page.hear("bench", "bench.play")
    page.keys.hush(True)
    qtbot.keyClick(page, KEY.Key_K)
    qtbot.keyClick(page, KEY.Key_Z, CTRL)
    page.keys.hush(False)
    qtbot.keyClick(page, KEY.Key_K)

    assert page.done == ["undo", "bench.play"]


def test_only_what_somebody_answers_to_is_listed(page: Page, qtbot: QtBot) -> None:
    page.hear("bench", "bench.play")

    assert [line.action for line in page.keys.lines] == ["shell.undo", "bench.play"]


def test_what_had_the_keyboard_may_vanish(page: Page, qtbot: QtBot) -> None:
    page.field.setFocus()
    with qtbot.waitSignal(page.field.destroyed):
        page.field.deleteLater()

    page.hear("bench", "bench.play")
    page.setFocus()
    qtbot.keyClick(page, KEY.Key_K)

    assert page.done == ["bench.play"]


@pytest.mark.parametrize(
    ("key", "held", "words"),
    [
        (KEY.Key_PageDown, NONE, "PgDown"),
        (KEY.Key_Right, Qt.KeyboardModifier.KeypadModifier, "Right"),
        (KEY.Key_F5, Qt.KeyboardModifier.ShiftModifier, "Shift+F5"),
        (KEY.Key_VolumeUp, NONE, "Volume Up"),
        (KEY.Key_Shift, Qt.KeyboardModifier.ShiftModifier, ""),
        (KEY.Key_unknown, NONE, ""),
    ],
)
def test_a_pressed_key_is_named_as_in_the_table(
    key: Qt.Key, held: Qt.KeyboardModifier, words: str
) -> None:
    assert key_words(QKeyEvent(QEvent.Type.KeyPress, key, held)) == words


def test_keys_are_shown_as_they_are_printed() -> None:
    assert keys_as_printed(("Right", "Shift+Left", "Ctrl+Z")) == ("→", "Shift+←", "Ctrl+Z")
