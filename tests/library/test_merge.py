"""Another library's lessons come in by their ids: whole, nothing silently lost, nothing revived."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from capturestation.errors import NotFoundError, RefusedError
from capturestation.folders import read_document, write_book, write_document
from capturestation.library import (
    Conflict,
    Library,
    MergeItem,
    Outcome,
    Side,
    Subject,
    merge_library,
)
from capturestation.library.rows import Person
from capturestation.records import (
    CalibrationRow,
    Consent,
    Giver,
    Purpose,
    Quiet,
    Student,
    SwingId,
)
from tests.helpers.library_records import STRUCK, Filled, a_student, files_below, fill
from tests.library.test_rebuild import everything

NO = Consent(purpose=Purpose.COACHING, giver=Giver.STUDENT, given=False, on=date(2026, 11, 1))


def states(folder: Path) -> dict[str, tuple[int, int]]:
    """Every file and folder below, with its length and when it was written."""
    return {
        path.relative_to(folder).as_posix(): (path.stat().st_size, path.stat().st_mtime_ns)
        for path in sorted(folder.rglob("*"))
    }


def words(items: tuple[MergeItem, ...]) -> list[tuple[str, str, str]]:
    """What became of what, in order of its kind and id."""
    return sorted((item.subject.value, item.id, item.outcome.value) for item in items)


def test_the_ranges_lessons_come_into_the_bays_book(
    library: Library, filled: Filled, laptop: Path, range_swing: Filled
) -> None:
    before = states(laptop)

    report = merge_library(library, laptop, Quiet())

    assert words(report.items) == [
        ("lesson", range_swing.lesson.id, "brought in"),
        ("student", range_swing.student.id, "brought in"),
        ("swing", range_swing.swing.id, "brought in"),
    ]
    assert report.same == 4
    assert states(laptop) == before
    assert library.swing(range_swing.swing.id) == range_swing.swing
    assert library.swing(filled.swing.id) == filled.swing
    assert library.check(Quiet()).sound


def test_a_second_merge_finds_everything_the_same(
    library: Library, laptop: Path, range_swing: Filled
) -> None:
    merge_library(library, laptop, Quiet())
    before = everything(library), states(library.folder / "swings")

    again = merge_library(library, laptop, Quiet())

    assert (again.items, again.same) == ((), 7)
    assert (everything(library), states(library.folder / "swings")) == before


def test_ids_decide_and_not_names(library: Library, filled: Filled, range_swing: Filled) -> None:
    laptop = library.folder.with_name("laptop")

    merge_library(library, laptop, Quiet())

    assert filled.student.name == range_swing.student.name
    assert {s.id for s in library.students()} == {filled.student.id, range_swing.student.id}


def change_all(laptop: Path, filled: Filled) -> None:
    """Change the student, lesson, swing and calibration on the laptop, each in one field."""
    book = replace(
        filled.swing.book, notes="rushed", marks=filled.swing.book.marks[:1], starred=True
    )
    with Library.open(laptop) as far:
        far.save_student(replace(filled.student, name="Anna Holm"))
        far.save_lesson(replace(filled.lesson, focus=("grip",)))
        far.save_book(book)
        row = CalibrationRow(id="c", camera="left", valid_from=STRUCK, document='{"moved": 1}')
        far.replace_calibration(row)


def test_what_both_sides_tell_differently_is_shown_with_both_texts_and_ours_stays(
    library: Library, filled: Filled, laptop: Path
) -> None:
    change_all(laptop, filled)
    before = everything(library)

    report = merge_library(library, laptop, Quiet())

    assert everything(library) == before
    assert [item.outcome for item in report.items] == [Outcome.OURS] * 4
    told = {d.field: (d.ours, d.theirs) for item in report.items for d in item.differences}
    assert told["name"] == ("Anna Berg", "Anna Holm")
    assert told["focus"] == (["turn"], ["grip"])
    assert told["document"] == ("{}", '{"moved": 1}')
    assert told["notes"] == ("felt easy", "rushed")
    assert told["starred"] == (False, True)
    gone = told["marks[takeaway, hand]"]
    assert isinstance(gone[0], dict)
    assert (gone[0]["occurs"], gone[1]) == (False, None)
    assert len(told) == 6


def test_theirs_is_taken_where_it_is_chosen(library: Library, filled: Filled, laptop: Path) -> None:
    change_all(laptop, filled)

    report = merge_library(library, laptop, Quiet(), resolve=lambda _: Side.THEIRS)

    assert [item.outcome for item in report.items] == [Outcome.THEIRS] * 4
    assert {d.ours for d in report.conflicts[0].differences} == {"Anna Berg"}
    with Library.open(laptop) as far:
        assert everything(library) == everything(far)
    assert merge_library(library, laptop, Quiet()).items == ()
    assert library.check(Quiet()).sound


def test_each_conflict_is_decided_by_itself(library: Library, filled: Filled, laptop: Path) -> None:
    change_all(laptop, filled)

    def only_the_swing(conflict: Conflict) -> Side:
        return Side.THEIRS if conflict.subject is Subject.SWING else Side.OURS

    merge_library(library, laptop, Quiet(), resolve=only_the_swing)

    assert library.swing(filled.swing.id).book.notes == "rushed"
    assert library.student(filled.student.id) == filled.student
    assert library.lesson(filled.lesson.id) == filled.lesson


def test_no_answer_about_consent_is_lost_and_the_careful_one_counts(
    library: Library, filled: Filled, laptop: Path
) -> None:
    with Library.open(laptop) as far:
        far.set_consent(filled.student.id, replace(NO, given=True))
        far.set_consent(filled.student.id, NO)
        far.set_consent(filled.student.id, replace(NO, given=True, by="assistant"))
    here = replace(NO, purpose=Purpose.SHARING)
    library.set_consent(filled.student.id, here)

    report = merge_library(library, laptop, Quiet())

    assert [item.outcome for item in report.items] == [Outcome.JOINED]
    history = library.person(filled.student.id).history
    assert history[:2] == (*filled.student.consents, here)
    assert len(history) == 5
    assert library.student(filled.student.id).missing_consents(Purpose.COACHING, NO.on)
    assert merge_library(library, laptop, Quiet()).items == ()


def lose(swing: Path) -> None:
    """Lose a recording."""
    (swing / "face-on.mp4").unlink()


def flip(swing: Path) -> None:
    """Change a recording without changing its length."""
    path = swing / "face-on.mp4"
    path.write_bytes(bytes(path.stat().st_size))


def damage(swing: Path) -> None:
    """Cut a book short."""
    (swing / "book.json").write_bytes(b"{")


def rename(swing: Path) -> None:
    """Give a folder a name that is no id."""
    swing.rename(swing.with_name("My Copy"))


@pytest.mark.parametrize(
    ("harm", "said"),
    [
        (lose, "missing"),
        (flip, "changed while"),
        (damage, "can't be understood"),
        (rename, "an id is"),
    ],
)
def test_a_swing_that_is_not_whole_there_is_left_out_and_the_rest_comes(
    library: Library,
    filled: Filled,
    laptop: Path,
    range_swing: Filled,
    harm: Callable[[Path], None],
    said: str,
) -> None:
    with Library.open(laptop) as far:
        folder = far.swing_path(range_swing.swing.id)
    harm(folder)

    report = merge_library(library, laptop, Quiet())

    (left,) = report.of(Outcome.LEFT)
    assert said in left.said
    assert library.lesson(range_swing.lesson.id) == range_swing.lesson
    assert library.swings(range_swing.lesson.id) == ()
    assert library.check(Quiet()).sound


def test_facts_that_differ_are_shown_and_never_replaced(
    library: Library, filled: Filled, laptop: Path
) -> None:
    with Library.open(laptop) as far:
        folder = far.swing_path(filled.swing.id)
    (folder / "swing.json").unlink()
    write_document(
        folder / "swing.json", "swing", replace(filled.swing.facts, made_by="another capture")
    )

    report = merge_library(library, laptop, Quiet(), resolve=lambda _: Side.THEIRS)

    (item,) = report.conflicts
    assert (item.outcome, item.said) == (Outcome.OURS, "recordings are facts and are not replaced")
    assert [d.field for d in item.differences] == ["made_by"]
    assert library.swing(filled.swing.id) == filled.swing


def test_a_lesson_stays_with_its_student(library: Library, filled: Filled, laptop: Path) -> None:
    bo = Student(id=a_student().id, name="Bo")
    moved = replace(filled.lesson, student_id=bo.id)
    with Library.open(laptop) as far:
        far.add_student(bo)
    write_document(laptop / "lessons" / f"{moved.id}.json", "lesson", moved)
    with Library.open(laptop) as far:
        folder = far.swing_path(filled.swing.id)
    write_book(folder, replace(filled.swing.book, student_id=bo.id))

    report = merge_library(library, laptop, Quiet(), resolve=lambda _: Side.THEIRS)

    outcomes = {item.subject: item.outcome for item in report.items}
    assert outcomes == {
        Subject.STUDENT: Outcome.NEW,
        Subject.LESSON: Outcome.OURS,
        Subject.SWING: Outcome.LEFT,
    }
    assert library.lesson(moved.id) == filled.lesson
    assert library.swing(filled.swing.id) == filled.swing


def test_the_same_recording_under_another_id_comes_and_is_said(
    library: Library, filled: Filled, tmp_path: Path, originals: Path
) -> None:
    with Library.open(tmp_path / "other") as far:
        there = fill(far, originals)
        source = library.swing_path(filled.swing.id)
        facts = replace(filled.swing.facts, id=SwingId("another0id0x"))
        book = replace(there.swing.book, id=facts.id)
        far.keep_swing(facts, book, {r.view: source / r.file for r in facts.recordings}, Quiet())

    report = merge_library(library, tmp_path / "other", Quiet())

    said = {item.id: item.said for item in report.of(Outcome.NEW)}
    assert said["another0id0x"] == f"the same recording is here too, in swing {filled.swing.id}"
    assert library.swing(facts.id).book == book


def test_a_dry_run_says_the_same_and_does_nothing(
    library: Library, filled: Filled, laptop: Path, range_swing: Filled
) -> None:
    change_all(laptop, filled)
    before = everything(library), files_below(library.folder)

    dry = merge_library(library, laptop, Quiet(), resolve=lambda _: Side.THEIRS, dry_run=True)

    assert dry.dry_run
    assert (everything(library), files_below(library.folder)) == before
    real = merge_library(library, laptop, Quiet(), resolve=lambda _: Side.THEIRS)
    assert (dry.items, dry.same) == (real.items, real.same)


def test_only_another_library_is_merged(library: Library, filled: Filled, tmp_path: Path) -> None:
    before = files_below(library.folder)

    with pytest.raises(RefusedError, match="very library"):
        merge_library(library, library.folder, Quiet())
    with pytest.raises(NotFoundError, match="no library in"):
        merge_library(library, tmp_path / "none", Quiet())

    assert not (tmp_path / "none").exists()
    assert files_below(library.folder) == before


def test_a_student_who_comes_brings_the_whole_history(
    library: Library, filled: Filled, laptop: Path, range_swing: Filled
) -> None:
    with Library.open(laptop) as far:
        far.set_consent(range_swing.student.id, NO)
        history = far.person(range_swing.student.id).history

    merge_library(library, laptop, Quiet())

    assert library.person(range_swing.student.id).history == history
    file = library.places.file(Subject.STUDENT, range_swing.student.id)
    assert read_document(file, "student", Person).history == history
