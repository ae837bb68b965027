"""A student's measures over the weeks in the Book: chosen by key, told in words, and saved."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.records import Measured, Result, Swing, SwingKind
from capturestation.station import people
from capturestation.ui.book.weeks_page import WeeksPage
from capturestation.ui.look import Theme
from capturestation.ui.texts import say
from tests.helpers.pixels import pixels
from tests.helpers.station_library import NAME
from tests.ui.book.conftest import Opened

TURN, SWAY = "pelvis turn, top", "pelvis to the target, top"
LEFT = Qt.MouseButton.LeftButton


def give(book: Opened, swing: Swing, **values: float) -> None:
    """What was measured of a swing, by the measure's first word in capitals."""
    names = {"turn": TURN, "sway": SWAY}
    results = tuple(
        Result(
            name=names[key],
            measured=Measured(value=value, unit="deg" if key == "turn" else "cm", u_random=1.0),
        )
        for key, value in values.items()
    )
    held = book.library.swing(swing.id).book
    book.library.save_book(replace(held, results=results))


@pytest.fixture
def weeks(book: Opened) -> Opened:
    """The best is of a lesson in September; both it and today's are measured."""
    library, best = book.library, book.filled.best
    earlier = people.add_lesson(library, NAME, on=date(2026, 9, 18))
    library.save_book(replace(library.swing(best.id).book, lesson_id=earlier.id))
    give(book, best, turn=40.0, sway=3.0)
    give(book, book.filled.today, turn=52.0, sway=3.5)
    book.place.refresh()
    return book


def opened(book: Opened, qtbot: QtBot) -> WeeksPage:
    book.do("weeks")
    page = book.place.weeks_page
    qtbot.waitUntil(lambda: page.empty.text() != say("book.weeks.reading"))
    return page


def test_each_measure_is_told_with_what_changed_and_its_chart_is_painted(
    weeks: Opened, qtbot: QtBot
) -> None:
    page = opened(weeks, qtbot)

    assert weeks.over is page
    assert page.measures.hasFocus()
    assert page.measures.currentText() == "Pelvis turn at the top"
    assert page.words.text().split("\n")[:3] == [
        "30 Oct 2026: 52° closed ± 2, of 1 swing.",
        "Since the first lesson, 18 Sep 2026: more closed by 12 ± 3°.",
        "Since the own best, 18 Sep 2026: more closed by 12 ± 3°.",
    ]
    assert page.chart.accessibleDescription().startswith("30 Oct 2026: 52°")
    light = page.look.colour("then")
    shown = pixels(page.chart.grab().toImage())
    assert (abs(shown.astype(int) - light.getRgb()[:3]).sum(axis=2) < 30).sum() > 60


def test_the_same_key_and_the_arrows_go_on_to_the_next_measure(weeks: Opened, qtbot: QtBot) -> None:
    page = opened(weeks, qtbot)

    weeks.do("weeks")
    after_key = page.measures.currentText()
    qtbot.keyClick(page.measures, Qt.Key.Key_Up)

    assert after_key == "Pelvis to the target at the top"
    assert page.measures.currentText() == "Pelvis turn at the top"
    assert weeks.place.leave()
    assert weeks.over is None


def test_what_the_lesson_works_on_comes_first(weeks: Opened, qtbot: QtBot) -> None:
    lesson = weeks.library.lesson(weeks.library.swing(weeks.filled.today.id).book.lesson_id)
    weeks.library.save_lesson(replace(lesson, focus=("pelvis to the target: no slide",)))

    assert opened(weeks, qtbot).measures.currentText() == "Pelvis to the target at the top"


def test_another_group_of_swings_is_gathered_when_it_is_chosen(weeks: Opened, qtbot: QtBot) -> None:
    held = weeks.library.swing(weeks.filled.best.id).book
    weeks.library.save_book(replace(held, kind=SwingKind.PITCH))
    page = opened(weeks, qtbot)
    assert [page.groups.itemText(row) for row in (0, 1)] == [
        "7 iron, full swing (1)",
        "7 iron, pitch (1)",
    ]
    assert page.words.text().startswith("30 Oct 2026")

    page.groups.setFocus()
    qtbot.keyClick(page.groups, Qt.Key.Key_Down)

    qtbot.waitUntil(lambda: page.words.text().startswith("18 Sep 2026"))
    assert "One measured lesson so far" in page.words.text()


def test_where_nothing_is_measured_it_says_what_to_do_and_shows_no_empty_chart(
    book: Opened, qtbot: QtBot
) -> None:
    for swing in (book.filled.best, book.filled.today):
        book.library.save_book(replace(book.library.swing(swing.id).book, results=()))
    page = opened(book, qtbot)

    assert page.empty.text() == say("book.weeks.unmeasured")
    assert not page.chart.isVisible()
    assert not page.save.isVisible()
    book.do("weeks")
    assert book.over is page


def test_drills_alone_are_told_as_such(book: Opened, qtbot: QtBot) -> None:
    for swing in (book.filled.best, book.filled.today):
        held = book.library.swing(swing.id).book
        book.library.save_book(replace(held, kind=SwingKind.DRILL))

    assert opened(book, qtbot).empty.text() == say("book.weeks.none")


def test_charts_and_table_are_saved_in_a_folder_of_choice(
    weeks: Opened, qtbot: QtBot, tmp_path: Path
) -> None:
    page = opened(weeks, qtbot)
    weeks.at_once.weekly.choose = lambda _parent: tmp_path / "charts"

    qtbot.mouseClick(page.save, LEFT)

    qtbot.waitUntil(lambda: weeks.said[-1:] == ["5 files are in “charts”."])
    assert len(list((tmp_path / "charts").iterdir())) == 5
    assert (tmp_path / "charts" / "over-weeks.csv").exists()


def test_by_lamp_light_the_chart_has_the_window_s_own_colours(weeks: Opened, qtbot: QtBot) -> None:
    page = opened(weeks, qtbot)
    by_day = pixels(page.chart.grab().toImage())

    page.look.choose(Theme.DARK)

    by_lamp = pixels(page.chart.grab().toImage())
    assert (by_day != by_lamp).any()
    now = page.look.colour("now").getRgb()[:3]
    assert (abs(by_lamp.astype(int) - now).sum(axis=2) < 30).sum() > 60
