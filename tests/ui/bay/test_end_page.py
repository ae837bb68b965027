"""Keep these, drop the rest: how it is asked."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Future
from pathlib import Path

import pytest
from PyQt6.QtGui import QColor, QImage
from pytestqt.qtbot import QtBot

from capturestation.library import Library
from capturestation.records import SwingId, View
from capturestation.station import marking
from capturestation.station.bay.ending import Ending
from capturestation.ui.bay.end_page import EndPage
from capturestation.ui.book.pictures import Pictures
from capturestation.ui.look import Look
from tests.helpers.station_library import Filled
from tests.ui.conftest import shown


class _Maker:
    """Makes a picture when a test says so."""

    def __init__(self) -> None:
        self.asked: dict[SwingId, Future[Path]] = {}

    def ask(self, swing_id: SwingId, view: View) -> Future[Path]:
        del view
        return self.asked.setdefault(swing_id, Future())


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as library:
        yield library


@pytest.fixture
def page(look: Look, qtbot: QtBot) -> EndPage:
    made = EndPage(look, Pictures(_Maker()))
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
    words = [line.text().split()[0] for line in page.lines.values()]

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


def test_each_ball_has_its_picture_when_that_comes(
    look: Look, library: Library, filled: Filled, qtbot: QtBot, tmp_path: Path
) -> None:
    picture = tmp_path / "impact.png"
    image = QImage(320, 180, QImage.Format.Format_RGB888)
    image.fill(QColor(200, 40, 40))
    image.save(str(picture))
    maker = _Maker()
    page = EndPage(look, Pictures(maker))
    qtbot.addWidget(page)
    page.show_lesson("Zoë", Ending(library, filled.today.book.lesson_id))
    before = _middle(page, filled.today.id)

    maker.asked[filled.today.id].set_result(picture)
    qtbot.waitUntil(lambda: _middle(page, filled.today.id) != before)

    assert _middle(page, filled.today.id).red() > 180


def _middle(page: EndPage, swing: SwingId) -> QColor:
    made = page.lines[swing]
    image = made.icon().pixmap(made.iconSize()).toImage()
    return image.pixelColor(image.width() // 2, image.height() // 2)
