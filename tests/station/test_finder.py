"""A lesson is found by day, focus and club, at once and by the starts of words."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from capturestation.library import Library
from capturestation.station.finder import Finder
from tests.helpers.library_records import DAY, a_lesson, a_struck_swing, a_student, keep

MONTHS = ("october", "november")


def day_words(day: date) -> str:
    return f"{day} {day.day} {MONTHS[day.month - 10]}"


@pytest.mark.parametrize("text", ["2026-10-30", "30 oct", "TURN", "7 ir", "berg tur", "iron anna"])
def test_each_word_starts_a_word_of_day_focus_club_or_name(
    library: Library, tmp_path: Path, text: str
) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    keep(library, a_struck_swing(tmp_path, lesson))

    found = Finder(library, day_words).find(text)

    assert found == (lesson.id,)


@pytest.mark.parametrize("text", ["", "  ", "anna", "berg an", "31 oct", "urn", "8 iron"])
def test_a_name_alone_nothing_or_another_word_finds_no_lesson(
    library: Library, tmp_path: Path, text: str
) -> None:
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    keep(library, a_struck_swing(tmp_path, lesson))

    assert Finder(library, day_words).find(text) == ()


def test_the_newest_lessons_come_first_and_no_more_than_asked_for(library: Library) -> None:
    student = library.add_student(a_student())
    days = [DAY + timedelta(days=n) for n in range(4)]
    for day in days:
        library.add_lesson(a_lesson(student, day))

    found = Finder(library, day_words).find("turn", 3)

    assert [library.lesson(one).on for one in found] == days[:0:-1]
