"""A look, workers, and the window with two tiny places in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PyQt6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from capturestation.library import Library
from capturestation.station.desk import Desk
from capturestation.ui.look import Look
from capturestation.ui.window import Window
from capturestation.ui.work import Workers
from tests.helpers.two_places import TinyBench, TinyBook

MakeWindow = Callable[..., Window]


@pytest.fixture(autouse=True)
def _application(qapp: QApplication) -> None:
    """Letters and colours need it too."""


@pytest.fixture
def undressed(qapp: QApplication) -> Iterator[QApplication]:
    """The application, whose look is as before afterwards."""
    style = qapp.style()
    before = (style.objectName() if style else "", qapp.palette(), qapp.font(), qapp.styleSheet())
    yield qapp
    name, palette, font, sheet = before
    qapp.setStyleSheet(sheet)
    qapp.setStyle(name)
    qapp.setPalette(palette)
    qapp.setFont(font)


@pytest.fixture
def look(qtbot: QtBot) -> Look:
    return Look()


@pytest.fixture
def workers(qtbot: QtBot) -> Iterator[Workers]:
    made = Workers()
    yield made
    made.close()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An empty library."""
    made = tmp_path / "library"
    Library.open(made).close()
    return made


@pytest.fixture
def bare_window(qtbot: QtBot, look: Look, tmp_path: Path) -> Iterator[MakeWindow]:
    """Makes windows that are shown and have no library yet."""
    made: list[Window] = []

    def make(desk: Desk | None = None) -> Window:
        window = Window(
            desk or Desk(), tmp_path / "state" / "window.json", look, (TinyBook, TinyBench)
        )
        made.append(window)
        shown(window, qtbot)
        return window

    yield make
    for window in made:
        window.workers.stop_all()
        _wait_for_end(window, qtbot)
        window.close()
        window.deleteLater()


@pytest.fixture
def make_window(bare_window: MakeWindow, folder: Path, qtbot: QtBot) -> MakeWindow:
    """Makes windows with the empty library open."""

    def make(desk: Desk | None = None) -> Window:
        window = bare_window(desk)
        window.open(folder)
        qtbot.waitUntil(lambda: bool(window.places) and not window.workers.jobs)
        return window

    return make


@pytest.fixture
def window(make_window: MakeWindow) -> Window:
    return make_window()


def _wait_for_end(window: Window, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not window.workers.jobs)


def shown(widget: QWidget, qtbot: QtBot) -> None:
    """Show a widget and give it the keyboard."""
    widget.show()
    qtbot.waitExposed(widget)
    widget.activateWindow()
    qtbot.waitUntil(widget.isActiveWindow)


def book_of(window: Window) -> TinyBook:
    """Its Book."""
    place = window.places["book"]
    assert isinstance(place, TinyBook)
    return place


def bench_of(window: Window) -> TinyBench:
    """Its Bench."""
    place = window.places["bench"]
    assert isinstance(place, TinyBench)
    return place
