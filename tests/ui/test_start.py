"""Before a library is open: a welcome, or what is wrong and ways on that work."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PyQt6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from capturestation.errors import LibraryError
from capturestation.library import Library
from capturestation.records import Watch
from capturestation.station import opening
from capturestation.ui.look import Look
from capturestation.ui.start import StartPage
from capturestation.ui.work import Workers
from tests.helpers.station_library import Filled


class Started:
    """A start page and what came of it."""

    def __init__(self, workers: Workers, look: Look) -> None:
        self.opened: list[Library] = []
        self.said: list[str] = []
        self.chosen: list[Path] = []
        self.start = StartPage(workers, look)
        self.start.opened.connect(self.opened.append)
        self.start.says.connect(self.said.append)
        self.start.chose.connect(self.chosen.append)

    @property
    def title(self) -> str:
        """The heading."""
        return self.start.page.title.text()

    def words(self) -> list[str]:
        """What can be pressed."""
        return [made.text() for made in self.start.page.answers]

    def press(self, text: str) -> None:
        """Press one of them."""
        next(made for made in self.start.page.answers if made.text().startswith(text)).click()


@pytest.fixture
def started(workers: Workers, look: Look, qtbot: QtBot) -> Iterator[Started]:
    made = Started(workers, look)
    qtbot.addWidget(made.start)
    made.start.show()
    yield made
    qtbot.waitUntil(lambda: not workers.jobs)
    for library in made.opened:
        library.close()


def test_a_library_that_is_there_opens_by_itself(
    started: Started, folder: Path, qtbot: QtBot
) -> None:
    started.start.open(folder)
    at_first = started.title
    qtbot.waitUntil(lambda: bool(started.opened))

    assert at_first == "Opening the library …"
    assert started.opened[0].folder == folder


def test_without_one_it_welcomes_and_begins_one_only_when_asked(
    started: Started, tmp_path: Path, qtbot: QtBot
) -> None:
    wanted = tmp_path / "lessons"
    started.start.open(wanted)
    qtbot.waitUntil(lambda: bool(started.words()))
    welcomed, words, begun_unasked = started.title, started.words(), wanted.exists()

    started.press("Begin")
    qtbot.waitUntil(lambda: bool(started.opened))

    assert welcomed == "Good day."
    assert len(words) == 3
    assert not begun_unasked
    assert (wanted / "library.json").is_file()


def test_a_damaged_one_says_so_and_is_made_again_from_its_folders(
    started: Started, filled: Filled, qtbot: QtBot
) -> None:
    (filled.folder / "library.sqlite").write_bytes(b"no database at all" * 100)
    started.start.open(filled.folder)
    qtbot.waitUntil(lambda: bool(started.words()))
    told = started.start.page.text.text()

    started.press("Make the rows again")
    qtbot.waitUntil(lambda: bool(started.opened))

    assert "is damaged" in told
    assert "Rebuild the library from its folders" in told
    assert started.said == ["The rows are made again: 1 students, 1 lessons, 2 swings."]
    assert started.opened[0].swing(filled.today.id).id == filled.today.id


def test_a_locked_one_can_be_tried_again(started: Started, folder: Path, qtbot: QtBot) -> None:
    started.start.open(folder)
    qtbot.waitUntil(lambda: bool(started.opened))
    started.start.show_trouble(LibraryError("In use.", try_next="Close the other program."))
    first = started.words()[0]

    started.press("Try again")
    qtbot.waitUntil(lambda: len(started.opened) == 2)

    assert first == "Try again"


def test_another_folder_can_be_chosen_and_is_meant_next_time_too(
    started: Started, folder: Path, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def open_at_once(dialog: QFileDialog) -> None:
        dialog.fileSelected.emit(str(folder))
        dialog.finished.emit(1)

    monkeypatch.setattr(QFileDialog, "open", open_at_once)
    started.start.open(tmp_path / "nothing")
    qtbot.waitUntil(lambda: bool(started.words()))

    started.press("Choose another folder")
    qtbot.waitUntil(lambda: bool(started.opened))

    assert started.chosen == [folder]
    assert started.opened[0].folder == folder


def test_one_can_look_around_with_the_invented_student(
    started: Started, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fill(_library: Library, watch: Watch) -> None:
        watch.report(0.5, "half")

    monkeypatch.setattr(opening, "fill_with_session", fill)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    started.start.open(tmp_path / "nothing")
    qtbot.waitUntil(lambda: bool(started.words()))

    started.press("Look around")
    qtbot.waitUntil(lambda: bool(started.opened))

    assert started.opened[0].folder == opening.sample_library()
    assert started.chosen == []
