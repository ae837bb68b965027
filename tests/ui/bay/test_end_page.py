"""Keep these, drop the rest: how it is asked."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from capturestation.library import Library
from capturestation.station import marking
from capturestation.station.bay.ending import Ending
from capturestation.ui.bay.end_page import EndPage
from capturestation.ui.look import Look
from tests.helpers.station_library import Filled
from tests.ui.conftest import shown


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as library:
        yield library


@pytest.fixture
def page(look: Look, qtbot: QtBot) -> EndPage:
    made = EndPage(look)
    qtbot.addWidget(made)
    shown(made, qtbot)
    return made


def test_the_starred_are_kept_and_the_rest_is_dropped(
    page: EndPage, library: Library, filled: Filled
) -> None:
    dropped: list[tuple[str, ...]] = []
    page.dropped.connect(dropped.append)
    page.show_lesson("Zoë", Ending(library, filled.today.book.lesson_id))
    page.give_keyboard()
    words = [line.text()[:4] for line in page.lines.values()]

    page.drop.click()

    assert words == ["Keep", "Drop"]
    assert page.drop.text() == "Keep 1, drop 1"
    assert page.drop.hasFocus()
    assert dropped == [(filled.today.id,)]


def test_a_press_turns_a_ball_and_the_disk_says_both_ways(
    page: EndPage, library: Library, filled: Filled, qtbot: QtBot
) -> None:
    page.show_lesson("Zoë", Ending(library, filled.today.book.lesson_id))

    page.lines[filled.today.id].click()

    assert page.ending is not None
    assert (page.drop.text(), page.all.isVisible()) == ("Keep all 2", False)
    assert "Dropped: 0 MB" in page.disk.text()
    with qtbot.waitSignal(page.left):
        page.drop.click()


def test_where_nothing_is_starred_a_slip_of_the_hand_drops_nothing(
    page: EndPage, library: Library, filled: Filled, qtbot: QtBot
) -> None:
    marking.set_star(library, filled.best, starred=False)
    page.show_lesson("Zoë", Ending(library, filled.today.book.lesson_id))

    page.give_keyboard()

    assert page.drop.text() == "Drop all 2"
    assert (page.drop.property("role"), page.all.property("role")) == ("", "main")
    assert page.all.hasFocus()
    with qtbot.waitSignal(page.left):
        page.all.click()


def test_a_lesson_without_a_ball_asks_nothing(
    page: EndPage, library: Library, filled: Filled
) -> None:
    page.show_lesson("Zoë", Ending(library, filled.today.book.lesson_id, only=()))

    assert page.lines == {}
    assert page.text.text() == "No ball was kept in this lesson."
    assert not page.disk.isVisible()
