"""Which file shows which view: guessed, asked, turned round; the answer is handed over."""

from __future__ import annotations

from pathlib import Path

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtGui import QImage
from PyQt6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from capturestation.records import SwingKind, View
from capturestation.station.dropped import Ground, Guess
from capturestation.ui.book.files_page import FilesPage, Told
from capturestation.ui.look import Look

ONE, TWO, THREE = (Path(f"{name}.mp4") for name in "123")
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def page(qtbot: QtBot) -> FilesPage:
    made = FilesPage(Look())
    qtbot.addWidget(made)
    made.begin((ONE, TWO), "Anna", ["driver", "7 iron"], "7 iron")
    return made


def told_by(page: FilesPage, qtbot: QtBot) -> Told:
    with qtbot.waitSignal(page.told) as heard:
        qtbot.mouseClick(page.take_word, LEFT)
    told = heard.args[0]
    assert isinstance(told, Told)
    return told


def test_a_sure_guess_is_shown_and_can_be_taken_as_it_is(page: FilesPage, qtbot: QtBot) -> None:
    assert not page.take_word.isEnabled()
    by_view = {View.FACE_ON: TWO, View.DOWN_THE_LINE: ONE}

    page.put_guess((ONE, TWO), Guess(by_view=by_view, unsure=(), ground=Ground.NAMES))
    page.kind.setCurrentIndex(page.kind.findData(SwingKind.PITCH))

    assert page.words[TWO, View.FACE_ON].isChecked()
    assert told_by(page, qtbot) == Told(by_view=by_view, club="7 iron", kind=SwingKind.PITCH)


def test_a_guess_is_turned_round(page: FilesPage, qtbot: QtBot) -> None:
    by_view = {View.FACE_ON: TWO, View.DOWN_THE_LINE: ONE}
    page.put_guess((ONE, TWO), Guess(by_view=by_view, unsure=(), ground=Ground.PICTURES))

    qtbot.mouseClick(page.swap_word, LEFT)

    assert told_by(page, qtbot).by_view == {View.FACE_ON: ONE, View.DOWN_THE_LINE: TWO}


def test_without_a_guess_one_answer_says_both(page: FilesPage, qtbot: QtBot) -> None:
    page.put_guess((ONE, TWO), Guess(by_view={}, unsure=(ONE, TWO)))
    assert not page.take_word.isEnabled()
    assert page.swap_word.isHidden()

    qtbot.mouseClick(page.words[ONE, View.DOWN_THE_LINE], LEFT)

    assert page.words[TWO, View.FACE_ON].isChecked()
    assert told_by(page, qtbot).by_view == {View.DOWN_THE_LINE: ONE, View.FACE_ON: TWO}


def test_what_a_hand_said_is_not_overruled_by_a_guess(page: FilesPage) -> None:
    page.choose(ONE, View.FACE_ON)

    guess = Guess(by_view={View.FACE_ON: TWO, View.DOWN_THE_LINE: ONE}, unsure=())
    page.put_guess((ONE, TWO), guess)

    assert page.words[ONE, View.FACE_ON].isChecked()


def test_a_guess_about_other_files_comes_too_late(page: FilesPage) -> None:
    page.put_guess((THREE,), Guess(by_view={View.FACE_ON: THREE}, unsure=()))

    assert not page.is_clear


def test_of_three_files_the_last_is_said_by_the_other_two(qtbot: QtBot) -> None:
    page = FilesPage(Look())
    qtbot.addWidget(page)
    page.begin((ONE, TWO, THREE), "Anna", [])

    page.choose(ONE, View.EXTRA)
    was_clear = page.is_clear
    page.choose(TWO, View.FACE_ON)
    assert page.words[THREE, View.DOWN_THE_LINE].isChecked()
    page.choose(THREE, View.FACE_ON)

    assert page.words[TWO, View.DOWN_THE_LINE].isChecked()
    assert (was_clear, page.is_clear) == (False, True)
    assert page.swap_word.isHidden()


def test_the_club_told_last_stands_there_and_first(page: FilesPage) -> None:
    assert page.club.currentText() == "7 iron"
    assert [page.club.itemText(n) for n in range(page.club.count())] == ["7 iron", "driver"]


def test_before_a_club_was_told_none_stands_there_and_it_is_asked_for(
    page: FilesPage, qtbot: QtBot
) -> None:
    told: list[Told] = []
    said: list[str] = []
    page.says.connect(said.append)
    page.told.connect(told.append)
    page.begin((ONE, TWO), "Anna", ["driver", "7 iron"])
    page.show()
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)
    by_view = {View.FACE_ON: ONE, View.DOWN_THE_LINE: TWO}
    page.put_guess((ONE, TWO), Guess(by_view=by_view, unsure=(), ground=Ground.NAMES))
    assert (page.club.currentText(), page.club.hasFocus()) == ("", True)
    page.take_word.setFocus()
    qtbot.mouseClick(page.take_word, LEFT)

    assert told == []
    assert said == ["Say first which club it was: choose it, or write it."]
    assert page.club.hasFocus()
    qtbot.keyClicks(page.club, "5 wood")
    assert told_by(page, qtbot).club == "5 wood"


def test_no_word_moves_when_another_comes(page: FilesPage) -> None:
    page.resize(900, 600)
    page.show()
    page.grab()
    leave = next(w for w in page.findChildren(QPushButton) if w.text() == "Leave it")
    before = [w.geometry() for w in (leave, page.take_word, page.kind)]
    assert page.swap_word.isHidden()

    page.choose(ONE, View.FACE_ON)
    page.grab()

    assert page.swap_word.isVisible()
    assert [w.geometry() for w in (leave, page.take_word, page.kind)] == before


def test_the_combo_boxes_have_the_look_of_the_window(page: FilesPage) -> None:
    assert page.styleSheet() == ""


def test_a_picture_comes_to_its_file_and_to_no_other(page: FilesPage) -> None:
    image = QImage(16, 9, QImage.Format.Format_RGB32)

    page.put_picture(TWO, image)
    page.put_picture(THREE, image)

    assert [page.prints[path].has_picture for path in (ONE, TWO)] == [False, True]
    assert page.prints[TWO].accessibleName() == "First picture of 2.mp4"
