from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from capturestation.errors import BadInputError, ConsentRefusedError
from capturestation.library import Library
from capturestation.records import Consent, Giver, Hand, Purpose, Student
from capturestation.station import people
from tests.helpers.library_records import a_student
from tests.helpers.station_library import NAME

TODAY = people.today()


def yes_from(giver: Giver, purpose: Purpose = Purpose.COACHING) -> Consent:
    return Consent(purpose=purpose, giver=giver, given=True, on=TODAY, by="coach")


@pytest.mark.parametrize("year", [TODAY.year + 1, TODAY.year - people.OLDEST_YEARS - 1])
def test_an_impossible_year_of_birth_adds_nobody(library: Library, year: int) -> None:
    with pytest.raises(BadInputError, match="year of birth"):
        people.add_student(library, name="Ann", birth_year=year)

    assert library.students() == ()


def test_a_student_needs_a_name(library: Library) -> None:
    with pytest.raises(BadInputError, match="needs a name"):
        people.add_student(library, name="  ")

    assert library.students() == ()


def test_what_is_not_named_stays_when_a_student_is_changed(
    library: Library, student: Student
) -> None:
    changed = people.change_student(library, student.id, {"limits_today": "sore back"})

    assert changed.limits_today == "sore back"
    assert (changed.name, changed.hand, changed.birth_year) == (NAME, Hand.RIGHT, 1980)
    assert library.student(student.id) == changed


@pytest.mark.parametrize("change", [{"name": " "}, {"birth_year": 1066}, {"hand": "both"}])
def test_a_refused_change_leaves_the_student_as_he_was(
    library: Library, student: Student, change: dict[str, str | int]
) -> None:
    with pytest.raises(BadInputError):
        people.change_student(library, student.id, change)

    assert library.student(student.id) == student


def test_a_child_needs_its_own_yes_and_a_parents(library: Library) -> None:
    child = people.add_student(library, name="Kim", birth_year=TODAY.year - 12)
    people.answer_consent(library, child.id, yes_from(Giver.PARENT))
    half = library.student(child.id)

    with pytest.raises(ConsentRefusedError, match=r"under 18.*missing from: student"):
        people.refuse_without_consent(half, TODAY)

    whole = people.answer_consent(library, child.id, yes_from(Giver.STUDENT))
    people.refuse_without_consent(whole, TODAY)


def test_an_unknown_age_is_treated_as_a_childs(library: Library) -> None:
    unknown = people.add_student(library, name="Kim")

    with pytest.raises(ConsentRefusedError, match="may be under 18"):
        people.refuse_without_consent(unknown, TODAY)


def test_a_grown_up_may_be_filmed_before_an_answer_is_written_down(library: Library) -> None:
    adult = people.add_student(library, name="Kim", birth_year=1980)

    people.refuse_without_consent(adult, TODAY)

    assert people.consent_words(adult) == "consent to coaching is missing from: student"


def test_a_no_takes_an_earlier_yes_back(library: Library, student: Student) -> None:
    later = TODAY + timedelta(days=1)
    no = Consent(purpose=Purpose.COACHING, giver=Giver.STUDENT, given=False, on=later, by="coach")

    changed = people.answer_consent(library, student.id, no)

    assert "refused by: student" in people.consent_words(changed)


@pytest.mark.parametrize("by", ["", "  ", "me\nthere"])
def test_an_answer_without_a_name_of_who_wrote_it_down_is_refused(
    library: Library, student: Student, by: str
) -> None:
    nameless = replace(yes_from(Giver.STUDENT, Purpose.SHARING), by=by)

    with pytest.raises(BadInputError):
        people.answer_consent(library, student.id, nameless)

    assert library.student(student.id) == student


def test_an_answer_that_an_older_library_holds_without_a_name_is_read(library: Library) -> None:
    old = replace(yes_from(Giver.STUDENT), by="")
    kim = library.add_student(replace(a_student("Kim"), consents=(old,)))

    changed = people.change_student(library, kim.id, {"limits_today": "knee"})

    assert changed.consents == (old,)


def test_a_lesson_works_on_two_things_at_most(library: Library, student: Student) -> None:
    with pytest.raises(BadInputError, match="one or two things, not 3"):
        people.add_lesson(library, student.id, focus=("a", "b", "c"))

    assert library.lessons(student.id) == ()


def test_a_focus_that_would_break_its_line_is_refused(library: Library, student: Student) -> None:
    with pytest.raises(BadInputError, match="line break"):
        people.add_lesson(library, student.id, focus=("turn\nslide",))

    assert library.lessons(student.id) == ()


def test_the_focus_of_a_lesson_is_replaced_whole(library: Library, student: Student) -> None:
    lesson = people.add_lesson(library, student.id, on=date(2026, 10, 30), focus=("a", "b"))

    changed = people.set_focus(library, lesson.id[:6], [" turn "])

    assert changed.focus == ("turn",)
    assert library.lesson(lesson.id) == changed


def test_a_change_that_another_window_made_meanwhile_is_kept(
    library: Library, student: Student, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = library.find_student

    def finds_late(text: str) -> Student:
        known = found(text)
        people.change_student(other, student.id, {"notes": "by another window"})
        return known

    with Library.open(library.folder) as other:
        monkeypatch.setattr(library, "find_student", finds_late)
        changed = people.change_student(library, student.id, {"limits_today": "sore back"})

    assert (changed.notes, changed.limits_today) == ("by another window", "sore back")
    assert library.student(student.id) == changed
