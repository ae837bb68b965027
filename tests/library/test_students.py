"""Students: kept, found by what a coach types, and their answers never lost."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.errors import CancelledError, NotFoundError, OutputError, RefusedError
from capturestation.library import Library
from capturestation.library.places import Subject
from capturestation.library.rows import latest
from capturestation.records import Consent, Giver, Purpose, Quiet, StopAfter, StudentId
from tests.helpers.library_records import DAY, Filled, a_struck_swing, a_student, files_below, keep
from tests.helpers.record_strategies import CONSENTS


def answer(given_: bool, on: date) -> Consent:
    """The student's own answer about sharing."""
    return Consent(purpose=Purpose.SHARING, giver=Giver.STUDENT, given=given_, on=on)


def test_a_saved_student_replaces_the_old(library: Library) -> None:
    student = library.add_student(a_student())
    changed = replace(student, name="Anna Holm", limits_today="sore back", birth_year=None)

    library.save_student(changed)

    assert library.student(student.id) == changed
    assert library.students() == (changed,)


def test_a_change_is_made_to_what_stands_now(library: Library) -> None:
    student = library.add_student(a_student())
    with Library.open(library.folder) as other:
        other.save_student(replace(student, notes="by another window"))

    kept = library.change_student(student.id, lambda now: replace(now, limits_today="sore back"))

    assert (kept.notes, kept.limits_today) == ("by another window", "sore back")
    assert library.student(student.id) == kept
    assert library.check(Quiet()).sound


def test_a_change_that_raises_leaves_the_old(library: Library) -> None:
    student = library.add_student(a_student())
    before = files_below(library.folder)

    with pytest.raises(ValueError, match="may not make it"):
        library.change_student(student.id, lambda now: replace(now, id=StudentId("other")))

    assert library.students() == (student,)
    assert files_below(library.folder) == before


def test_a_change_of_nothing_writes_nothing(library: Library) -> None:
    student = library.add_student(a_student())
    file = library.folder / "people" / f"{student.id}.json"
    before = file.stat().st_mtime_ns

    assert library.change_student(student.id, lambda now: now) == student

    assert file.stat().st_mtime_ns == before
    assert library.check(Quiet()).sound


def test_the_history_of_consent_is_kept_and_the_latest_counts(library: Library) -> None:
    student = library.add_student(a_student())
    yes, no = answer(True, date(2026, 3, 1)), answer(False, date(2026, 5, 1))

    library.set_consent(student.id, yes)
    kept = library.set_consent(student.id, no)

    assert kept.missing_consents(Purpose.SHARING, DAY) == (Giver.STUDENT,)
    assert kept == library.student(student.id)
    assert library.person(student.id).history == (*student.consents, yes, no)


def test_of_one_days_answers_the_last_counts(library: Library) -> None:
    student = library.add_student(a_student())

    for given_ in (True, False, True):
        library.set_consent(student.id, answer(given_, DAY))

    kept = library.student(student.id)
    assert kept.missing_consents(Purpose.SHARING, DAY) == ()
    assert len(library.person(student.id).history) == 4


def test_an_older_paper_does_not_overrule_a_later_no(library: Library) -> None:
    student = library.add_student(a_student())
    library.set_consent(student.id, answer(False, date(2026, 5, 1)))

    kept = library.set_consent(student.id, answer(True, date(2026, 3, 1)))

    assert kept.missing_consents(Purpose.SHARING, DAY) == (Giver.STUDENT,)


@given(history=st.lists(CONSENTS, max_size=8))
def test_one_answer_counts_for_each_question_and_none_is_later(history: list[Consent]) -> None:
    counting = latest(history)

    keys = [(c.purpose, c.giver) for c in counting]
    assert len(keys) == len(set(keys))
    assert set(keys) == {(c.purpose, c.giver) for c in history}
    by_key = dict(zip(keys, counting, strict=True))
    assert all(c.on <= by_key[c.purpose, c.giver].on for c in history)


@pytest.mark.parametrize("typed", ["zoe", "ASTR", "åström zoë", "  astrom  "])
def test_a_student_is_found_without_case_accents_or_order(library: Library, typed: str) -> None:
    zoe = library.add_student(a_student("Zoë Åström"))
    library.add_student(a_student("Bo Ek"))

    assert library.find_students(typed) == (zoe,)
    assert library.find_student(typed) == zoe


def test_a_student_is_found_by_the_start_of_the_id(library: Library) -> None:
    anna = library.add_student(replace(a_student(), id=StudentId("7fq0")))
    library.add_student(replace(a_student("Bo"), id=StudentId("7xq0")))

    assert library.find_student("7F") == anna


def test_a_whole_name_wins_over_longer_ones(library: Library) -> None:
    anna = library.add_student(a_student("Anna Berg"))
    library.add_student(a_student("Anna Bergman"))

    assert library.find_student("anna berg") == anna


def test_more_than_one_fit_names_them(library: Library) -> None:
    library.add_student(a_student("Anna Berg"))
    library.add_student(a_student("Anton Ek"))

    with pytest.raises(NotFoundError, match=r"more than one student: Anna Berg .*; Anton Ek"):
        library.find_student("an")


def test_no_fit_offers_the_near_miss(library: Library) -> None:
    library.add_student(a_student("Anna Berg"))

    with pytest.raises(NotFoundError, match=r"Did you mean Anna Berg"):
        library.find_student("Ana Brg")
    with pytest.raises(NotFoundError, match="List what is there"):
        library.find_student("qqqq")
    with pytest.raises(NotFoundError):
        library.find_student("  ")


def test_who_is_not_there_is_not_found(library: Library) -> None:
    nobody = a_student()

    for ask in (library.student, library.person):
        with pytest.raises(NotFoundError, match=nobody.id):
            ask(nobody.id)
    with pytest.raises(NotFoundError):
        library.save_student(nobody)

    assert library.students() == ()


def test_an_id_in_use_is_our_bug(library: Library) -> None:
    student = library.add_student(a_student())

    with pytest.raises(ValueError, match="already"):
        library.add_student(replace(student, name="Other"))

    assert library.students() == (student,)


def test_a_change_that_can_not_be_written_is_not_made(
    library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    student = library.add_student(a_student())
    before = files_below(library.folder)

    def refuse(*_: object) -> None:
        raise OutputError("No room.", try_next="")

    monkeypatch.setattr("capturestation.library.students.write_document", refuse)
    with pytest.raises(OutputError):
        library.save_student(replace(student, name="Other"))

    assert library.student(student.id) == student
    assert files_below(library.folder) == before
    assert library._rows("SELECT * FROM unsettled") == []


def test_a_deletion_that_is_stopped_says_what_is_gone_and_can_be_gone_on_with(
    library: Library, filled: Filled, originals: Path
) -> None:
    keep(library, a_struck_swing(originals, filled.lesson))

    with pytest.raises(CancelledError) as stopped:
        library.delete_student(filled.student.id, StopAfter(0.5))

    assert "1 of 2 swings are deleted for good" in stopped.value.what
    assert "Nothing" not in str(stopped.value)
    assert len(library.swings_of(filled.student.id)) == 1
    library.delete_student(filled.student.id, Quiet())
    assert library.students() == ()


def test_a_withdrawn_student_leaves_nothing_and_may_come_again(library: Library) -> None:
    student = library.add_student(a_student())
    library.set_consent(student.id, answer(True, DAY))
    before = library.person(student.id)

    person = library.withdraw_student(student.id)
    left = (library.students(), files_below(library.folder))
    library.keep_person(person)

    assert person == before
    assert left == ((), {})
    assert library.person(student.id) == before


def test_a_student_with_a_lesson_is_not_withdrawn(filled: Filled, library: Library) -> None:
    with pytest.raises(RefusedError, match="has lessons"):
        library.withdraw_student(filled.student.id)

    assert library.student(filled.student.id) == filled.student
    assert library.places.file(Subject.STUDENT, filled.student.id).exists()
