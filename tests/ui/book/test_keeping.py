"""Students are written down, changed and forgotten; answers about consent keep their history."""

from __future__ import annotations

from PyQt6.QtCore import QDate, Qt
from pytestqt.qtbot import QtBot

from capturestation.errors import BadInputError
from capturestation.records import Giver, Purpose
from capturestation.station.people import today
from tests.helpers.station_library import NAME
from tests.ui.book.conftest import Opened

LEFT = Qt.MouseButton.LeftButton


def test_a_new_student_is_written_down_with_consents(book: Opened, qtbot: QtBot) -> None:
    qtbot.keyClicks(book.place.index.field, "bo falk")
    book.do("new_student")
    form = book.place.student_form
    assert form.name.text() == "bo falk"
    form.name.setText("Bo Falk")
    qtbot.keyClicks(form.year, str(today().year - 12))
    qtbot.keyClicks(form.consents.by, "the coach")
    form.consents.answer(Purpose.COACHING, Giver.STUDENT, given=True)
    form.consents.answer(Purpose.COACHING, Giver.PARENT, given=True)
    qtbot.mouseClick(form.save_word, LEFT)

    kept = book.library.find_student("Bo Falk")
    assert kept.missing_consents(Purpose.COACHING, today()) == ()
    assert {c.by for c in kept.consents} == {"the coach"}
    assert book.place.student == kept
    assert book.place.index.field.text() == ""
    book.undo()
    assert [s.name for s in book.library.students()] == [NAME]


def test_a_wrong_year_is_told_and_the_page_stays(book: Opened, qtbot: QtBot) -> None:
    book.do("new_student")
    form = book.place.student_form
    qtbot.keyClicks(form.name, "Bo")
    qtbot.keyClicks(form.year, "soon")
    qtbot.mouseClick(form.save_word, LEFT)

    assert isinstance(book.troubles[0], BadInputError)
    assert book.over is form
    assert form.name.text() == "Bo"
    assert [s.name for s in book.library.students()] == [NAME]


def test_an_answer_is_changed_the_old_one_stays_in_the_history_and_undo_takes_it_back(
    book: Opened, qtbot: QtBot
) -> None:
    student = book.filled.today.book.student_id
    before = book.library.person(student).history
    book.do("change")
    form = book.place.student_form
    form.consents.by.setText("the coach")
    form.consents.answer(Purpose.COACHING, Giver.STUDENT, given=False)
    qtbot.mouseClick(form.save_word, LEFT)

    assert [c.given for c in book.library.person(student).history] == [True, False]
    assert "No filming: the student said no" in book.place.page.facts.text()
    book.undo()
    assert book.library.person(student).history == before


def test_an_answer_without_who_wrote_it_down_is_not_kept_and_the_name_is_asked_for_once(
    book: Opened, qtbot: QtBot
) -> None:
    student = book.filled.today.book.student_id
    before = book.library.person(student)
    book.do("change")
    form = book.place.student_form
    form.consents.answer(Purpose.SHARING, Giver.STUDENT, given=True)
    qtbot.mouseClick(form.save_word, LEFT)
    assert isinstance(book.troubles[0], BadInputError)
    assert book.over is form
    assert form.consents.by.hasFocus()
    assert book.library.person(student) == before

    qtbot.keyClicks(form.consents.by, "the coach")
    qtbot.mouseClick(form.save_word, LEFT)
    assert book.library.person(student).history[-1].by == "the coach"
    book.do("new_student")
    assert form.consents.by.text() == "the coach"
    assert book.place.kept()["by"] == "the coach"
    book.place.restore({"by": "the other coach"})
    book.place.leave()
    book.do("change")
    assert form.consents.by.text() == "the other coach"


def test_what_is_kept_without_a_new_answer_asks_nobody(book: Opened, qtbot: QtBot) -> None:
    book.do("change")
    qtbot.keyClicks(book.place.student_form.name, " II")
    qtbot.mouseClick(book.place.student_form.save_word, LEFT)

    assert book.troubles == []
    assert book.place.page.name.text() == f"{NAME} II"


def test_an_answer_of_an_earlier_day_is_written_down_with_that_day(
    book: Opened, qtbot: QtBot
) -> None:
    book.do("change")
    consents = book.place.student_form.consents
    consents.on.setDate(QDate(2026, 11, 1))
    consents.by.setText("the coach")
    consents.answer(Purpose.SHARING, Giver.STUDENT, given=True)
    qtbot.mouseClick(book.place.student_form.save_word, LEFT)

    newest = book.library.person(book.filled.today.book.student_id).history[-1]
    assert str(newest.on) == "2026-11-01"


def test_limits_of_today_are_said_to_be_there_and_read_when_asked_for(
    book: Opened, qtbot: QtBot
) -> None:
    page = book.place.page
    assert not page.limits.isVisible()
    book.do("change")
    book.place.student_form.limits.paper.setPlainText("sore back")
    qtbot.mouseClick(book.place.student_form.save_word, LEFT)
    book.settle()

    assert page.limits.text() == "Limits of today written"
    assert "sore back" not in page.facts.text()
    qtbot.mouseClick(page.limits, LEFT)
    assert "Limits of today: sore back." in page.facts.text()
    qtbot.mouseClick(page.limits, LEFT)
    assert "sore back" not in page.facts.text()
    qtbot.mouseClick(page.limits, LEFT)
    book.do("change")
    book.place.leave()
    assert "sore back" not in page.facts.text()


def test_what_was_written_is_left_only_when_asked_twice(book: Opened, qtbot: QtBot) -> None:
    book.do("change")
    qtbot.keyClicks(book.place.student_form.name, "x")

    assert book.place.leave()
    first = book.over
    assert book.said[0].startswith("Not kept yet")
    assert book.place.leave()
    assert (first, book.over) == (book.place.student_form, None)
    assert book.library.find_student(NAME).name == NAME


def open_forgetting(book: Opened, qtbot: QtBot) -> None:
    book.do("change")
    qtbot.mouseClick(book.place.student_form.forget_word, LEFT)
    qtbot.waitUntil(lambda: book.over is book.place.question)


def test_a_student_is_forgotten_only_after_two_answers(book: Opened, qtbot: QtBot) -> None:
    open_forgetting(book, qtbot)
    assert "2 swings in 1 lessons" in book.place.question.text.text()
    qtbot.mouseClick(book.place.question.answers[1], LEFT)
    page = book.place.forget_page
    assert book.over is page
    assert not page.do_word.isEnabled()
    qtbot.keyClicks(page.field, "zoe ANGSTROM")
    qtbot.mouseClick(page.do_word, LEFT)
    qtbot.waitUntil(lambda: book.over is book.place.question)

    assert book.library.students() == ()
    assert book.place.question.title.text() == "All of it is gone for good."
    assert "2 swings in 1 lessons" in book.place.question.text.text()
    assert book.place.steps.undo_words == ""
    qtbot.mouseClick(book.place.question.answers[0], LEFT)
    assert book.place.index.model.lines == ()


def test_to_keep_everything_changes_nothing(book: Opened, qtbot: QtBot) -> None:
    open_forgetting(book, qtbot)
    qtbot.mouseClick(book.place.question.answers[0], LEFT)
    assert book.over is None

    open_forgetting(book, qtbot)
    qtbot.mouseClick(book.place.question.answers[1], LEFT)
    qtbot.keyClicks(book.place.forget_page.field, "Zoe")
    qtbot.keyClick(book.place.forget_page.field, Qt.Key.Key_Return)
    qtbot.mouseClick(book.place.forget_page.stay_word, LEFT)

    assert book.over is None
    assert len(book.library.students()) == 1
    assert len(book.prints) == 2
