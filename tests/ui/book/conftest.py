"""A Book over a real library with two swings of one student, and what its pages are made with."""

from __future__ import annotations

from pathlib import Path

import pytest
from PyQt6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from capturestation.errors import StationError
from capturestation.library import Library
from capturestation.records import Swing, SwingId
from capturestation.station.cache import cache_of
from capturestation.station.leaf import Print
from capturestation.station.undo import UndoList
from capturestation.ui.book.place import BookPlace
from capturestation.ui.look import Look
from capturestation.ui.work import Workers
from tests.helpers.bay_files import Pair, bay_pair
from tests.helpers.station_library import Filled


class Opened:
    """A Book, and what it said to the window, seen when all that was done is written.

    Args:
        place: The Book.
        filled: What its library was filled with.
        qtbot: Waits.
    """

    def __init__(self, place: BookPlace, filled: Filled, qtbot: QtBot) -> None:
        self.at_once = place
        self.filled = filled
        self._qtbot = qtbot
        self._troubles: list[StationError] = []
        self._said: list[str] = []
        self.opened: list[SwingId] = []
        place.trouble.connect(self._troubles.append)
        place.says.connect(self._said.append)
        place.opens.connect(self.opened.append)

    def settle(self) -> None:
        """Wait until all is written."""
        self._qtbot.waitUntil(lambda: not self.at_once.is_writing)

    @property
    def place(self) -> BookPlace:
        """The Book, when all is written; `at_once` doesn't wait."""
        self.settle()
        return self.at_once

    @property
    def troubles(self) -> list[StationError]:
        """Errors that were told."""
        self.settle()
        return self._troubles

    @property
    def said(self) -> list[str]:
        """Sentences that were said."""
        self.settle()
        return self._said

    def do(self, action: str) -> None:
        """What a key or a word does."""
        self.at_once.commands()[f"book.{action}"]()

    def undo(self) -> None:
        """Take the last step back, as the window does."""
        self.place.steps.undo()
        self.place.refresh()

    @property
    def library(self) -> Library:
        """Its library."""
        return self.place.library

    @property
    def chosen(self) -> Swing:
        """The chosen swing as the library holds it."""
        assert self.place.chosen is not None
        return self.library.swing(self.place.chosen.id)

    @property
    def prints(self) -> list[SwingId]:
        """The swings on the page, in their order."""
        lines = self.place.page.model.lines
        return [line.swing.id for line in lines if isinstance(line, Print)]

    @property
    def over(self) -> QWidget | None:
        """The page that lies over the Book."""
        return self.place.pages.currentWidget() if self.place.is_over else None


@pytest.fixture
def book(qtbot: QtBot, filled: Filled, tmp_path: Path) -> Opened:
    """A Book, shown."""
    library = Library.open(filled.folder)
    workers = Workers()
    place = BookPlace(
        library, workers, Look(), UndoList(), cache=cache_of(library, tmp_path / "cache")
    )
    qtbot.addWidget(place, before_close_func=lambda _place: _end(place, workers, library))
    opened = Opened(place, filled, qtbot)
    place.resize(1280, 720)
    place.show()
    qtbot.waitExposed(place)
    place.activateWindow()
    qtbot.waitUntil(place.isActiveWindow)
    return opened


def _end(place: BookPlace, workers: Workers, library: Library) -> None:
    place.let_go()
    workers.close()
    library.close()


@pytest.fixture(scope="session")
def third_swing(tmp_path_factory: pytest.TempPathFactory) -> Pair:
    """Files of a swing that isn't in the book yet; their names don't say which view is which."""
    return bay_pair(tmp_path_factory.mktemp("third swing"), "third", seed=7)
