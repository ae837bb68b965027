"""Who is hitting, with what, and the lesson's end."""

from __future__ import annotations

from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.records import Consent, Giver, Purpose, Quiet, SwingKind
from capturestation.station import people
from capturestation.station.bay.bay import Mode
from capturestation.station.people import today
from tests.helpers.bay_files import Pair
from tests.ui.bay.conftest import Opened

CLUB = "wedge"


def test_from_a_student_over_the_club_to_who_is_hitting(opened: Opened, qtbot: QtBot) -> None:
    opened.do("who")
    qtbot.keyClicks(opened.place.who.index.field, "ang")
    qtbot.keyClick(opened.place.who.index.field, Qt.Key.Key_Return)
    opened.written()
    page = opened.over
    opened.place.word_page.words["7 iron"].click()

    assert page is opened.place.word_page
    assert opened.over is None
    assert opened.bay.mode is Mode.ASKS
    person = opened.bay.person
    assert person is not None
    assert (person.student.id, person.club) == (opened.student.id, "7 iron")
    assert person.lesson.on == today()


def test_today_s_lesson_is_opened_once_and_can_be_taken_back(opened: Opened) -> None:
    before = len(opened.library.lessons(opened.student.id))

    opened.place.take_student(opened.student.id)
    opened.place.take_student(opened.student.id)
    opened.written()

    opened_now = len(opened.library.lessons(opened.student.id))
    opened.place.steps.undo()
    assert opened_now == before + 1
    assert len(opened.library.lessons(opened.student.id)) == before


def test_nobody_is_filmed_while_the_club_is_asked(opened: Opened) -> None:
    opened.get_ready()

    opened.place.take_student(opened.student.id)
    opened.written()
    opened.recording.wait()

    assert opened.bay.mode is Mode.NO_ONE
    assert opened.recording.client.is_stopped


def test_who_may_not_be_filmed_is_said_with_the_reason(opened: Opened) -> None:
    child = people.add_student(opened.library, name="Kind", birth_year=today().year - 9)

    opened.place.take_student(child.id)
    opened.written()

    assert opened.bay.mode is Mode.REFUSED
    assert opened.recording.clients == []
    line = opened.place.band.line.text()
    assert line.startswith("Kind is not filmed: consent to filming is missing from: ")


def test_a_consent_that_the_book_takes_back_closes_the_cameras(opened: Opened) -> None:
    opened.get_ready()
    no = Consent(
        purpose=Purpose.COACHING, giver=Giver.STUDENT, given=False, on=today(), by="the coach"
    )
    people.answer_consent(opened.library, opened.student.id, no)

    opened.place.refresh()
    opened.recording.wait()

    assert opened.bay.mode is Mode.REFUSED
    assert opened.recording.client.is_stopped


def test_a_student_who_is_forgotten_is_not_filmed_any_more(opened: Opened) -> None:
    student = people.add_student(opened.library, name="Gone", birth_year=1990)
    opened.place.take_student(student.id)
    opened.written()
    opened.place.word_page.chosen.emit(CLUB)
    opened.place.steps.undo()
    opened.library.delete_student(student.id, Quiet())

    opened.place.refresh()

    assert opened.bay.mode is Mode.NO_ONE


def test_club_and_kind_of_the_next_balls(opened: Opened) -> None:
    opened.get_ready()
    opened.do("club")
    opened.place.word_page.chosen.emit(CLUB)
    opened.do("kind")
    opened.place.word_page.chosen.emit(str(SwingKind.REHEARSAL))

    person = opened.bay.person
    assert person is not None
    assert (person.club, person.kind) == (CLUB, SwingKind.REHEARSAL)
    assert opened.place.kept() == {"club": CLUB}


def test_the_lesson_s_end_asks_once_the_last_ball_is_in(
    opened: Opened, qtbot: QtBot, second_swing: Pair
) -> None:
    opened.get_ready()
    opened.recording.client.last_words += opened.facts_of(second_swing, "late")
    opened.do("end")
    ending = opened.place.band.line.text()
    qtbot.waitUntil(lambda: opened.over is opened.place.end_page)

    assert ending == "The last ball is being kept."
    wanted = {opened.filled.best.id, opened.filled.today.id, "late"}
    assert set(opened.place.end_page.lines) == wanted


def test_the_rest_is_dropped_and_comes_back_with_one_step(opened: Opened, qtbot: QtBot) -> None:
    opened.choose()
    opened.do("end")
    opened.say()
    qtbot.waitUntil(lambda: opened.over is opened.place.end_page)

    opened.place.end_page.drop.click()
    qtbot.waitUntil(lambda: opened.bay.mode is Mode.NO_ONE)
    left = [swing.id for swing in opened.library.swings(opened.lesson.id)]
    opened.place.steps.undo()

    assert left == [opened.filled.best.id]
    assert len(opened.library.swings(opened.lesson.id)) == 2
    assert opened.said[-1] == "The lesson is over: 1 kept, 1 in the trash."


def test_leaving_the_end_keeps_everything(opened: Opened, qtbot: QtBot) -> None:
    opened.choose()
    opened.do("end")
    opened.say()
    qtbot.waitUntil(lambda: opened.over is opened.place.end_page)

    opened.place.leave()

    assert len(opened.library.swings(opened.lesson.id)) == 2
    assert opened.said[-1] == "The lesson is over: all 2 balls are kept."
    assert opened.bay.person is None


def test_nobody_is_filmed_while_a_lesson_is_opened(opened: Opened) -> None:
    opened.get_ready()
    other = people.add_student(opened.library, name="Another", birth_year=1980)

    opened.place.take_student(other.id)
    modes = [opened.bay.mode]
    opened.written()

    assert modes == [Mode.NO_ONE]
    assert opened.bay.mode is not Mode.READY
