"""The page on which views get their right names says what was pressed, and of which picture."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.records import View
from capturestation.ui.book.views_page import ViewsPage
from capturestation.ui.look import Look

BOTH = (View.FACE_ON, View.DOWN_THE_LINE)


@pytest.fixture
def page(qtbot: QtBot) -> ViewsPage:
    made = ViewsPage(Look())
    qtbot.addWidget(made)
    made.begin("7 iron, 09:12", BOTH)
    made.show()
    return made


@pytest.mark.parametrize(("word", "turn_deg"), [("left", 270), ("right", 90), ("over", 180)])
def test_a_turn_says_whose_picture_and_how_far(
    page: ViewsPage, qtbot: QtBot, word: str, turn_deg: int
) -> None:
    pressed = page.views[View.DOWN_THE_LINE].words[word]

    with qtbot.waitSignal(page.turns) as heard:
        qtbot.mouseClick(pressed, Qt.MouseButton.LeftButton)

    assert heard.args == [View.DOWN_THE_LINE, turn_deg]
    assert pressed.accessibleName() == f"down-the-line: {pressed.text()}"


@pytest.mark.parametrize(
    ("views", "words"),
    [
        (BOTH, "Exchange the two views"),
        ((View.FACE_ON,), "Call it down-the-line"),
        ((View.DOWN_THE_LINE, View.EXTRA), "Call it face-on"),
        ((View.EXTRA,), ""),
    ],
)
def test_what_was_filmed_says_what_exchanging_means(
    page: ViewsPage, views: tuple[View, ...], words: str
) -> None:
    page.begin("wedge, 09:20", views)

    assert (page.exchange.text() if page.exchange.isVisible() else "") == words
    assert tuple(page.views) == views


def test_while_it_is_put_right_only_the_way_back_is_open(page: ViewsPage) -> None:
    page.put_odd(("He lies.",))
    page.wait(is_on=True)
    words = [page.exchange, *page.views[View.FACE_ON].words.values()]
    waiting = [word.isEnabled() for word in words], page.back.isEnabled(), page.odd.text()

    page.begin("wedge, 09:20", BOTH)

    assert waiting == ([False] * 4, True, "He lies.")
    assert page.exchange.isEnabled()
    assert page.odd.isHidden()
