"""Who is hitting is known again, and whether she may be filmed."""

from __future__ import annotations

from pathlib import Path

import pytest

from capturestation.errors import NotFoundError
from capturestation.library import Library
from capturestation.records import LessonId, SwingKind
from capturestation.station import people
from capturestation.station.bay.person import person_of
from capturestation.station.taking_in import Ticket
from tests.helpers.station_library import grown_up


def test_who_has_a_lesson_is_known_with_the_ticket_of_her_balls(tmp_path: Path) -> None:
    with Library.open(tmp_path / "library") as library:
        student = grown_up(library)
        lesson = people.add_lesson(library, student.id)
        person = person_of(library, lesson.id, "7 iron")
        people.change_student(library, student.id, {"name": "Other Name"})
        again = person.read_again(library)

    assert person.may_be_filmed
    assert person.ticket() == Ticket(lesson=lesson.id, club="7 iron", kind=SwingKind.FULL)
    assert again.student.name == "Other Name"


def test_a_lesson_that_is_gone_is_nobody_s(tmp_path: Path) -> None:
    with Library.open(tmp_path / "library") as library, pytest.raises(NotFoundError):
        person_of(library, LessonId("gone"), "7 iron")


@pytest.mark.parametrize(("born", "may"), [(None, False), (2000, True)])
def test_who_may_be_a_minor_is_not_filmed_without_a_yes(
    tmp_path: Path, born: int | None, may: bool
) -> None:
    with Library.open(tmp_path / "library") as library:
        student = people.add_student(library, name="Unsaid", birth_year=born)
        lesson = people.add_lesson(library, student.id)

        assert person_of(library, lesson.id, "7 iron").may_be_filmed is may
