"""Leafing through the Book and changing what is in it, by keys and words, taken back as well."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import QMimeData, QPointF, Qt, QUrl
from PyQt6.QtGui import QDropEvent
from pytestqt.qtbot import QtBot

from capturestation.errors import BadInputError
from capturestation.records import (
    BallResult,
    Giver,
    LessonId,
    Purpose,
    Swing,
    SwingKind,
    View,
)
from capturestation.station import people
from capturestation.station.people import today
from capturestation.ui.book.panes import Part
from tests.helpers.bay_files import Pair
from tests.helpers.station_library import NAME
from tests.ui.book.conftest import Opened


def chosen(book: Opened) -> Swing:
    swing = book.place.chosen
    assert swing is not None
    return book.library.swing(swing.id)


def test_it_opens_at_the_newest_swing_of_the_newest_lesson(book: Opened) -> None:
    assert book.place.student is not None
    assert book.place.student.name == NAME
    assert chosen(book).id == book.filled.today.id


def test_typing_finds_by_the_start_of_a_name_and_says_where_there_is_nobody(
    book: Opened, qtbot: QtBot
) -> None:
    field = book.place.index.field

    qtbot.keyClicks(field, "zo")
    assert [line.student.name for line in book.place.index.model.lines] == [NAME]

    qtbot.keyClicks(field, "x")
    assert book.place.index.model.lines == ()
    assert book.place.index.none.isVisible()
    assert book.place.chosen is None


def test_from_the_find_field_the_keys_lead_down_to_a_swing_on_the_bench(
    book: Opened, qtbot: QtBot
) -> None:
    qtbot.keyClick(book.place.index.field, Qt.Key.Key_Return)
    qtbot.keyClick(book.place.index.list, Qt.Key.Key_Return)
    qtbot.keyClick(book.place.page.lesson_list, Qt.Key.Key_Return)
    qtbot.keyClick(book.place.page.swing_list, Qt.Key.Key_Return)

    assert book.opened == [book.filled.today.id]


def test_keys_step_through_the_swings_and_stop_at_the_ends(book: Opened) -> None:
    book.do("next_swing")
    assert chosen(book).id == book.filled.best.id

    book.do("next_swing")
    assert chosen(book).id == book.filled.best.id

    book.do("previous_swing")
    assert chosen(book).id == book.filled.today.id


def test_a_star_is_set_seen_and_taken_back(book: Opened) -> None:
    book.do("star")
    assert chosen(book).book.starred
    assert book.place.page.bar.words["star"].text() == "★ Own best"

    book.place.steps.undo()
    book.place.refresh()
    assert not chosen(book).book.starred
    assert book.place.page.bar.words["star"].text() == "Own best?"


def test_one_key_rates_the_ball_and_the_same_key_takes_it_away(book: Opened) -> None:
    book.do("rate_4")
    assert chosen(book).book.ball.rating == 4

    book.do("rate_4")
    assert chosen(book).book.ball.rating is None


def test_what_the_ball_did_is_pressed_in_words(book: Opened, qtbot: QtBot) -> None:
    book.do("ball")
    page = book.place.ball_page
    for word in (("start", "left"), ("contact", "thin"), ("rating", "2")):
        qtbot.mouseClick(page.words[word], Qt.MouseButton.LeftButton)

    assert chosen(book).book.ball == BallResult(start="left", contact="thin", rating=2)
    assert page.words["contact", "thin"].isChecked()


def test_one_key_goes_on_to_the_next_club_and_kind(book: Opened) -> None:
    book.do("club")
    book.do("kind")

    assert chosen(book).book.club == "driver"
    assert chosen(book).book.kind is SwingKind.PART
    book.place.steps.undo()
    book.place.steps.undo()
    assert (chosen(book).book.club, chosen(book).book.kind) == ("7 iron", SwingKind.FULL)


def test_notes_are_kept_when_one_leaves_the_line(book: Opened, qtbot: QtBot) -> None:
    notes = book.place.page.bar.notes

    qtbot.keyClicks(notes, "trail pocket back")
    qtbot.keyClick(notes, Qt.Key.Key_Return)

    assert chosen(book).book.notes == "trail pocket back"


def test_a_deleted_swing_comes_back_with_its_star(book: Opened) -> None:
    book.do("next_swing")
    book.do("delete")
    assert [s.id for s in book.place.page.swings.lines] == [book.filled.today.id]
    assert chosen(book).id == book.filled.today.id

    book.place.steps.undo()
    book.place.refresh()
    back = book.library.swing(book.filled.best.id)
    assert back.book.starred
    assert len(book.place.page.swings.lines) == 2


def test_a_new_student_is_written_down_with_consents(book: Opened, qtbot: QtBot) -> None:
    book.do("new_student")
    form = book.place.student_form
    qtbot.keyClicks(form.name, "Bo Falk")
    qtbot.keyClicks(form.year, str(today().year - 12))
    qtbot.keyClicks(form.by, "the coach")
    form.answer(Purpose.COACHING, Giver.STUDENT, given=True)
    form.answer(Purpose.COACHING, Giver.PARENT, given=True)
    qtbot.mouseClick(form.save_word, Qt.MouseButton.LeftButton)

    kept = book.library.find_student("Bo Falk")
    assert kept.missing_consents(Purpose.COACHING, today()) == ()
    assert {c.by for c in kept.consents} == {"the coach"}
    assert book.place.student == kept


def test_a_wrong_year_is_told_and_the_page_stays(book: Opened, qtbot: QtBot) -> None:
    book.do("new_student")
    form = book.place.student_form
    qtbot.keyClicks(form.name, "Bo")
    qtbot.keyClicks(form.year, "soon")
    qtbot.mouseClick(form.save_word, Qt.MouseButton.LeftButton)

    assert isinstance(book.troubles[0], BadInputError)
    assert book.place.pages.currentWidget() is form
    assert [s.name for s in book.library.students()] == [NAME]


def test_an_answer_can_be_changed_and_the_old_one_stays_in_the_history(
    book: Opened, qtbot: QtBot
) -> None:
    book.do("change")
    form = book.place.student_form
    form.answer(Purpose.COACHING, Giver.STUDENT, given=False)
    qtbot.mouseClick(form.save_word, Qt.MouseButton.LeftButton)

    student = book.filled.today.book.student_id
    assert [c.given for c in book.library.person(student).history] == [True, False]
    assert "refused" in book.place.page.facts.text()


def test_the_focus_of_a_lesson_is_written_and_taken_back(book: Opened, qtbot: QtBot) -> None:
    book.do("focus")
    form = book.place.lesson_form
    qtbot.keyClicks(form.things[0], "turn")
    qtbot.keyClicks(form.things[1], "balance")
    qtbot.keyClick(form.things[1], Qt.Key.Key_Return)

    assert book.place.page.focus.text() == "turn · balance"
    book.place.steps.undo()
    book.place.refresh()
    assert book.place.page.focus.text() == "no focus yet"


def test_a_new_lesson_is_todays_and_asks_for_its_focus(book: Opened) -> None:
    book.do("new_lesson")

    lesson = book.place.lesson
    assert lesson is not None
    assert lesson.on == today()
    assert book.place.pages.currentWidget() is book.place.lesson_form
    assert book.place.leave()
    assert book.place.page.empty.text() == "No swing yet. Drop the two files of a swing here."


def test_a_swing_is_moved_to_another_student_and_back(book: Opened, qtbot: QtBot) -> None:
    other = people.add_student(book.library, name="Bo Falk", birth_year=1980)
    book.place.refresh()
    book.place.look_at(book.filled.today.id)
    book.do("move")
    word = book.place.question.answers[0]
    assert word.text() == "Bo Falk"
    qtbot.mouseClick(word, Qt.MouseButton.LeftButton)

    assert book.library.swing(book.filled.today.id).book.student_id == other.id
    book.place.steps.undo()
    assert book.library.swing(book.filled.today.id).book == book.filled.today.book


def test_a_student_is_forgotten_only_after_two_questions(book: Opened, qtbot: QtBot) -> None:
    book.do("forget")
    assert "2 swings in 1 lessons" in book.place.question.text.text()
    qtbot.mouseClick(book.place.question.answers[1], Qt.MouseButton.LeftButton)
    assert len(book.library.students()) == 1
    qtbot.mouseClick(book.place.question.answers[1], Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: bool(book.said))

    assert book.library.students() == ()
    assert book.said[0].startswith("Gone for good: 2 swings, ")
    assert book.place.index.model.lines == ()


def test_to_stay_after_the_first_question_changes_nothing(book: Opened, qtbot: QtBot) -> None:
    book.do("forget")
    qtbot.mouseClick(book.place.question.answers[0], Qt.MouseButton.LeftButton)

    assert len(book.library.students()) == 1
    assert not book.place.leave()


def dropped(book: Opened, *paths: str) -> None:
    """Drop files on the Book, as the desktop does."""
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(path) for path in paths])
    event = QDropEvent(
        QPointF(10, 10),
        Qt.DropAction.CopyAction,
        mime,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    book.place.dropEvent(event)


def test_two_dropped_files_become_a_swing_once_their_views_are_said(
    book: Opened, qtbot: QtBot, third_swing: Pair
) -> None:
    front, line = third_swing.face_on, third_swing.down_the_line
    dropped(book, str(front), str(line))
    page = book.place.files
    assert not page.take_word.isEnabled()
    assert page.why.text().startswith("Which of them")

    page.choose(front, View.FACE_ON)
    qtbot.mouseClick(page.take_word, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: bool(book.said) or bool(book.troubles), timeout=30_000)

    assert book.troubles == []
    assert len(book.place.page.swings.lines) == 1
    assert book.place.chosen is not None
    assert book.place.chosen.id not in (book.filled.today.id, book.filled.best.id)


def test_a_file_that_is_no_video_is_refused_kindly(book: Opened) -> None:
    dropped(book, "/nowhere/notes.txt")

    assert "no video file" in str(book.troubles[0])
    assert not book.place.leave()


def test_three_files_are_no_swing(book: Opened) -> None:
    dropped(book, "/a.mp4", "/b.mp4", "/c.mp4")

    assert "3 files" in str(book.troubles[0])


@pytest.mark.parametrize("part", list(Part))
def test_where_there_is_no_room_one_part_is_seen(book: Opened, part: Part) -> None:
    book.place.resize(600, 700)

    book.place.show_part(part)

    seen = {
        Part.STUDENTS: book.place.index.isVisible(),
        Part.LESSONS: book.place.page.lesson_list.isVisible(),
        Part.SWINGS: book.place.page.swing_list.isVisible(),
    }
    assert seen == {one: one is part for one in Part}
    assert book.place.path.words[part].isChecked()


def test_the_place_one_was_at_is_taken_up_again(book: Opened) -> None:
    kept = book.place.kept()

    book.place.restore({"student": "gone", "lesson": "gone"})
    book.place.restore(kept)

    assert book.place.lesson is not None
    assert LessonId(kept["lesson"]) == book.place.lesson.id


def test_the_picture_at_impact_comes_by_itself(book: Opened, qtbot: QtBot) -> None:
    pictures = book.place.pictures

    qtbot.waitUntil(lambda: pictures.picture(book.filled.today) is not None, timeout=20_000)

    image = pictures.picture(book.filled.today)
    assert image is not None
    assert image.width() > 0
