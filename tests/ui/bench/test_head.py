"""The lesson's focus stands large."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PyQt6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from capturestation.ui.bench.head import Head
from capturestation.ui.look import Look


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
