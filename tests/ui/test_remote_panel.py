"""A remote's key is learnt by pressing it, and what is learnt is shown."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtGui import QShortcut
from PyQt6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from capturestation.ui.remote_panel import RemotePanel
from tests.ui.conftest import shown

KEY = Qt.Key


class Learner:
    """Keeps what is learnt, as the window does."""

    def __init__(self) -> None:
        self.keys: dict[str, tuple[str, ...]] = {}
        self.said: list[str] = []
        self.panel = RemotePanel(lambda: self.keys)
        self.panel.learnt.connect(self.learn)
        self.panel.says.connect(self.said.append)

    def learn(self, action: str, key: str) -> None:
        """Keep it."""
        self.keys[action] = (key,)

    def words(self) -> list[str]:
        """All that is written there."""
        return [label.text() for label in self.panel.findChildren(QLabel)]


@pytest.fixture
def learner(qtbot: QtBot) -> Learner:
    made = Learner()
    qtbot.addWidget(made.panel)
    shown(made.panel, qtbot)
    return made


def begin(learner: Learner, action: str, qtbot: QtBot) -> QPushButton:
    """Ask for an action's key."""
    learn = learner.panel.learn_button(action)
    qtbot.mouseClick(learn, Qt.MouseButton.LeftButton)
    return learn


def test_the_next_key_is_learnt_said_and_shown(learner: Learner, qtbot: QtBot) -> None:
    usual = learner.words()
    learn = begin(learner, "remote.next", qtbot)
    asked = learn.text()
    qtbot.keyClick(learner.panel, KEY.Key_Right)

    assert "PgDown" in usual
    assert asked == "Press it now …"
    assert learner.keys == {"remote.next": ("Right",)}
    assert learner.said == ["Learnt: → is “Next”."]
    assert "→" in learner.words()
    assert learn.text() == "Learn"
    assert learner.panel.waits_for == ""


def test_a_key_that_is_awaited_does_nothing_else(learner: Learner, qtbot: QtBot) -> None:
    done: list[int] = []
    shortcut = QShortcut("F5", learner.panel)
    shortcut.activated.connect(lambda: done.append(1))

    begin(learner, "remote.play", qtbot)
    qtbot.keyClick(learner.panel, KEY.Key_Shift)
    qtbot.keyClick(learner.panel, KEY.Key_F5)

    assert learner.keys == {"remote.play": ("F5",)}
    assert done == []


@pytest.mark.parametrize("key", [KEY.Key_Escape, KEY.Key_Tab])
def test_keys_to_get_away_with_are_not_learnt(learner: Learner, qtbot: QtBot, key: Qt.Key) -> None:
    begin(learner, "remote.view", qtbot)
    qtbot.keyClick(learner.panel, key)

    assert learner.keys == {}
    assert learner.said == ["Nothing was learnt; the key is as it was."]
    assert learner.panel.waits_for == ""


def test_pressed_again_the_word_gives_up(learner: Learner, qtbot: QtBot) -> None:
    begin(learner, "remote.view", qtbot)
    learn = begin(learner, "remote.view", qtbot)

    assert learner.keys == {}
    assert learn.text() == "Learn"


def test_a_hidden_panel_awaits_nothing(learner: Learner, qtbot: QtBot) -> None:
    begin(learner, "remote.view", qtbot)

    learner.panel.hide()

    assert learner.panel.waits_for == ""


def test_what_was_learnt_can_be_forgotten(learner: Learner, qtbot: QtBot) -> None:
    forget = learner.panel.findChildren(QPushButton)[-1]
    hidden_before = forget.isHidden()
    learner.keys["remote.next"] = ("Right",)
    learner.panel.show_keys()

    with qtbot.waitSignal(learner.panel.forgets):
        qtbot.mouseClick(forget, Qt.MouseButton.LeftButton)

    assert hidden_before
    assert forget.text() == "Forget what was learnt"
