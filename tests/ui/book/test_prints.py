"""The page as it is painted: paragraphs over the whole width, prints in rows, nothing cut off."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PyQt6.QtCore import QRect, QSize, Qt
from PyQt6.QtGui import QColor, QImage
from PyQt6.QtWidgets import QListView
from pytestqt.qtbot import QtBot

from capturestation.records import Swing
from capturestation.station.leaf import LeafLine, Print
from capturestation.station.notebook import LessonLine
from capturestation.ui.book.models import LeafModel
from capturestation.ui.book.panes import ListPane
from capturestation.ui.book.prints import LeafDelegate, fitted
from capturestation.ui.look import Look
from tests.helpers.library_records import DAY, a_lesson, a_student
from tests.helpers.made_swings import made_swing

RED = QColor(200, 30, 30)


def red(_swing: Swing) -> QImage:
    image = QImage(320, 180, QImage.Format.Format_RGB32)
    image.fill(RED)
    return image


def lines() -> tuple[LeafLine, ...]:
    made: list[LeafLine] = []
    for number in range(2):
        lesson = a_lesson(a_student(), DAY - timedelta(days=number))
        made.append(LessonLine(lesson=lesson, swings=3))
        made += [Print(swing=made_swing(f"{number}{n}"), lesson=lesson) for n in range(3)]
    return tuple(made)


@pytest.fixture
def page(qtbot: QtBot) -> ListPane[LeafLine]:
    model = LeafModel()
    made: ListPane[LeafLine] = ListPane(model, "page", LeafDelegate(Look(), red))
    made.setFlow(QListView.Flow.LeftToRight)
    made.setWrapping(True)
    made.setResizeMode(QListView.ResizeMode.Adjust)
    qtbot.addWidget(made)
    model.put(lines())
    made.resize(1000, 900)
    made.show()
    qtbot.waitExposed(made)
    return made


def spots(page: ListPane[LeafLine]) -> list[QRect]:
    model = page.model()
    assert model is not None
    return [page.visualRect(model.index(row, 0)) for row in range(model.rowCount())]


@pytest.mark.parametrize("width", [1000, 700])
def test_a_paragraph_takes_the_width_and_its_prints_stand_in_rows_below(
    page: ListPane[LeafLine], qtbot: QtBot, width: int
) -> None:
    page.resize(width, 900)
    viewport = page.viewport()
    assert viewport is not None
    qtbot.waitUntil(lambda: spots(page)[0].width() == viewport.width())

    first, *prints, second = spots(page)[:5]
    beside = 3 if width == 1000 else 2
    assert {spot.top() for spot in prints[:beside]} == {first.bottom() + 1}
    assert len({spot.left() for spot in prints[:beside]}) == beside
    assert second.left() == first.left()
    assert second.top() == prints[-1].bottom() + 1


def test_arrows_move_over_prints_and_paragraphs(page: ListPane[LeafLine], qtbot: QtBot) -> None:
    chosen: list[object] = []
    page.chosen.connect(chosen.append)
    model = page.model()
    assert model is not None
    page.setCurrentIndex(model.index(1, 0))

    for key in (Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Down, Qt.Key.Key_Down):
        qtbot.keyClick(page, key)

    rows = [lines_row(page, one) for one in chosen]
    assert rows[:3] == [1, 2, 3]
    assert rows[3] == 4
    assert rows[4] in (5, 6, 7)


def lines_row(page: ListPane[LeafLine], line: object) -> int:
    model = page.model()
    assert isinstance(model, LeafModel)
    return [id(one) for one in model.lines].index(id(line))


def test_a_print_shows_its_picture_whole_with_a_white_edge(page: ListPane[LeafLine]) -> None:
    spot = spots(page)[1]

    painted = page.grab().toImage().copy(spot)

    reds = [
        (x, y)
        for x in range(0, painted.width(), 2)
        for y in range(0, painted.height(), 2)
        if painted.pixelColor(x, y) == RED
    ]
    width = max(x for x, _ in reds) - min(x for x, _ in reds)
    height = max(y for _, y in reds) - min(y for _, y in reds)
    assert width / height == pytest.approx(16 / 9, rel=0.04)
    assert width > 200


@pytest.mark.parametrize(("wide", "high"), [(320, 180), (180, 320), (100, 100)])
def test_a_picture_of_any_shape_stays_in_its_room(wide: int, high: int) -> None:
    room = QRect(10, 20, 266, 152)

    spot = fitted(QSize(wide, high), room)

    assert room.contains(spot)
    assert (spot.width() - 10) / (spot.height() - 10) == pytest.approx(wide / high, rel=0.02)
    assert spot.width() == room.width() or spot.height() == room.height()


def test_without_a_picture_there_is_empty_paper(qtbot: QtBot) -> None:
    look, model = Look(), LeafModel()
    page: ListPane[LeafLine] = ListPane(model, "page", LeafDelegate(look, lambda _swing: None))
    qtbot.addWidget(page)
    model.put(lines()[1:2])
    page.resize(400, 400)
    page.show()

    painted = page.grab().toImage().copy(spots(page)[0])

    assert painted.pixelColor(60, 60) == look.colour("shade")


def test_letters_that_grow_take_the_prints_along(page: ListPane[LeafLine]) -> None:
    small = spots(page)[1].size()
    delegate = page.itemDelegate()
    assert isinstance(delegate, LeafDelegate)

    delegate.look.enlarge(2.0)
    page.scheduleDelayedItemsLayout()
    page.grab()

    large = spots(page)[1].size()
    assert large.width() > small.width()
    assert large.height() > small.height()
