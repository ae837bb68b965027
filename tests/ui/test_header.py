"""The header: places by words, the step that can be taken back, both ways."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from capturestation.station.undo import Step
from capturestation.ui.header import Header
from capturestation.ui.look import Look
from capturestation.ui.steps import Steps


@pytest.fixture
def header(qtbot: QtBot, look: Look) -> Header:
    made = Header(look)
    qtbot.addWidget(made)
    made.put_places(("book", "bench"))
    made.resize(1280, 80)
    made.show()
    return made


def word(header: Header, text: str) -> QPushButton:
    """The word that says this."""
    return next(made for made in header.findChildren(QPushButton) if made.text().startswith(text))


def step(words: str) -> Step:
    return Step(words=words, do=lambda: None, undo=lambda: None)


def test_a_pressed_word_leads_to_its_place(header: Header, qtbot: QtBot) -> None:
    with qtbot.waitSignal(header.chosen) as caught:
        qtbot.mouseClick(word(header, "Bench"), Qt.MouseButton.LeftButton)

    assert caught.args == ["bench"]


def test_the_place_one_is_in_is_marked_and_no_other(header: Header) -> None:
    header.mark("book")
    header.mark("bench")

    assert word(header, "Bench").isChecked()
    assert not word(header, "Book").isChecked()
    assert word(header, "Book").accessibleName() == "Book: students, lessons, swings"


def test_other_places_take_the_place_of_the_first(header: Header) -> None:
    header.put_places(("bench",))

    assert header.places == ("bench",)


def test_what_can_be_taken_back_is_said_and_pressed(header: Header, qtbot: QtBot) -> None:
    steps = Steps()
    steps.told.changed.connect(lambda: header.show_steps(steps))
    steps.run(step("star"))
    undo = word(header, "Take back: star")

    with qtbot.waitSignal(header.undoes):
        qtbot.mouseClick(undo, Qt.MouseButton.LeftButton)
    steps.undo()

    assert undo.isHidden()


def test_a_long_step_leaves_the_places_their_room_and_is_read_out_whole(header: Header) -> None:
    steps = Steps()
    long = "moved to another student with a long double name and a note " * 3
    steps.run(step(long))

    header.show_steps(steps)

    undo = word(header, "Take back")
    assert undo.text().endswith("…")
    assert undo.accessibleName() == f"Take back: {long}"
    assert undo.sizeHint().width() < header.width() / 2


def test_the_sheet_is_asked_for(header: Header, qtbot: QtBot) -> None:
    with qtbot.waitSignal(header.sheet_wanted):
        qtbot.mouseClick(word(header, "Keys and look"), Qt.MouseButton.LeftButton)


def test_the_place_one_is_in_pressed_again_stays_marked(header: Header, qtbot: QtBot) -> None:
    header.mark("book")

    qtbot.mouseClick(word(header, "Book"), Qt.MouseButton.LeftButton)

    assert word(header, "Book").isChecked()


def test_a_place_s_own_words_stand_there_while_it_is_seen(header: Header) -> None:
    one, other = QLabel("Draw"), QLabel("Find")
    header.put_tools(one)
    first = one.isVisible(), other.isVisible()
    header.put_tools(other)
    second = one.isVisible(), other.isVisible()
    header.cover(True)
    covered = other.isVisible()
    header.put_tools(None)

    assert (first, second, covered) == ((True, False), (False, True), False)
    assert not other.isVisible()


def test_where_room_is_short_places_are_written_smaller_and_the_key_takes_back(
    header: Header,
) -> None:
    steps = Steps()
    steps.run(step("star"))
    header.show_steps(steps)
    tools = QLabel("Draw " * 30)
    undo = word(header, "Take back: star")
    before = word(header, "Book").property("letters"), undo.isHidden()
    header.setMinimumWidth(1)  # As in the window, whose other rows decide.
    header.put_tools(tools)
    header.resize(tools.sizeHint().width() + 200, 80)

    assert before == ("title", False)
    assert word(header, "Book").property("letters") != "title"
    assert undo.isHidden()
