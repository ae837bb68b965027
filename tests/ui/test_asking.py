"""A question on a page: answers by mouse and keyboard, the next question in the same place."""

from __future__ import annotations

from functools import partial

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from capturestation.ui.asking import AskPage, Choice
from capturestation.ui.look import Look
from tests.ui.conftest import shown


@pytest.fixture
def page(qtbot: QtBot, look: Look) -> AskPage:
    made = AskPage(look)
    qtbot.addWidget(made)
    made.resize(800, 600)
    shown(made, qtbot)
    return made


def test_the_first_answer_has_the_keyboard_and_each_does_its_own(
    page: AskPage, qtbot: QtBot
) -> None:
    done: list[str] = []
    choices = [Choice(words=w, chosen=partial(done.append, w)) for w in ("stop", "stay")]

    page.ask("Stop?", "Work is under way.", choices, "A note.")
    first, second = page.answers
    focused = first.hasFocus()
    qtbot.keyClick(first, Qt.Key.Key_Space)
    qtbot.mouseClick(second, Qt.MouseButton.LeftButton)

    assert focused
    assert done == ["stop", "stay"]
    assert page.accessibleName() == "Stop?"
    assert {"Stop?", "Work is under way.", "A note."} <= {
        label.text() for label in page.findChildren(QLabel)
    }


def test_another_question_takes_the_place_of_the_first(page: AskPage) -> None:
    page.ask("One", "", [Choice(words="a", chosen=lambda: None)])
    page.ask("Two", "", [Choice(words="b", chosen=lambda: None)])

    assert [made.text() for made in page.answers] == ["b"]
    assert page.title.text() == "Two"


def test_large_letters_stay_within_a_small_page(page: AskPage, look: Look) -> None:
    page.ask("A question", "words " * 60, [Choice(words="Yes", chosen=lambda: None)])

    look.enlarge(2.0)

    assert page.text.width() <= page.width()
