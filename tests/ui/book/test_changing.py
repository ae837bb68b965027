"""Swings and lessons are changed by keys and words, and each change is taken back."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.errors import RefusedError
from capturestation.library import Library
from capturestation.records import BallResult, SwingKind
from capturestation.station import people
from capturestation.station.people import today
from capturestation.ui.book.panes import Part
from tests.helpers.library_records import DAY, a_lesson
from tests.helpers.station_library import NAME
from tests.ui.book.conftest import Opened

LEFT = Qt.MouseButton.LeftButton


def test_a_star_is_set_seen_and_taken_back(book: Opened) -> None:
    book.do("star")
    starred = book.chosen.book.starred
    assert book.place.page.bar.words["star"].text() == "★ Own best"
    assert book.place.steps.undo_words == f"own best: 7 iron, {at(book)}"

    book.undo()
    assert (starred, book.chosen.book.starred) == (True, False)
    assert book.place.page.bar.words["star"].text() == "Own best?"


def at(book: Opened) -> str:
    return f"{book.chosen.facts.struck_at.astimezone():%H:%M}"


def test_one_key_rates_the_ball_and_the_same_key_takes_it_away(book: Opened) -> None:
    book.do("rate_4")
    assert book.chosen.book.ball.rating == 4
    assert book.place.page.bar.words["ball"].text() == "Ball: 4 of 5"

    book.do("rate_4")
    assert book.chosen.book.ball.rating is None


def test_what_the_ball_did_is_pressed_in_words(book: Opened, qtbot: QtBot) -> None:
    book.do("ball")
    page = book.place.ball_page
    for word in (("start", "left"), ("contact", "thin"), ("rating", "2")):
        qtbot.mouseClick(page.words[word], LEFT)

    assert book.chosen.book.ball == BallResult(start="left", contact="thin", rating=2)
    assert page.words["contact", "thin"].isChecked()
    assert book.place.leave()


def test_a_club_is_chosen_from_words_the_same_key_goes_on(book: Opened, qtbot: QtBot) -> None:
    book.do("club")
    page = book.place.word_page
    assert page.words["7 iron"].hasFocus()
    book.do("club")
    assert page.words["driver"].hasFocus()
    qtbot.keyClick(page.words["driver"], Qt.Key.Key_Space)

    assert book.over is None
    assert book.chosen.book.club == "driver"
    book.undo()
    assert book.chosen.book.club == "7 iron"


def test_a_club_that_is_not_there_is_written(book: Opened, qtbot: QtBot) -> None:
    book.do("club")
    qtbot.keyClicks(book.place.word_page.field, "4 hybrid")
    qtbot.keyClick(book.place.word_page.field, Qt.Key.Key_Return)

    assert book.chosen.book.club == "4 hybrid"


def test_a_kind_is_chosen_from_words(book: Opened, qtbot: QtBot) -> None:
    book.do("kind")
    qtbot.mouseClick(book.place.word_page.words[str(SwingKind.PITCH)], LEFT)

    assert book.chosen.book.kind is SwingKind.PITCH
    assert book.place.page.bar.words["kind"].text() == "Kind: pitch"


def test_notes_are_kept_when_one_leaves_the_line(book: Opened, qtbot: QtBot) -> None:
    notes = book.place.page.bar.notes

    book.do("notes")
    assert notes.hasFocus()
    qtbot.keyClicks(notes, "trail pocket back")
    assert book.place.leave()

    assert book.chosen.book.notes == "trail pocket back"
    assert not notes.isVisible()
    assert book.place.page.list.hasFocus()
    assert book.place.page.bar.words["notes"].text() == "Notes written"


def test_written_notes_are_on_no_page_until_they_are_asked_for(book: Opened, qtbot: QtBot) -> None:
    secret = "pushes it when tired"
    swing = book.filled.today
    book.library.change_book(swing.id, lambda now: replace(now, notes=secret))
    book.library.change_lesson(swing.book.lesson_id, lambda now: replace(now, notes=secret))
    book.place.refresh()
    lines = book.place.page.model
    said = [
        str(lines.index(row).data(role))
        for row in range(lines.rowCount())
        for role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole)
    ]
    words = [*said, *(w.accessibleName() for w in book.place.page.bar.words.values())]
    assert not any(secret in one for one in words)

    book.do("notes")
    assert book.place.page.bar.notes.text() == secret
    qtbot.keyClick(book.place.page.bar.notes, Qt.Key.Key_Return)
    qtbot.keyClick(book.place.page.list, Qt.Key.Key_Home)
    book.do("focus")
    form = book.place.lesson_form
    assert not form.notes.paper.isVisible()
    book.place.leave()
    book.do("notes")
    assert form.notes.paper.hasFocus()
    assert form.notes.text == secret


@pytest.mark.parametrize("part", [Part.LEAF, Part.SWING])
def test_notes_open_also_where_one_part_alone_has_room_and_lead_back(
    book: Opened, qtbot: QtBot, part: Part
) -> None:
    book.place.resize(700, 500)
    book.place.show_part(part)

    book.do("notes")
    line = book.place.page.bar.notes
    assert line.isVisible()
    assert line.hasFocus()
    qtbot.keyClicks(line, "slower")
    qtbot.keyClick(line, Qt.Key.Key_Return)

    assert book.chosen.book.notes == "slower"
    assert book.place.part is part
    bar = book.place.page.bar
    assert (book.place.page.list if part is Part.LEAF else bar.words["notes"]).hasFocus()


def test_a_deleted_swing_comes_back_with_its_star(book: Opened) -> None:
    book.do("next_swing")
    book.do("delete")
    assert book.prints == [book.filled.today.id]
    assert book.chosen.id == book.filled.today.id
    assert book.said == ["Deleted. It can be taken back, and lies in the trash for 30 days."]

    book.undo()
    assert book.library.swing(book.filled.best.id).book.starred
    assert len(book.prints) == 2


def test_what_was_changed_elsewhere_since_is_not_taken_back(book: Opened) -> None:
    book.do("star")
    book.settle()
    with Library.open(book.filled.folder) as other:
        other.change_book(book.filled.today.id, lambda now: replace(now, starred=False))

    with pytest.raises(RefusedError):
        book.place.steps.undo()
    assert not book.chosen.book.starred
    assert book.place.steps.undo_words == ""


def test_changing_a_swing_that_is_gone_is_told_and_the_book_shows_what_is_there(
    book: Opened,
) -> None:
    book.library.delete_swing(book.filled.today.id)

    book.do("star")

    assert [error.subject for error in book.troubles] == [book.filled.today.id]
    assert book.prints == [book.filled.best.id]


def test_the_focus_of_a_lesson_is_written_and_taken_back(book: Opened, qtbot: QtBot) -> None:
    book.do("focus")
    form = book.place.lesson_form
    qtbot.keyClicks(form.things[0], "turn")
    qtbot.keyClicks(form.things[1], "balance")
    qtbot.keyClick(form.things[1], Qt.Key.Key_Return)

    assert book.over is None
    assert book.place.page.focus.text() == "Now: turn · balance"
    book.undo()
    assert book.place.lesson is not None
    assert book.place.lesson.focus == ()


def test_what_was_worked_on_before_is_offered(book: Opened, qtbot: QtBot) -> None:
    student = book.library.student(book.filled.today.book.student_id)
    book.library.add_lesson(a_lesson(student, DAY))
    book.do("focus")

    book.place.lesson_form.take("turn")
    qtbot.mouseClick(book.place.lesson_form.save_word, LEFT)

    assert book.library.lesson(book.filled.today.book.lesson_id).focus == ("turn",)


def test_a_new_lesson_is_todays_asks_for_its_focus_and_is_taken_back(book: Opened) -> None:
    book.do("new_lesson")

    lesson = book.place.lesson
    assert lesson is not None
    assert lesson.on == today()
    assert book.over is book.place.lesson_form
    assert book.place.leave()
    book.undo()
    assert len(book.library.lessons(lesson.student_id)) == 1


def test_an_empty_lesson_is_taken_away(book: Opened) -> None:
    book.do("new_lesson")
    book.place.leave()
    assert book.place.page.bar.words["delete_lesson"].isVisible()

    book.do("delete")

    assert len(book.library.lessons(book.filled.today.book.student_id)) == 1
    assert book.troubles == []


def test_a_swing_is_moved_to_another_student_and_back(book: Opened, qtbot: QtBot) -> None:
    other = people.add_student(book.library, name="Bo Falk", birth_year=1980)
    book.do("move")
    page = book.place.move_page
    qtbot.keyClicks(page.field, "bo")
    qtbot.keyClick(page.field, Qt.Key.Key_Return)
    qtbot.keyClick(page.list, Qt.Key.Key_Return)

    assert book.library.swing(book.filled.today.id).book.student_id == other.id
    assert book.place.page.name.text() == NAME
    assert book.prints == [book.filled.best.id]
    assert book.said[0].startswith("Moved to Bo Falk.")
    book.undo()
    assert book.library.swing(book.filled.today.id).book == book.filled.today.book


def test_a_swing_is_moved_to_another_lesson_of_the_same_student(book: Opened, qtbot: QtBot) -> None:
    student = book.library.student(book.filled.today.book.student_id)
    other = book.library.add_lesson(a_lesson(student, DAY))
    book.do("move")

    qtbot.mouseClick(book.place.move_page.take_word, LEFT)

    assert book.chosen.id == book.filled.today.id
    assert book.chosen.book.lesson_id == other.id


def test_a_swing_stays_with_a_student_who_must_not_be_filmed(book: Opened, qtbot: QtBot) -> None:
    people.add_student(book.library, name="Kid", birth_year=today().year - 9)
    book.do("move")

    qtbot.mouseClick(book.place.move_page.take_word, LEFT)

    assert "under 18" in str(book.troubles[0])
    assert book.chosen.book == book.filled.today.book
