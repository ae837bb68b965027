"""The caption says a sentence and shows what is under way, both ways."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QLabel, QProgressBar, QPushButton
from pytestqt.qtbot import QtBot

from capturestation.errors import CancelledError, StationError
from capturestation.library import Library
from capturestation.records import Watch
from capturestation.station.undo import UndoList
from capturestation.ui.caption import CaptionLine
from capturestation.ui.look import SCALES, Look
from capturestation.ui.place import Place
from capturestation.ui.work import Workers


class Slow:
    """Work that waits until it is let go, then reports and ends."""

    def __init__(self) -> None:
        self.go = threading.Event()
        self.reported = threading.Event()
        self.errors: list[StationError] = []

    def __call__(self, watch: Watch) -> str:
        watch.report(0.25, "a quarter")
        self.reported.set()
        self.go.wait(10)
        watch.report(0.75, "more")
        return "done"


@pytest.fixture
def slow() -> Iterator[Slow]:
    made = Slow()
    yield made
    made.go.set()


@pytest.fixture
def line(qtbot: QtBot, workers: Workers, look: Look) -> CaptionLine:
    made = CaptionLine(workers, look)
    qtbot.addWidget(made)
    made.show()
    return made


def words(line: CaptionLine) -> list[str]:
    """All that is written there."""
    return [label.text() for label in line.findChildren(QLabel) if label.isVisibleTo(line)]


def test_a_sentence_stands_and_goes_by_itself(
    line: CaptionLine, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("capturestation.ui.caption.STANDS_MS", 1)

    line.tell("Taken back: star.")

    assert line.sentence == "Taken back: star."
    qtbot.waitUntil(lambda: not line.sentence)


def test_a_job_shows_its_words_its_share_and_a_way_to_stop(
    line: CaptionLine, workers: Workers, qtbot: QtBot, slow: Slow
) -> None:
    stop, bar = line.findChild(QPushButton), line.findChild(QProgressBar)
    assert isinstance(stop, QPushButton)
    assert isinstance(bar, QProgressBar)
    hidden_before = not stop.isVisible()

    workers.run("Making the clip", slow, lambda _word: None, slow.errors.append)
    qtbot.waitUntil(lambda: bar.value() == 25)

    assert hidden_before
    assert "Making the clip · 25 %" in words(line)
    assert bar.accessibleName() == "Making the clip · 25 %"
    assert stop.isVisible()


def test_stop_asks_the_job_to_stop_and_says_so(
    line: CaptionLine, workers: Workers, qtbot: QtBot, slow: Slow
) -> None:
    stop = line.findChild(QPushButton)
    assert isinstance(stop, QPushButton)
    workers.run("Making the clip", slow, lambda _word: None, slow.errors.append)
    assert slow.reported.wait(10)

    qtbot.mouseClick(stop, Qt.MouseButton.LeftButton)
    said_while_stopping = stop.text()
    slow.go.set()
    qtbot.waitUntil(lambda: bool(slow.errors))

    assert said_while_stopping == "Stopping …"
    assert isinstance(slow.errors[0], CancelledError)
    assert not stop.isVisible()


def test_of_two_jobs_the_first_is_shown_and_the_other_counted(
    line: CaptionLine, workers: Workers, qtbot: QtBot, slow: Slow
) -> None:
    other = Slow()
    workers.run("Making the clip", slow, lambda _word: None, slow.errors.append)
    workers.run("Taking files in", other, lambda _word: None, other.errors.append)
    assert slow.reported.wait(10)
    assert other.reported.wait(10)
    qtbot.waitUntil(lambda: any("25 %" in text for text in words(line)))
    both = words(line)

    slow.go.set()
    qtbot.waitUntil(lambda: len(workers.jobs) == 1)
    one = words(line)
    other.go.set()
    qtbot.waitUntil(lambda: not workers.jobs)

    assert "Making the clip · 25 % · and 1 more" in both
    assert any(text.startswith("Taking files in") for text in one)


def test_its_height_stays_when_a_job_comes_and_grows_with_the_letters(
    line: CaptionLine, workers: Workers, qtbot: QtBot, look: Look, slow: Slow
) -> None:
    empty_px = line.height()
    workers.run("Making the clip", slow, lambda _word: None, slow.errors.append)
    busy_px = line.height()
    look.enlarge(2.0)

    assert busy_px == empty_px
    assert line.height() > empty_px
    slow.go.set()
    qtbot.waitUntil(lambda: not workers.jobs)


@pytest.fixture
def place(qtbot: QtBot, folder: Path, workers: Workers, look: Look) -> Iterator[Place]:
    """A place that says nothing by itself."""
    with Library.open(folder) as library:
        made = Place(library, workers, look, UndoList())
        qtbot.addWidget(made)
        yield made


def test_of_a_place_that_is_covered_nothing_is_said(line: CaptionLine, place: Place) -> None:
    line.follow(place)
    place.stands.emit("Views 3 ms apart.")
    line.cover(True)
    covered = line.sentence
    line.tell("Taken back: star.")
    said = line.sentence
    line.cover(False)
    line.tell("")

    assert (covered, said, line.sentence) == ("", "Taken back: star.", "Views 3 ms apart.")


def test_what_stands_there_comes_back_after_a_sentence(
    line: CaptionLine, place: Place, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("capturestation.ui.caption.STANDS_MS", 1)
    line.resize(900, line.height())
    line.follow(place)
    place.stands.emit("Views 3 ms apart.")
    line.tell("Taken back: star.")
    said = words(line)

    assert said == ["Taken back: star."]
    qtbot.waitUntil(lambda: words(line) == ["Views 3 ms apart."])


def test_a_long_sentence_is_written_smaller_then_cut_and_read_out_whole(line: CaptionLine) -> None:
    sentence = "The earlier swing was moved to another student with a long double name."
    line.resize(2000, line.height())
    line.tell(sentence)
    (label,) = (one for one in line.findChildren(QLabel) if one.text() == sentence)
    large = label.property("letters")
    line.resize(300, line.height())

    assert (large, label.property("letters")) == ("", "note")
    assert label.text().endswith("…")
    assert label.toolTip() == label.accessibleName() == line.sentence == sentence


def test_stop_is_as_high_as_a_finger_needs_at_every_size(line: CaptionLine, look: Look) -> None:
    heights = []
    for scale in SCALES:
        look.enlarge(scale)
        heights.append(line.height())

    assert min(heights) >= 44
    assert heights[-1] < 1.5 * look.px("body")
