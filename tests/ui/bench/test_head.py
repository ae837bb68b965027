"""The lesson's focus stands large."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PyQt6.QtWidgets import QApplication, QLabel, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from capturestation.ui.bench.head import Head
from capturestation.ui.header import Header
from capturestation.ui.look import Look
from capturestation.ui.style import dress


@pytest.fixture
def head(qtbot: QtBot, look: Look) -> Iterator[Head]:
    host = QWidget()
    host.resize(1300, 200)
    made = Head(look, host)
    qtbot.addWidget(host)
    made.resize(900, made.height())
    host.show()
    yield made
    host.close()


def test_one_or_two_things_are_written_large(head: Head, look: Look) -> None:
    head.set_focus(("turn", "hold the finish"))

    assert head.focus.text() == "turn   ·   hold the finish"
    assert head.focus.font().pixelSize() == look.px("title")


def test_long_words_become_smaller_before_they_are_cut(head: Head, look: Look) -> None:
    head.set_focus(("pelvis square by lead arm level on the way down, and stay there",))
    smaller = head.focus.font().pixelSize()
    whole = head.focus.text()
    head.set_focus(("many words " * 30,))

    assert look.px("note") <= smaller < look.px("title")
    assert whole.endswith("there")
    assert head.focus.text().endswith("…")
    assert head.focus.toolTip().startswith("many words")


def test_it_grows_with_the_letters(head: Head, look: Look) -> None:
    head.set_focus(("turn",))
    look.enlarge(2.0)

    assert head.focus.font().pixelSize() == look.px("title") == 60


def test_words_of_panels_stand_by_themselves_and_open_them(
    head: Head, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("capturestation.ui.bench.head.say", lambda key: key)
    panel, silent = QLabel("panel"), QLabel("silent")
    head.add_panel("draw", panel)
    head.add_panel("notes", silent, by_key=True)
    qtbot.addWidget(head.words)
    qtbot.addWidget(head.drawer)
    (word,) = head.words.findChildren(QPushButton)
    word.click()
    opened = head.shown_panel, word.isChecked()
    head.show_panel("notes")

    assert opened == ("draw", True)
    assert (head.shown_panel, word.isChecked()) == ("notes", False)


def test_on_a_narrow_page_an_open_panel_leaves_more_than_half(head: Head, look: Look) -> None:
    look.enlarge(2.0)
    head.fit_drawer(1240)
    narrow = head.drawer.minimumWidth()
    head.fit_drawer(2500)

    assert narrow == 558
    assert head.drawer.minimumWidth() == 17 * look.px("body")


def test_once_there_is_room_again_the_words_have_the_letters_that_were_chosen(
    undressed: QApplication, head: Head, look: Look, qtbot: QtBot
) -> None:
    dress(undressed, look)
    head.add_panel("send", QLabel("panel"))
    header = Header(look)
    qtbot.addWidget(header)
    header.put_places(("book", "bench", "bay"))
    header.put_tools(head.words)
    header.resize(500, 80)
    header.show()
    word = head.words.findChild(QPushButton)
    assert word is not None

    look.enlarge(2.0)
    narrow_px = word.fontInfo().pixelSize()
    header.resize(2560, 80)

    assert narrow_px == look.px("note")
    assert word.fontInfo().pixelSize() == look.px("body")
