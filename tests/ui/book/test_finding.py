"""All lessons' words are read beside the window, again once something changed."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from capturestation.errors import LibraryError, StationError
from capturestation.library import Library
from capturestation.station.finder import Finder
from capturestation.ui.book import finding as finding_module
from capturestation.ui.book.finding import Finding
from tests.helpers.library_records import a_lesson, a_student
from tests.helpers.station_library import Filled


@pytest.fixture
def library(qtbot: QtBot, filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        yield opened


@pytest.fixture
def finding(library: Library) -> Iterator[Finding]:
    made = Finding(library)
    yield made
    made.let_go()


def test_the_first_word_starts_the_reading_and_the_answer_comes_then(
    library: Library, finding: Finding, qtbot: QtBot
) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    assert finding.lessons(" ") == ()

    with qtbot.waitSignal(finding.ready):
        assert finding.lessons("turn") == ()

    assert finding.lessons("turn") == (lesson,)


def test_a_day_is_found_as_it_is_said(library: Library, finding: Finding, qtbot: QtBot) -> None:
    with qtbot.waitSignal(finding.ready):
        finding.lessons("friday")

    assert len(finding.lessons("friday october")) == 1
    assert len(finding.lessons("2026-10-30")) == 1
    assert finding.lessons("monday") == ()


def test_words_are_ready_before_somebody_types(
    library: Library, finding: Finding, qtbot: QtBot
) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))

    with qtbot.waitSignal(finding.ready):
        finding.read_soon()

    assert finding.lessons("turn") == (lesson,)


def test_after_a_change_it_is_read_again_and_the_old_answers_stand_meanwhile(
    library: Library, finding: Finding, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(finding.ready):
        finding.lessons("7 iron")
    before = finding.lessons("7 iron")
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))

    finding.forget()
    with qtbot.waitSignal(finding.ready):
        assert finding.lessons("7 iron") == before

    assert finding.lessons("turn") == (lesson,)


def test_an_answer_that_comes_after_the_end_tells_nobody(library: Library, qtbot: QtBot) -> None:
    finding = Finding(library)
    told: list[object] = []
    finding.ready.connect(lambda: told.append("ready"))
    finding.failed.connect(told.append)
    finding.lessons("turn")

    finding.let_go()
    qtbot.wait(0)

    assert told == []
    assert finding.lessons("turn") == ()


def test_what_can_t_be_read_is_told(
    finding: Finding, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_args: object) -> Finder:
        raise LibraryError("The rows are damaged.", try_next="Check the library.")

    monkeypatch.setattr(finding_module, "Finder", broken)
    with qtbot.waitSignal(finding.failed) as heard:
        assert finding.lessons("x") == ()

    assert isinstance(heard.args[0], StationError)
    assert finding.lessons("x") == ()
