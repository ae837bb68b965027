"""Leafing through the Book by keys, words and what is typed; what others change is seen."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.library import Library
from capturestation.records import Quiet
from capturestation.station import people
from capturestation.station.notebook import LessonLine
from capturestation.ui.book.panes import Part
from tests.helpers.library_records import DAY, a_lesson, a_student
from tests.helpers.station_library import NAME
from tests.ui.book.conftest import Opened


def test_it_opens_at_the_newest_swing_of_the_newest_lesson(book: Opened) -> None:
    assert book.place.page.name.text() == NAME
    assert book.chosen.id == book.filled.today.id
    assert book.prints == [book.filled.today.id, book.filled.best.id]


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
    assert book.place.page.empty.isVisible()


def test_typing_keeps_what_is_chosen_on_the_page(book: Opened, qtbot: QtBot) -> None:
    book.do("next_swing")

    qtbot.keyClicks(book.place.index.field, "zo")

    assert book.chosen.id == book.filled.best.id


def test_a_lesson_is_found_by_its_focus_and_opened(book: Opened, qtbot: QtBot) -> None:
    student = book.library.add_student(a_student())
    lesson = book.library.add_lesson(a_lesson(student))
    index = book.place.index

    qtbot.keyClicks(index.field, "tur")
    qtbot.waitUntil(lambda: bool(index.model.lines))

    assert [line.lesson for line in index.model.lines] == [lesson]
    qtbot.keyClick(index.field, Qt.Key.Key_Return)
    assert book.place.lesson == lesson
    assert book.place.page.list.hasFocus()


def test_from_the_find_field_the_keys_lead_down_to_a_swing_on_the_bench(
    book: Opened, qtbot: QtBot
) -> None:
    qtbot.keyClick(book.place.index.field, Qt.Key.Key_Down)
    assert book.place.index.list.hasFocus()
    qtbot.keyClick(book.place.index.list, Qt.Key.Key_Return)
    assert book.place.page.list.hasFocus()
    qtbot.keyClick(book.place.page.list, Qt.Key.Key_Return)

    assert book.opened == [book.filled.today.id]


def test_keys_step_through_the_prints_and_stop_at_the_ends(book: Opened) -> None:
    book.do("next_swing")
    assert book.chosen.id == book.filled.best.id

    book.do("next_swing")
    assert book.chosen.id == book.filled.best.id

    book.do("previous_swing")
    assert book.chosen.id == book.filled.today.id


def test_from_a_lesson_s_heading_one_steps_to_its_first_swing(book: Opened, qtbot: QtBot) -> None:
    qtbot.keyClick(book.place.page.list, Qt.Key.Key_Home)
    assert book.place.chosen is None
    assert book.place.page.bar.words["focus"].isVisible()

    book.do("previous_swing")
    assert book.place.chosen is None
    book.do("next_swing")
    assert book.chosen.id == book.filled.today.id


def test_a_heading_is_entered_to_write_the_focus(book: Opened, qtbot: QtBot) -> None:
    qtbot.keyClick(book.place.page.list, Qt.Key.Key_Home)
    qtbot.keyClick(book.place.page.list, Qt.Key.Key_Return)

    assert book.over is book.place.lesson_form


def test_four_keys_of_a_remote_are_enough(book: Opened) -> None:
    other = book.library.add_student(a_student())
    book.place.refresh()
    acts = book.place.commands()

    acts["remote.next"]()
    acts["remote.play"]()
    acts["remote.view"]()
    assert book.opened == [book.filled.best.id]
    assert book.place.student == other
    acts["remote.view"]()
    acts["remote.previous"]()

    assert book.place.page.name.text() == NAME


def test_what_another_window_changed_is_seen(book: Opened) -> None:
    best = book.filled.best.id
    with Library.open(book.filled.folder) as other:
        other.change_book(best, lambda now: replace(now, club="driver"))

    book.place.look_again()
    book.do("next_swing")

    assert book.place.chosen is not None
    assert book.place.chosen.book.club == "driver"


def test_what_another_window_changed_waits_while_a_page_lies_over(book: Opened) -> None:
    book.do("change")
    with Library.open(book.filled.folder) as other:
        other.delete_swing(book.filled.best.id)

    book.place.look_again()
    assert len(book.prints) == 2

    book.place.close_over()
    book.place.look_again()
    assert book.prints == [book.filled.today.id]


def test_coming_back_from_another_place_shows_what_was_changed_there(book: Opened) -> None:
    book.place.hide()
    book.library.change_book(book.filled.today.id, lambda now: replace(now, club="wedge"))
    book.place.show()

    assert book.place.page.bar.words["club"].text() == "Club: wedge"


def test_a_swing_is_leafed_to_wherever_it_is(book: Opened) -> None:
    other = book.library.add_student(a_student())
    book.place.index.field.setText("anna")
    assert book.place.student == other

    book.place.look_at(book.filled.best.id)

    assert book.place.index.field.text() == ""
    assert book.chosen.id == book.filled.best.id


def test_an_old_lesson_is_read_when_it_is_looked_for(book: Opened) -> None:
    student = book.library.add_student(a_student())
    days = [book.library.add_lesson(a_lesson(student, DAY - timedelta(n))) for n in range(60)]
    book.place.show_student(student.id)

    book.place.show_lesson(days[55])

    assert book.place.lesson == days[55]
    assert len(book.place.page.model.lines) >= 56


@pytest.mark.parametrize("part", list(Part))
def test_where_there_is_no_room_one_part_is_seen(book: Opened, part: Part) -> None:
    book.place.resize(700, 500)

    book.place.show_part(part)

    seen = {
        Part.STUDENTS: book.place.index.isVisible(),
        Part.STUDENT: book.place.page.head.isVisible(),
        Part.LEAF: book.place.page.list.isVisible(),
        Part.SWING: book.place.page.bar.isVisible(),
    }
    assert seen == {one: one is part for one in Part}
    assert book.place.path.words[part].isChecked()


def test_words_lead_to_the_parts_where_there_is_no_room(book: Opened, qtbot: QtBot) -> None:
    book.place.resize(700, 500)
    word = book.place.path.words[Part.STUDENTS]

    qtbot.mouseClick(word, Qt.MouseButton.LeftButton)
    assert book.place.index.list.hasFocus()
    assert book.place.path.words[Part.STUDENT].text() == NAME

    qtbot.keyClick(book.place.index.list, Qt.Key.Key_Return)
    assert book.place.part is Part.LEAF
    assert not book.place.index.isVisible()


def test_the_place_one_was_at_is_taken_up_again(book: Opened) -> None:
    book.do("next_swing")
    kept = book.place.kept()
    other = book.library.add_student(a_student())
    book.place.refresh()
    book.place.show_student(other.id)

    book.place.restore({"student": "gone", "line": "gone"})
    assert book.place.student == other
    book.place.restore(kept)

    assert book.chosen.id == book.filled.best.id


def test_a_page_over_it_hushes_the_keys_that_change_a_swing(book: Opened) -> None:
    book.do("change")

    for action in ("delete", "star", "rate_5", "club", "move", "views"):
        book.do(action)

    assert book.over is book.place.student_form
    assert book.chosen == book.filled.today


def test_to_look_for_a_student_leads_to_the_field_and_words_are_read(
    book: Opened, qtbot: QtBot
) -> None:
    book.place.page.list.setFocus()

    with qtbot.waitSignal(book.place.finding.ready):
        book.do("find")

    assert book.place.index.field.hasFocus()


def test_of_a_lesson_the_newest_swing_is_looked_at(book: Opened, qtbot: QtBot) -> None:
    qtbot.keyClick(book.place.page.list, Qt.Key.Key_Home)
    assert book.place.chosen is None

    book.do("open")

    assert book.opened == [book.filled.today.id]


def test_a_lesson_without_a_swing_says_that_there_is_none(book: Opened) -> None:
    student = book.library.add_student(a_student())
    book.library.add_lesson(a_lesson(student))
    book.place.refresh()
    book.place.show_student(student.id)

    book.do("open")

    assert book.opened == []
    assert book.said == ["There is no swing in this lesson to look at yet."]


def test_where_nothing_was_searched_an_empty_book_says_how_to_begin(
    book: Opened, qtbot: QtBot
) -> None:
    book.library.delete_swing(book.filled.today.id)
    book.library.delete_swing(book.filled.best.id)
    student = book.filled.today.book.student_id
    book.library.withdraw_lesson(book.filled.today.book.lesson_id)
    book.library.delete_student(student, Quiet())
    book.place.refresh()
    none = book.place.index.none

    assert none.isVisible()
    assert none.text().startswith("Nobody stands here yet")
    assert book.place.page.empty.text().startswith("The book is empty")
    assert book.place.part is Part.STUDENTS
    qtbot.keyClicks(book.place.index.field, "x")
    assert none.text().startswith("Nobody of that name")
    assert book.place.page.empty.text().startswith("Nobody is chosen")
    book.do("open")
    assert book.said == ["No swing is chosen to look at."]


def test_an_empty_page_is_passed_by_and_shows_the_keyboard_where_it_has_it(
    book: Opened, qtbot: QtBot
) -> None:
    lone = people.add_student(book.library, name="Nobody Yet")
    book.place.refresh()
    book.place.show_student(lone.id)
    page = book.place.page.list
    assert page.focusPolicy() is Qt.FocusPolicy.NoFocus
    bare = page.grab().toImage()

    page.setFocus()
    ringed = page.grab().toImage()

    edge = ringed.pixelColor(ringed.width() // 2, 1)
    assert edge == book.place.look.colour("focus")
    assert bare.pixelColor(bare.width() // 2, 1) != edge
    book.place.show_student(book.filled.today.book.student_id)
    assert page.focusPolicy() is Qt.FocusPolicy.StrongFocus


def test_an_empty_library_says_how_to_begin(book: Opened) -> None:
    student = book.filled.today.book.student_id
    for swing in (book.filled.today, book.filled.best):
        book.library.delete_swing(swing.id)
    book.place.refresh()
    lines = book.place.page.model.lines
    assert [type(line) for line in lines] == [LessonLine]

    lone = people.add_student(book.library, name="Nobody Yet")
    book.place.refresh()
    book.place.show_student(lone.id)
    assert book.place.page.empty.text().startswith("No lesson yet")
    assert book.library.student(student).name == NAME


@pytest.mark.parametrize(
    ("name", "limits", "focus", "club"),
    [
        ("Maximilian-Alexander von und zu " * 4, "", "", ""),
        ("A" * 300, "", "", ""),
        ("Kim Short", "L" * 300, "F" * 300, "C" * 300),
    ],
)
def test_long_words_take_no_more_room_than_the_window_has(
    book: Opened, name: str, limits: str, focus: str, club: str
) -> None:
    student, swing = book.filled.today.book.student_id, book.filled.today
    lesson = book.library.lesson(swing.book.lesson_id)
    book.library.change_student(
        student, lambda now: replace(now, name=name.strip(), limits_today=limits)
    )
    book.library.save_lesson(replace(lesson, focus=(focus,) if focus else ()))
    book.library.change_book(swing.id, lambda now: replace(now, club=club or now.club))
    place = book.place
    place.refresh()
    place.page.limits.click()

    assert place.minimumSizeHint().width() <= 960
    assert place.page.name.text() in (name.strip(), f"{name[:89].rstrip()}…")
    assert place.page.name.toolTip() in ("", name.strip())
    assert place.index.width() > 200
    for page in ("change", "focus", "club", "move", "views"):
        book.do(page)
        assert place.minimumSizeHint().width() <= 960
        place.close_over()
