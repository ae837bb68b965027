"""Pages of words: one is chosen from many, a name is written before it counts, a ball is told."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.records import BallResult
from capturestation.station.notebook import Goal
from capturestation.ui.book.ball_page import BallPage
from capturestation.ui.book.forget_page import ForgetPage
from capturestation.ui.book.move_page import MovePage
from capturestation.ui.book.word_page import WordPage
from capturestation.ui.look import Look
from tests.helpers.library_records import DAY, a_student

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def words(qtbot: QtBot) -> WordPage:
    made = WordPage(Look())
    qtbot.addWidget(made)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    return made


def test_the_word_that_holds_has_the_keyboard_and_another_is_chosen(
    words: WordPage, qtbot: QtBot
) -> None:
    words.ask("club", "Which?", [("a", "A"), ("b", "B")], "b", is_open=True)
    words.give_keyboard()
    assert words.words["b"].hasFocus()
    words.next_word()
    assert words.words["a"].hasFocus()

    with qtbot.waitSignal(words.chosen) as heard:
        qtbot.keyClick(words.words["a"], Qt.Key.Key_Space)

    assert heard.args == ["a"]


def test_a_word_of_one_s_own_is_written(words: WordPage, qtbot: QtBot) -> None:
    words.ask("club", "Which?", [("a", "A")], "other", is_open=True)
    words.give_keyboard()
    assert words.words["a"].hasFocus()
    qtbot.keyClick(words.field, Qt.Key.Key_Return)

    qtbot.keyClicks(words.field, " 4 wood ")
    with qtbot.waitSignal(words.chosen) as heard:
        qtbot.keyClick(words.field, Qt.Key.Key_Return)

    assert heard.args == ["4 wood"]


def test_where_no_other_word_is_meant_there_is_no_field(words: WordPage) -> None:
    words.ask("club", "Which?", [("a", "A")], "a", is_open=True)

    words.ask("kind", "Which?", [("x", "X")], "x", is_open=False)

    assert not words.field.isVisible()
    assert list(words.words) == ["x"]


@pytest.mark.parametrize(
    ("written", "counts"),
    [("", False), ("Zoe", False), ("zoe angstrom", True), (" Zoë  Ångström ", True)],
)
def test_forgetting_counts_once_the_whole_name_is_written(
    qtbot: QtBot, written: str, counts: bool
) -> None:
    page = ForgetPage(Look())
    qtbot.addWidget(page)
    sure: list[None] = []
    page.sure.connect(lambda: sure.append(None))
    page.begin("Zoë Ångström")

    page.field.setText(written)
    qtbot.keyClick(page.field, Qt.Key.Key_Return)

    assert page.do_word.isEnabled() is counts
    assert bool(sure) is counts


def test_another_name_is_asked_for_afresh(qtbot: QtBot) -> None:
    page = ForgetPage(Look())
    qtbot.addWidget(page)
    page.begin("A")
    page.field.setText("A")

    page.begin("B")

    assert page.field.text() == ""
    assert not page.do_word.isEnabled()
    assert page.do_word.text() == "Forget B for good"


def test_where_a_swing_goes_is_found_and_chosen_by_keys(qtbot: QtBot) -> None:
    page = MovePage(Look())
    qtbot.addWidget(page)
    page.show()
    goals = tuple(Goal(student=a_student(name), last=DAY) for name in ("A", "B"))
    typed: list[str] = []
    page.typed.connect(typed.append)
    page.begin("7 iron, 9:00")
    page.put(goals)
    qtbot.keyClicks(page.field, "b")
    qtbot.keyClick(page.field, Qt.Key.Key_Down)
    qtbot.keyClick(page.list, Qt.Key.Key_Down)

    with qtbot.waitSignal(page.chosen) as heard:
        qtbot.mouseClick(page.take_word, LEFT)

    assert typed[-1] == "b"
    assert heard.args == [goals[1]]


def test_where_nobody_is_found_nothing_can_be_moved(qtbot: QtBot) -> None:
    page = MovePage(Look())
    qtbot.addWidget(page)

    page.put(())

    assert not page.take_word.isEnabled()


@pytest.mark.parametrize(("rating", "first"), [(None, "3"), (4, "4")])
def test_the_keyboard_begins_at_the_rating_that_is_written_down(
    qtbot: QtBot, rating: int | None, first: str
) -> None:
    page = BallPage(Look())
    qtbot.addWidget(page)
    page.show()
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)
    page.show_ball(BallResult(rating=rating))

    page.give_keyboard()

    assert page.words["rating", first].hasFocus()


def test_a_word_about_the_ball_is_put_and_taken_away(qtbot: QtBot) -> None:
    page = BallPage(Look())
    qtbot.addWidget(page)
    noted: list[BallResult] = []
    page.noted.connect(noted.append)
    page.show_ball(BallResult(start="left", rating=3))
    assert page.words["start", "left"].isChecked()
    assert page.words["rating", "3"].isChecked()

    for word in (("curve", "right"), ("start", "left"), ("rating", "3")):
        qtbot.mouseClick(page.words[word], LEFT)

    assert noted == [
        BallResult(start="left", curve="right", rating=3),
        BallResult(curve="right", rating=3),
        BallResult(curve="right"),
    ]
