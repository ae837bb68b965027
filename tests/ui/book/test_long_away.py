"""At the month's end: those who were away for long are proposed, and nothing goes by itself."""

from __future__ import annotations

import zipfile
from datetime import date
from pathlib import Path

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from capturestation.records import Consent, Giver, Purpose
from capturestation.station import people, retention
from capturestation.ui.book import long_away
from tests.helpers.station_library import NAME, everything_in
from tests.ui.book.conftest import Opened

MONTH_END = date(2030, 1, 31)


class Calendar:
    """The day that it is."""

    def __init__(self) -> None:
        self.day = MONTH_END

    def today(self) -> date:
        return self.day


@pytest.fixture
def calendar(monkeypatch: pytest.MonkeyPatch) -> Calendar:
    made = Calendar()
    for module in (long_away, retention):
        monkeypatch.setattr(module, "today", made.today)
    return made


@pytest.fixture
def later(calendar: Calendar, book: Opened) -> Opened:
    """The Book years after its only lesson, as the window opens it."""
    book.place.away.looked = None
    book.place.restore({})
    return book


def looked(book: Opened, qtbot: QtBot) -> list[str]:
    """Who is proposed, once it was looked."""
    qtbot.waitUntil(lambda: not book.place.workers.jobs)
    return [one.name for one in book.place.away_page.model.lines]


def test_at_the_month_s_end_a_quiet_word_says_how_many_until_one_looks(
    later: Opened, qtbot: QtBot, calendar: Calendar
) -> None:
    word = later.place.index.away_word
    before = (word.isVisible(), word.text())

    later.do("away")
    proposed = looked(later, qtbot)
    later.place.leave()

    assert before == (True, "Long without a lesson: 1")
    assert proposed == [NAME]
    assert not word.isVisible()
    calendar.day = date(2030, 2, 27)
    later.place.away.remind()
    assert not word.isVisible()
    calendar.day = date(2030, 2, 28)
    later.place.away.remind()
    assert word.isVisible()


def test_it_says_why_and_what_is_held(later: Opened, qtbot: QtBot) -> None:
    no = Consent(purpose=Purpose.COACHING, giver=Giver.STUDENT, given=False, on=MONTH_END, by="me")
    people.answer_consent(later.library, NAME, no)
    later.do("away")
    looked(later, qtbot)

    model = later.place.away_page.model
    words = model.words(model.lines[0])

    assert words[:2] == (NAME, "said no to filming · last lesson 30 Oct 2026")
    assert words[2].startswith("swings: 2 · lessons: 1 · ")


def test_how_long_is_long_is_the_coach_s_to_set_and_lasts(
    later: Opened, qtbot: QtBot, calendar: Calendar
) -> None:
    calendar.day = date(2029, 1, 31)
    later.do("away")
    usual = looked(later, qtbot)
    page = later.place.away_page

    qtbot.mouseClick(page.span_words[36], Qt.MouseButton.LeftButton)
    longer = looked(later, qtbot)
    kept = later.place.kept()
    later.place.restore(kept)

    assert (usual, longer) == ([NAME], [])
    assert page.back_word.hasFocus()
    assert not page.forget_word.isEnabled()
    assert later.place.away.wish.months == 36


def test_by_keys_one_is_kept_which_is_taken_back_and_lasts_a_year(
    later: Opened, qtbot: QtBot, calendar: Calendar
) -> None:
    before = everything_in(later.filled.folder)
    later.do("away")
    looked(later, qtbot)
    page = later.place.away_page
    assert page.list.hasFocus()
    qtbot.keyClick(page.list, Qt.Key.Key_Tab)
    assert page.keep_word.hasFocus()

    qtbot.keyClick(page.keep_word, Qt.Key.Key_Return)
    kept, told = looked(later, qtbot), later.place.kept()
    later.place.steps.undo()
    back = looked(later, qtbot)
    later.place.steps.redo()
    later.place.restore(told)

    assert (kept, back) == ([], [NAME])
    calendar.day = date(2031, 1, 30)
    assert retention.waiting(later.library, later.place.away.wish) == ()
    calendar.day = date(2031, 1, 31)
    assert len(retention.waiting(later.library, later.place.away.wish)) == 1
    assert everything_in(later.filled.folder) == before


def test_all_of_one_becomes_one_file_whose_name_names_nobody(
    later: Opened, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    offered: list[str] = []

    def chosen(_parent: object, _title: str, name: str, _kinds: str) -> tuple[str, str]:
        offered.append(name)
        return str(tmp_path / "out.zip"), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", chosen)
    later.do("away")
    looked(later, qtbot)

    qtbot.mouseClick(later.place.away_page.give_word, Qt.MouseButton.LeftButton)
    looked(later, qtbot)

    with zipfile.ZipFile(tmp_path / "out.zip") as packed:
        assert "person.json" in packed.namelist()
        assert packed.testzip() is None
    assert later.said[-1].startswith("out.zip: ")
    assert NAME.split()[0].lower() not in offered[0].lower()


def test_nothing_is_written_where_no_place_is_chosen(
    later: Opened, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_words: ("", ""))
    later.do("change")
    said = len(later.said)

    qtbot.mouseClick(later.place.student_form.give_word, Qt.MouseButton.LeftButton)

    assert later.place.workers.jobs == ()
    assert len(later.said) == said


def test_one_is_forgotten_only_when_asked_twice_and_one_comes_back_to_the_page(
    later: Opened, qtbot: QtBot
) -> None:
    later.do("away")
    looked(later, qtbot)
    page, question = later.place.away_page, later.place.question
    qtbot.mouseClick(page.forget_word, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: later.over is question)
    question.answers[0].click()
    stayed = looked(later, qtbot)
    qtbot.mouseClick(page.forget_word, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: later.over is question)

    question.answers[1].click()
    later.place.forget_page.field.setText(NAME)
    qtbot.mouseClick(later.place.forget_page.do_word, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: later.over is question)
    question.answers[0].click()

    assert stayed == [NAME]
    assert looked(later, qtbot) == []
    assert later.over is page
    assert later.library.students() == ()


@pytest.mark.parametrize(
    "damaged",
    [
        {"away_months": "-3", "away_kept": "who=when =", "away_looked": "soon"},
        {"away_months": "1" * 9},
    ],
)
def test_a_damaged_memory_is_as_at_first(later: Opened, damaged: dict[str, str]) -> None:
    later.place.restore(damaged)

    assert later.place.away.wish == retention.Wish(kept={})
    assert later.place.index.away_word.isVisible()
